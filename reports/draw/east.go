package draw

import (
	"bytes"
	"compress/gzip"
	_ "embed"
	"strings"
	"sync"
	"unicode/utf8"

	"codeberg.org/go-pdf/fpdf"
)

// eastPacked is the font of Chinese, Japanese and Korean letters and of signs that such names stand with;
// east/NOTICE.md says where it comes from and under what licence.
//
//go:embed east/east.ttf.gz
var eastPacked string

// eastFamily is the name under which a PDF knows that font.
const eastFamily = Family + "-east"

// eastHeavy is how far a letter of that font grows where bold is asked for, of the type's height: it has one weight.
const eastHeavy = 0.03

// eastUp and eastDown are how far its letters reach over and under the line they stand on, of the type's height
// (99 of 100: 0.82 and 0.10).
const eastUp, eastDown = 0.84, 0.12

// The font is unpacked (4.6 MB, some 50 ms) when a text first wants it.
var (
	eastTTF = sync.OnceValue(func() []byte {
		var b bytes.Buffer
		b.Grow(5 << 20)
		z, err := gzip.NewReader(strings.NewReader(eastPacked))
		if err == nil {
			_, err = b.ReadFrom(z)
		}
		if err != nil {
			panic(err) // the font is part of the program
		}
		return b.Bytes()
	})
	eastFace = sync.OnceValue(func() *face { return newFace(eastTTF()) })
)

// mayBeEast reports whether a sign lies where the eastern font has some, so that other scripts do not unpack it.
func mayBeEast(r rune) bool {
	return r >= 0x2e80 && r < 0xa000 || r >= 0xac00 && r < 0xd7a4 || r >= 0xf900 && r <= 0xffff ||
		r >= 0x2010 && r < 0x27c0 || r >= 0x1100 && r < 0x1200 || r >= 0x2b0 && r < 0x300
}

// east returns the eastern face where it has a sign, else nil.
func east(r rune) *face {
	if mayBeEast(r) {
		if f := eastFace(); f.has(r) {
			return f
		}
	}
	return nil
}

// Has reports whether PDF and PNG have a letter; what they have not is drawn as a box.
func Has(r rune) bool { return regular().has(r) || east(r) != nil }

// stretch is a piece of a text whose letters stand in one font.
type stretch struct {
	s    string
	east bool
}

// stretches cuts a text where its font changes; what no font has goes with the Go font.
func stretches(s string, b bool) []stretch {
	f := faceOf(b)
	var out []stretch
	from, was := 0, false
	for i, r := range s {
		is := r >= utf8.RuneSelf && mayBeEast(r) && !f.has(r) && east(r) != nil
		if is != was && i > from {
			out = append(out, stretch{s[from:i], was})
			from = i
		}
		was = is
	}
	return append(out, stretch{s[from:], was})
}

// useEast makes the eastern font known to a PDF that does not know it. The library writes into the bytes
// that it gets, so they are its own.
func useEast(p *fpdf.Fpdf) {
	if p.GetFontDesc(eastFamily, "") == (fpdf.FontDescType{}) {
		p.AddUTF8FontFromBytes(eastFamily, "", bytes.Clone(eastTTF()))
	}
}

// Compose puts together letters that came in parts, as some file systems write names: Hangul from its jamo, kana
// with their marks of voicing. The rest is left as it is.
//
// Source: The Unicode Standard, section 3.12, arithmetic of Hangul syllables (from memory).
func Compose(s string) string {
	if strings.IndexByte(s, 0xe1) < 0 && strings.IndexByte(s, 0xe3) < 0 {
		return s // the first bytes of jamo and of the marks
	}
	const l0, v0, t0, s0 = 0x1100, 0x1161, 0x11a7, 0xac00
	out := make([]rune, 0, len(s))
	for _, r := range s {
		last := rune(0)
		if len(out) > 0 {
			last = out[len(out)-1]
		}
		switch {
		case r >= v0 && r < v0+21 && last >= l0 && last < l0+19:
			out[len(out)-1] = s0 + ((last-l0)*21+r-v0)*28
			continue
		case r > t0 && r < t0+28 && last >= s0 && last < s0+11172 && (last-s0)%28 == 0:
			out[len(out)-1] += r - t0
			continue
		case r == 0x3099 || r == 0x309a:
			if v := voiced(last, r); v != 0 {
				out[len(out)-1] = v
				continue
			}
		}
		out = append(out, r)
	}
	return string(out)
}

// voiced returns a kana with its mark in one sign, 0 where there is none.
func voiced(r, mark rune) rune {
	base := r
	if r >= 'ァ' && r <= 'ヶ' {
		base -= 'ァ' - 'ぁ'
	}
	if mark == 0x309a {
		if strings.ContainsRune("はひふへほ", base) {
			return r + 2
		}
		return 0
	}
	switch {
	case base == 'う':
		return r + 'ゔ' - 'う'
	case r == 'ゝ' || r == 'ヽ':
		return r + 1
	case strings.ContainsRune("かきくけこさしすせそたちつてとはひふへほ", base):
		return r + 1
	}
	return 0
}

// Pieces cuts a word where a line may break inside it: between ideographs and kana, but not before a sign that
// closes, nor behind one that opens. Other words stay whole, Korean ones too, for they stand between blanks.
func Pieces(word string) []string {
	var out []string
	from := 0
	last := rune(0)
	for i, r := range word {
		if i > from && ideograph(last) && ideograph(r) && !strings.ContainsRune(opens, last) && !strings.ContainsRune(closes, r) {
			out = append(out, word[from:i])
			from = i
		}
		last = r
	}
	return append(out, word[from:])
}

// What no line ends with, and what none begins with (common practice of Chinese and Japanese setting, no source).
const (
	opens  = "（〔［｛〈《「『【〘〖〝"
	closes = "、。，．・：；？！）〕］｝〉》」』】〙〗〟ーぁぃぅぇぉっゃゅょゎァィゥェォッャュョヮヵヶ々〻ゝゞヽヾ゛゜〜～％｡｣､･ｧｨｩｪｫｬｭｮｯｰﾞﾟ"
)

// ideograph reports whether a sign is one of Chinese or Japanese: ideographs, kana, and what stands with them.
func ideograph(r rune) bool {
	return r >= 0x2e80 && r < 0xa000 && (r < 0x3130 || r >= 0x3190) || r >= 0xf900 && r < 0xfb00 || r >= 0xff01 && r < 0xffa0
}

// Broad reports whether a letter is about as wide as it is high.
func Broad(r rune) bool {
	return ideograph(r) || r >= 0x1100 && r < 0x1200 || r >= 0xac00 && r < 0xd7a4
}
