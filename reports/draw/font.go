package draw

import (
	"strings"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// face is one of the fonts that the PDF carries and the PNG is drawn with: the two Go fonts (BSD licence), and
// for what they do not have the eastern one. An SVG leaves the font to who shows it.
type face struct {
	font *sfnt.Font
	mu   sync.Mutex
	buf  sfnt.Buffer
	wide map[rune]float64 // of the type's height, other faces' signs as well
}

var (
	regular = sync.OnceValue(func() *face { return newFace(goregular.TTF) })
	bold    = sync.OnceValue(func() *face { return newFace(gobold.TTF) })
)

func newFace(ttf []byte) *face {
	f, err := sfnt.Parse(ttf)
	if err != nil {
		panic(err) // the font is part of the program
	}
	return &face{font: f, wide: map[rune]float64{}}
}

func faceOf(b bool) *face {
	if b {
		return bold()
	}
	return regular()
}

// unknown stands for a sign that the fonts do not have.
const unknown = '□'

// has reports whether the font has a sign.
func (f *face) has(r rune) bool {
	if r > 0xffff {
		return false
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	i, err := f.font.GlyphIndex(&f.buf, r)
	return err == nil && i != 0
}

// advance returns the width of a sign in the face or, where that lacks it, in the eastern one, of the type's height.
func (f *face) advance(r rune) float64 {
	f.mu.Lock()
	defer f.mu.Unlock()
	if w, ok := f.wide[r]; ok {
		return w
	}
	w := 0.6
	if i, err := f.font.GlyphIndex(&f.buf, r); err == nil && i != 0 && r <= 0xffff {
		em := fixed.I(int(f.font.UnitsPerEm()))
		if a, err := f.font.GlyphAdvance(&f.buf, i, em, font.HintingNone); err == nil {
			w = float64(a) / float64(em)
		}
	} else if e := east(r); e != nil && e != f {
		w = e.advance(r)
	} else if r >= 0x1100 {
		w = 1 // a sign of another script, as wide as it is high
	}
	f.wide[r] = w
	return w
}

// Width returns how wide a text is at a size, in the size's units: exact in PDF and PNG, near in SVG.
func Width(s string, size float64, b bool) float64 {
	f := faceOf(b)
	w := 0.0
	for _, r := range Compose(s) {
		w += f.advance(r)
	}
	return w * size
}

// printable returns a text with each sign that no font has replaced by a box.
func printable(s string, b bool) string {
	f := faceOf(b)
	out := make([]rune, 0, len(s))
	for _, r := range Compose(s) {
		switch {
		case r == ' ' || r == 0xa0:
			r = ' '
		case !f.has(r) && east(r) == nil:
			r = unknown
		}
		out = append(out, r)
	}
	return string(out)
}

// Fit returns a text short enough for a width: its beginning and its end with … between, for names of one
// run often differ at the end.
func Fit(s string, size, width float64, b bool) string {
	s = Compose(s)
	if Width(s, size, b) <= width {
		return s
	}
	rs := []rune(s)
	f := faceOf(b)
	room := width/size - f.advance('…')
	head, tail := 0, len(rs)
	used := 0.0
	// Two from the beginning for each from the end.
	for head < tail {
		w := f.advance(rs[head])
		if used+w > room {
			break
		}
		used += w
		head++
		if head%2 == 0 && head < tail {
			if w = f.advance(rs[tail-1]); used+w > room {
				break
			}
			used += w
			tail--
		}
	}
	if head >= tail {
		return s
	}
	return string(rs[:head]) + "…" + string(rs[tail:])
}

// Fold breaks a text at its blanks, and between ideographs, into lines no wider than width, the last of at
// most most lines cut short where there is more (0: no limit).
func Fold(s string, size, width float64, b bool, most int) []string {
	var lines []string
	line := ""
	words := splitWords(Compose(s))
	for i, w := range words {
		next := line + w.gap + w.s
		if line == "" {
			next = w.s
		}
		if line == "" || Width(next, size, b) <= width {
			line = next
			continue
		}
		if most > 0 && len(lines) == most-1 {
			rest := line
			for _, x := range words[i:] {
				rest += x.gap + x.s
			}
			return append(lines, FitEnd(rest, size, width, b))
		}
		lines = append(lines, Fit(line, size, width, b))
		line = w.s
	}
	return append(lines, Fit(line, size, width, b))
}

// FitEnd returns a text cut short at its end.
func FitEnd(s string, size, width float64, b bool) string {
	s = Compose(s)
	if Width(s, size, b) <= width {
		return s
	}
	f := faceOf(b)
	room, used := width/size-f.advance('…'), 0.0
	for i, r := range s {
		if used += f.advance(r); used > room {
			return s[:i] + "…"
		}
	}
	return s
}

// word is a piece that stays on one line, and what stands between it and the one before: a blank or nothing.
type word struct{ gap, s string }

func splitWords(s string) []word {
	var out []word
	for w := range strings.SplitSeq(s, " ") {
		if w == "" {
			continue
		}
		gap := " "
		for _, p := range Pieces(w) {
			out = append(out, word{gap, p})
			gap = ""
		}
	}
	return out
}
