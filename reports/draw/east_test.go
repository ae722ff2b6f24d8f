package draw

import (
	"bytes"
	"encoding/binary"
	"image"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/golang/geo/r2"
	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/japanese"
	"golang.org/x/text/encoding/korean"
	"golang.org/x/text/encoding/simplifiedchinese"
	"golang.org/x/text/encoding/traditionalchinese"
	"golang.org/x/text/unicode/norm"

	"voidline/void/need"
)

// mixed is Welsh, Polish, Japanese, Chinese, Korean and an emoji in one line.
const mixed = "Tŷ Gŵyr, Łódź: 東区 3階 (北) シャフト 风管层 배관 🔧 ø250"

// TestCharacterSets asks for every letter of the national character sets, as golang.org/x/text knows them.
func TestCharacterSets(t *testing.T) {
	from := func(lo, hi int) []byte {
		var b []byte
		for i := lo; i <= hi; i++ {
			b = append(b, byte(i))
		}
		return b
	}
	high := from(0xa1, 0xfe)
	for _, test := range []struct {
		name        string
		set         encoding.Encoding
		first, then []byte
		least       int    // of its letters, that the test looks at all
		lacks       string // a letter of no font
	}{
		{"GB 2312", simplifiedchinese.HZGB2312, nil, nil, 7445, "ǹɑɡ"}, // three that came later
		{"Big5", traditionalchinese.Big5, append(from(0xa1, 0xc5), from(0xc9, 0xf9)...), append(from(0x40, 0x7e), high...), 13000, "￭"},
		{"JIS X 0208", japanese.EUCJP, high, high, 6800, ""},
		{"KS X 1001", korean.EUCKR, high, high, 8200, ""},
	} {
		n := 0
		var lacks []rune
		look := func(r rune) {
			// What stands for "no such letter", pictures of control signs, private signs and Extension B are no
			// letters of these sets.
			if r == 0xfffd || r < 0x80 || r >= 0x2400 && r < 0x2440 || r >= 0xe000 && r < 0xf900 || r > 0xffff {
				return
			}
			n++
			if !Has(r) {
				lacks = append(lacks, r)
			}
		}
		if test.first == nil {
			for _, a := range from(0x21, 0x7e) {
				for _, b := range from(0x21, 0x7e) {
					s, err := test.set.NewDecoder().String("~{" + string([]byte{a, b}) + "~}")
					if err == nil {
						for _, r := range s {
							look(r)
						}
					}
				}
			}
		}
		for _, a := range test.first {
			for _, b := range test.then {
				if s, err := test.set.NewDecoder().Bytes([]byte{a, b}); err == nil {
					for _, r := range string(s) {
						look(r)
					}
				}
			}
		}
		if n < test.least {
			t.Errorf("%s: %d letters looked at, want %d", test.name, n, test.least)
		}
		slices.Sort(lacks)
		if got := string(slices.Compact(lacks)); got != test.lacks {
			t.Errorf("%s: no font has %q, want %q", test.name, got, test.lacks)
		}
	}
	// All syllables, the ideographs of Unicode 1.1 and those of Extension A.
	for _, span := range [][2]rune{{0xac00, 0xac00 + 11172}, {0x4e00, 0x9fa6}, {0x3400, 0x4db6}} {
		for r := span[0]; r < span[1]; r++ {
			if !Has(r) {
				t.Fatalf("no font has %c", r)
			}
		}
	}
	for _, r := range "🔧שعก\x01\u2009" {
		if Has(r) {
			t.Errorf("a font has %q", r)
		}
	}
}

// TestEastFont: no sign of the font lies where mayBeEast does not look for it, and every glyph has its own width,
// for the PDF library writes over the font where the last ones share theirs.
func TestEastFont(t *testing.T) {
	f := eastFace()
	n := 0
	for r := rune(0); r <= 0xffff; r++ {
		if f.has(r) {
			n++
			if !mayBeEast(r) && r != ' ' {
				t.Errorf("mayBeEast(%U) = false, and the font has it", r)
			}
		}
	}
	if n < 40000 {
		t.Errorf("the font has %d signs", n)
	}
	for _, r := range "aŵŁжΩשعก–🔧" {
		if r != '–' && mayBeEast(r) {
			t.Errorf("mayBeEast(%q): text of another script would unpack the font", r)
		}
	}
	table := func(tag string) []byte {
		b := eastTTF()
		for i := range int(binary.BigEndian.Uint16(b[4:])) {
			e := b[12+16*i:]
			if string(e[:4]) == tag {
				return b[binary.BigEndian.Uint32(e[8:]):]
			}
		}
		t.Fatalf("the font has no table %s", tag)
		return nil
	}
	widths, glyphs := binary.BigEndian.Uint16(table("hhea")[34:]), binary.BigEndian.Uint16(table("maxp")[4:])
	if widths != glyphs {
		t.Errorf("%d widths for %d glyphs", widths, glyphs)
	}
}

func TestStretches(t *testing.T) {
	for _, test := range []struct {
		s    string
		want []stretch
	}{
		{"", []stretch{{"", false}}},
		{"Tŷ 3", []stretch{{"Tŷ 3", false}}},
		{"東区", []stretch{{"東区", true}}},
		{"東区 3階 (北)", []stretch{{"東区", true}, {" 3", false}, {"階", true}, {" (", false}, {"北", true}, {")", false}}},
		{"배관-風管、①", []stretch{{"배관", true}, {"-", false}, {"風管、①", true}}},
		{"a□🔧ש", []stretch{{"a□🔧ש", false}}},
	} {
		for _, b := range []bool{false, true} {
			if got := stretches(test.s, b); !slices.Equal(got, test.want) {
				t.Errorf("stretches(%q, %v) = %v, want %v", test.s, b, got, test.want)
			}
		}
	}
}

// TestEastWidth: widths are summed by font; an ideograph, a kana, a syllable is as wide as it is high.
func TestEastWidth(t *testing.T) {
	for _, b := range []bool{false, true} {
		for _, test := range []struct {
			s    string
			want float64
		}{
			{"東区 3階 (北)", 4*2.5 + Width(" 3 ()", 2.5, b)},
			{"ダクト배관", 5 * 2.5},
			{"ﾀﾞｸﾄ", 4 * 2.5 / 2},
			{"バ", 2.5}, // in two parts
		} {
			if got := Width(test.s, 2.5, b); math.Abs(got-test.want) > 1e-9 {
				t.Errorf("Width(%q, 2.5, %v) = %v, want %v", test.s, b, got, test.want)
			}
		}
	}
}

// TestCompose compares with golang.org/x/text, which composes all letters: every syllable and every kana.
func TestCompose(t *testing.T) {
	for r := rune(0xac00); r < 0xac00+11172; r++ {
		if got := Compose("a" + norm.NFD.String(string(r)) + "가"); got != "a"+string(r)+"가" {
			t.Fatalf("Compose of the parts of %c = %q", r, got)
		}
	}
	n := 0
	for r := 'ぁ'; r <= 'ヽ'; r++ {
		for _, mark := range []string{"\u3099", "\u309a"} {
			s := string(r) + mark
			want := norm.NFC.String(s)
			if r >= 'ゐ' && r <= 'を' || r >= 'ワ' && r <= 'ヲ' {
				want = s // no font has these
			}
			if got := Compose(s); got != want {
				t.Errorf("Compose(%q) = %q, want %q", s, got, want)
			}
			if want != s {
				n++
			}
		}
	}
	if want := 2 * (20 + 5 + 2); n != want {
		t.Errorf("%d kana with marks, want %d", n, want)
	}
	for _, s := range []string{"", "e\u0301", "ᄀ", "\u1161", "\u3099", "각\u11a8", "Tŷ"} {
		if got := Compose(s); got != s {
			t.Errorf("Compose(%q) = %q", s, got)
		}
	}
}

func TestPieces(t *testing.T) {
	for _, test := range []struct {
		word string
		want []string
	}{
		{"", []string{""}},
		{"Gŵyr-3", []string{"Gŵyr-3"}},
		{"東区3階", []string{"東", "区3階"}},
		{"배관실", []string{"배관실"}},
		{"「北」側、ダクト。", []string{"「北」", "側、", "ダ", "ク", "ト。"}},
		{"シャッター（北）", []string{"シャッ", "ター", "（北）"}},
	} {
		if got := Pieces(test.word); !slices.Equal(got, test.want) {
			t.Errorf("Pieces(%q) = %q, want %q", test.word, got, test.want)
		}
	}
	if got, want := Fold("東区北側系統 duct", 1, 4.6, false, 0), []string{"東区北側", "系統 duct"}; !slices.Equal(got, want) {
		t.Errorf("Fold = %q, want %q", got, want)
	}
	if got, want := Fold("東区北側系統", 1, 4.1, false, 1), []string{"東区北…"}; !slices.Equal(got, want) {
		t.Errorf("Fold to one line = %q, want %q", got, want)
	}
}

// eastDrawing has the mixed line in every manner of writing.
func eastDrawing() *Drawing {
	d := &Drawing{Name: mixed, Desc: "배관", W: 150, H: 60, Scale: 10}
	for i := range 8 {
		d.Say(5+float64(i), 6+4*float64(i), Text{S: mixed, Size: 3, Tone: Ink, Bold: i&1 > 0, Halo: i&2 > 0, Anchor: Start})
	}
	d.Say(140, 58, Text{S: "東区 3階 (北)", Size: 3, Tone: Ink, Bold: true, Halo: true, Up: true})
	return d
}

// TestEastPDF: the letters can be found as text, the fonts are in the file, cut to what is used, and the bytes are
// the same twice; a file without such letters has not got the font.
func TestEastPDF(t *testing.T) {
	var a, b, none bytes.Buffer
	for _, w := range []*bytes.Buffer{&a, &b} {
		if err := PDF(w, eastDrawing(), PDFOptions{}); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("two writings differ")
	}
	if err := PDF(&none, plain(), PDFOptions{}); err != nil {
		t.Fatal(err)
	}
	if bytes.Contains(none.Bytes(), []byte(eastFamily)) {
		t.Error("the eastern font is in a file that has no use for it")
	}
	if more := a.Len() - none.Len(); more > 20000 {
		t.Errorf("%d bytes more than without eastern letters, want some thousand for a dozen letters", more)
	}
	for _, tool := range []string{"pdftotext", "pdffonts"} {
		if _, err := exec.LookPath(tool); err != nil {
			need.Skip(t, "%s (poppler-utils) is not installed: the text and the fonts of the PDF are not looked for", tool)
		}
	}
	name := filepath.Join(t.TempDir(), "east.pdf")
	if err := os.WriteFile(name, a.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	text, err := exec.Command("pdftotext", "-raw", name, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(string(text), strings.Replace(mixed, "🔧", string(unknown), 1)); n < 8 {
		t.Errorf("the line is %d times in the text, want 8 or more:\n%s", n, text)
	}
	fonts, err := exec.Command("pdffonts", name).Output()
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(fonts)), "\n")[2:]
	if len(lines) != 3 || !strings.Contains(string(fonts), eastFamily) {
		t.Errorf("want the two Go fonts and the eastern one:\n%s", fonts)
	}
	for _, l := range lines {
		if !strings.Contains(l, " yes ") {
			t.Errorf("not embedded: %s", l)
		}
	}
}

// TestBetweenFonts: in the PDF, each stretch begins where the widths before it end.
func TestBetweenFonts(t *testing.T) {
	d := &Drawing{W: 100, H: 20, Scale: 1}
	const size = 4.0
	d.Say(10, 10, Text{S: "a東b", Size: size, Tone: Ink})
	s := page(t, d)
	for _, want := range []float64{10, 10 + Width("a", size, false), 10 + Width("a", size, false) + size} {
		if at := "BT " + num(want/pointMM); !strings.Contains(s, at) {
			t.Errorf("no text begins %s in\n%s", at, s)
		}
	}
	if strings.Contains(s, " Tr") {
		t.Error("plain text is stroked")
	}
	d.Items = nil
	d.Say(10, 10, Text{S: "東", Size: size, Tone: Ink, Bold: true})
	if s := page(t, d); !strings.Contains(s, "2 Tr") || !strings.Contains(s, "0 Tr") {
		t.Errorf("a bold letter is not stroked, or what follows is:\n%s", s)
	}
}

// dots draws a text alone.
func dots(t *testing.T, s string, b bool) *image.RGBA {
	t.Helper()
	d := &Drawing{W: 20, H: 20, Scale: 1, Origin: r2.Point{}}
	d.Say(5, 15, Text{S: s, Size: 10, Tone: Ink, Bold: b})
	m, err := Raster(d, PNGOptions{Dots: 5})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// ink counts what is darker than half.
func ink(m *image.RGBA) int {
	n := 0
	for i := 0; i < len(m.Pix); i += 4 {
		if m.Pix[i] < 128 {
			n++
		}
	}
	return n
}

// TestEastPNG: each letter of the line but the emoji is drawn as itself, inside its em, and heavier in bold.
func TestEastPNG(t *testing.T) {
	for _, b := range []bool{false, true} {
		box := dots(t, string(unknown), b).Pix
		seen := map[string]rune{}
		for _, r := range mixed {
			m := dots(t, string(r), b)
			if is := bytes.Equal(m.Pix, box); is != (r == '🔧') {
				t.Errorf("%c is drawn as a box: %v", r, is)
			}
			if o, ok := seen[string(m.Pix)]; ok && o != r {
				t.Errorf("%c looks like %c", r, o)
			}
			seen[string(m.Pix)] = r
			if !Broad(r) {
				continue
			}
			// 5 dots to the mm: the em is 50 dots wide from 25 on, and the letter stands on 75.
			em := image.Rect(25, 75-int(eastUp*50)-1, 75+1, 75+int(eastDown*50)+1)
			if got := marked(m); got.Empty() || !got.In(em) {
				t.Errorf("%c lies in %v, want inside %v", r, got, em)
			}
			if b && ink(m) <= ink(dots(t, string(r), false)) {
				t.Errorf("%c is not heavier in bold", r)
			}
		}
	}
}

// TestEastHalo: behind letters with a halo no line is seen, not in the gaps between them either.
func TestEastHalo(t *testing.T) {
	d := &Drawing{W: 40, H: 20, Scale: 1}
	d.Stroke(Blue, 1, Solid, 0, 9, 40, 9)
	d.Say(5, 10, Text{S: "ッ・ッ", Size: 10, Tone: Ink, Halo: true})
	m, err := Raster(d, PNGOptions{Dots: 5})
	if err != nil {
		t.Fatal(err)
	}
	blue := Blue.Light()
	for x := range m.Rect.Max.X {
		c := m.RGBAAt(x, 45)
		is := c.R == blue.R && c.G == blue.G && c.B == blue.B
		if inside := x >= 25 && x < 175; is == inside {
			t.Errorf("at %d the line is there: %v, letters stand there: %v", x, is, inside)
		}
	}
	if s := page(t, d); !strings.Contains(s, " re f") {
		t.Error("the PDF has no ground behind the letters")
	}
}
