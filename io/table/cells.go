package table

import (
	"voidline/void/cell"
)

// cells reads the cells of long tables: numbers, and levels that are little more, by itself, the rest by package
// cell, once for texts that come again.
type cells struct {
	names, memos store // words and what else is likely to be kept; texts of the memos

	words     memo[cell.Word]
	places    memo[cell.Place]
	sizes     memo[cell.Size]
	lengths   memo[cell.Length]
	coverings memo[cell.Covering]
	levels    memo[cell.Level]
	faces     memo[cell.Face]
	falls     memo[cell.Fall]
	flags     memo[cell.Flag]
	numbers   memo[cell.Number]
}

func newCells() *cells {
	z := &cells{names: store{size: 16 << 10}, memos: store{size: 4 << 10}}
	remember(&z.words, &z.names, cell.ParseWord)
	remember(&z.places, &z.memos, func(text string) cell.Place {
		p := cell.ParsePlace(text)
		p.Line = z.names.add(p.Line)
		return p
	})
	remember(&z.sizes, &z.memos, func(text string) cell.Size {
		s := cell.ParseSize(text)
		s.Name, s.Standard = z.names.add(s.Name), z.names.add(s.Standard)
		return s
	})
	remember(&z.lengths, &z.memos, cell.ParseLength)
	remember(&z.coverings, &z.memos, cell.ParseCovering)
	remember(&z.levels, &z.memos, cell.ParseLevel)
	remember(&z.faces, &z.memos, cell.ParseFace)
	remember(&z.falls, &z.memos, cell.ParseFall)
	remember(&z.flags, &z.memos, cell.ParseFlag)
	remember(&z.numbers, &z.memos, cell.ParseNumber)
	return z
}

func remember[C any](m *memo[C], texts *store, read func(string) C) { m.texts, m.read = texts, read }

// name reads a word that hardly ever comes twice.
func (z *cells) name(c *cell.Word, text string) *cell.Fault {
	*c = cell.Word{}
	if text != "" {
		*c = cell.ParseWord(text)
		c.Text = z.names.add(c.Text)
	}
	return c.Fault
}

func (z *cells) word(c *cell.Word, text string) *cell.Fault {
	if text == "" {
		*c = cell.Word{}
		return nil
	}
	*c = *z.words.get(text)
	return c.Fault
}

func (z *cells) place(c *cell.Place, text string) *cell.Fault {
	if text == "" {
		*c = cell.Place{}
	} else if mm, ok := decimal(text); ok {
		*c = cell.Place{Text: text, MM: mm}
	} else {
		*c = *z.places.get(text)
	}
	return c.Fault
}

func (z *cells) length(c *cell.Length, text string) *cell.Fault {
	if text == "" {
		*c = cell.Length{}
	} else if mm, ok := decimal(text); ok {
		*c = cell.Length{Text: text, MM: mm}
	} else {
		*c = *z.lengths.get(text)
	}
	return c.Fault
}

// level reads a level. A number alone is above FFL, and in doubt where it is small.
func (z *cells) level(c *cell.Level, text string) *cell.Fault {
	if text == "" {
		*c = cell.Level{}
		return nil
	}
	number := text
	if len(text) > 5 && text[:4] == "FFL+" && text[4] != '-' {
		number = text[4:]
	}
	if mm, ok := decimal(number); ok && (mm >= 20 || mm <= -20) {
		*c = cell.Level{Text: text, Low: cell.Height{Ref: cell.FFL, MM: mm}}
		return nil
	}
	*c = *z.levels.get(text)
	return c.Fault
}

func (z *cells) size(c *cell.Size, text string) *cell.Fault {
	if text == "" {
		*c = cell.Size{}
		return nil
	}
	*c = *z.sizes.get(text)
	return c.Fault
}

func (z *cells) covering(c *cell.Covering, text string) *cell.Fault {
	if text == "" {
		*c = cell.Covering{}
		return nil
	}
	*c = *z.coverings.get(text)
	return c.Fault
}

func (z *cells) face(c *cell.Face, text string) *cell.Fault {
	if text == "" {
		*c = cell.Face{}
		return nil
	}
	*c = *z.faces.get(text)
	return c.Fault
}

func (z *cells) fall(c *cell.Fall, text string) *cell.Fault {
	if text == "" {
		*c = cell.Fall{}
		return nil
	}
	*c = *z.falls.get(text)
	return c.Fault
}

func (z *cells) flag(c *cell.Flag, text string) *cell.Fault {
	if text == "" {
		*c = cell.Flag{}
		return nil
	}
	*c = *z.flags.get(text)
	return c.Fault
}

func (z *cells) number(c *cell.Number, text string) *cell.Fault {
	if text == "" {
		*c = cell.Number{}
		return nil
	}
	*c = *z.numbers.get(text)
	return c.Fault
}

func (z *cells) list(c *cell.Names, text string) *cell.Fault {
	*c = cell.Names{}
	if text != "" {
		*c = cell.ParseNames(z.names.add(text))
	}
	return c.Fault
}

// decimal reads a number such as 1200, -35.5 or 12. as cell.ParseLength and cell.ParsePlace read it. It reports
// false of any other text, of more than 15 characters behind the sign, and of what is beyond cell.Bound.
func decimal(text string) (float64, bool) {
	digits := text
	if text[0] == '-' {
		digits = text[1:]
	}
	if digits == "" || len(digits) > 15 || digits[0] == '.' {
		return 0, false
	}
	whole, point := uint64(0), -1
	for i := 0; i < len(digits); i++ {
		if d := digits[i] - '0'; d <= 9 {
			whole = whole*10 + uint64(d)
		} else if digits[i] == '.' && point < 0 {
			point = i
		} else {
			return 0, false
		}
	}
	v := float64(whole)
	if point >= 0 {
		v /= tens[len(digits)-1-point] // both are exact, so that the result is the nearest
	}
	if v > cell.Bound {
		return 0, false
	}
	if len(digits) < len(text) && v != 0 {
		v = -v
	}
	return v, true
}

// tens are powers of ten.
var tens = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14}
