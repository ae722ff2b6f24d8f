package cell

import "strings"

// What a table is rewritten with: the other way round of Metres and DecimalComma.

// InMetres writes the lengths of a cell as a column in metres has them: "2700" becomes "2.7", "FFL+2740 mm..soffit" becomes
// "FFL+2.74..soffit", "2.70 m" becomes "2.70", so that Metres says the same of it. What it does not understand it leaves alone.
func InMetres(text string) string {
	if text == "" || hasFixedSize(text) || isScientific(clean(text)) {
		return text
	}
	return rewritten(text, func(s *scan, n numeral, from int) (string, bool) {
		end := s.at
		u := unitAfter(text[end:]) // of a size the unit behind its last number
		if !startsNumber(text, from) || u == noUnit && !endsNumber(text, end) && !s.times() {
			return "", false
		}
		s.at = end
		s.unit()
		if u == metre {
			return n.text, true
		}
		return metresOf(n.text), true
	})
}

// WithComma writes the numbers of a cell with decimal commas, for files separated by semicolons or tabs: "FFL+2.74" becomes
// "FFL+2,74", so that DecimalComma says the same of it where it can. What it does not understand it leaves alone.
func WithComma(text string) string {
	return rewritten(text, func(_ *scan, n numeral, from int) (string, bool) {
		return strings.Replace(n.text, ".", ",", 1), n.scale > 0 && startsDecimal(text, from)
	})
}

// rewritten returns a text with numbers written anew: write is called behind each, with where it begins, and may step over
// more that is to be left out. It reports false where the number stays.
func rewritten(text string, write func(s *scan, n numeral, from int) (string, bool)) string {
	var b strings.Builder
	done := 0 // how much of the text is in b
	s := scan{text: text}
	for s.at < len(text) {
		from := s.at
		if strings.HasPrefix(text[from:], "..") {
			s.at += 2
			continue
		}
		n, ok := s.numeral()
		if !ok {
			s.at++
			continue
		}
		end := s.at
		if number, ok := write(&s, n, from); ok {
			b.WriteString(text[done:from])
			b.WriteString(number)
			done = s.at
		} else {
			s.at = end
		}
	}
	b.WriteString(text[done:])
	return b.String()
}

// metresOf returns a number with its decimal point moved by three places to the left, without zeros that say nothing.
func metresOf(number string) string {
	whole, part, _ := strings.Cut(number, ".")
	if n := 4 - len(whole); n > 0 {
		whole = strings.Repeat("0", n) + whole
	}
	at := len(whole) - 3
	part = strings.TrimRight(whole[at:]+part, "0")
	whole = strings.TrimLeft(whole[:at-1], "0") + whole[at-1:at]
	if part == "" {
		return whole
	}
	return whole + "." + part
}
