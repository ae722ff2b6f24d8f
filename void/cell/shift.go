package cell

import (
	"math"
	"math/big"
	"strings"
)

// How a level or a place is shifted, in plain words: the number in the text is replaced by one that is so much more, and all
// that stands round it stays: the reference and how it is spelt, the grid line, the face, the unit, the blanks. The
// sum is done on the digits, so that nothing drifts. What comes out is read again; where it does not say what it
// should (the form has no room for the new number), the text is written anew in the usual form.

// thousandth is the least shift of a text, mm.
const thousandth = 1e-3

// thousandths returns a length in whole thousandths of a millimetre; false where it is no length.
func thousandths(mm float64) (int64, bool) {
	if !within(mm) {
		return 0, false
	}
	return int64(math.Round(mm / thousandth)), true
}

// Shifted returns the text of a level whose lower end is low higher and whose upper end, of a range, is high higher, mm to
// the nearest thousandth, in the form in which c is written. A level that is no range has the lower end alone. false
// where c is no level, or what comes out is none.
func (c Level) Shifted(low, high float64) (string, bool) {
	byLow, ok := thousandths(low)
	byHigh, okHigh := thousandths(high)
	if c.Text == "" || c.Fault != nil || c.None || !ok || !okHigh {
		return "", false
	}
	want := c
	want.Low.MM = added(c.Low.MM, byLow)
	if c.Range {
		want.High.MM = added(c.High.MM, byHigh)
	}
	good := func(text string) bool {
		is := ParseLevel(text)
		return is.Fault == nil && is.Low.is(want.Low) && is.High.is(want.High) && is.Range == c.Range && is.Says == c.Says
	}
	s := scan{text: clean(c.Text)}
	text, ok := s.shifted(byLow)
	if ok && c.Range {
		from := s.at
		if ok = s.to(); ok {
			s.blanks()
			between := s.text[from:s.at]
			var upper string
			upper, ok = s.shifted(byHigh)
			text += between + upper
		}
	}
	if ok && good(text) {
		return text, true
	}
	text = want.String()
	return text, good(text)
}

// is reports whether two heights are the same but for what a sum leaves in the last digits.
func (h Height) is(o Height) bool { return h.Ref == o.Ref && math.Abs(h.MM-o.MM) < thousandth/2 }

// shifted steps over one end of a level and returns its text, raised.
func (s *scan) shifted(by int64) (string, bool) {
	s.blanks()
	from := s.at
	if _, t := s.height(); t != fine {
		return "", false
	}
	whole := trimRight(s.text[from:s.at])
	s.at = from + len(whole) // what parts the ends of a range keeps its blanks
	if by == 0 {
		return whole, true
	}
	in := scan{text: whole}
	var e end
	front, t := in.inFront(&e)
	if t != fine {
		return "", false
	}
	named := trimRight(whole[:in.at])
	f, ok := in.figure()
	if !ok {
		if e.says != Unsaid || named != whole {
			return "", false // a face stands where the number would
		}
		return named + f.sum(by).signed(), true
	}
	behind := in
	if way, found, _ := behind.behind(&e); found && !front && way != 0 {
		return f.sided(whole, way, by), true
	}
	v := f.sum(by)
	bare := e.ref.storeyHigh() || !front // a number without a sign is above it
	if front && v.zero() && named+f.of(v).sum(-by).signed() == whole {
		return named, true // no offset: the way back leads to the same text again
	}
	return f.put(whole, v, !front, bare, e.ref.storeyHigh() && !front), true
}

// Shifted returns the text of a place that is by further along its axis, mm to the nearest thousandth, in the form in which c is
// written: from the same grid line, where it is from one. false where c is no place, or what comes out is none.
func (c Place) Shifted(by float64) (string, bool) {
	n, ok := thousandths(by)
	if c.Text == "" || c.Fault != nil || !ok {
		return "", false
	}
	want := c
	want.MM = added(c.MM, n)
	good := func(text string) bool {
		is := ParsePlace(text)
		return is.Fault == nil && is.Line == c.Line && math.Abs(is.MM-want.MM) < thousandth/2
	}
	text := clean(c.Text)
	if n != 0 {
		text = shiftedPlace(text, c.Line, n)
	}
	if good(text) {
		return text, true
	}
	text = want.String()
	return text, good(text)
}

// shiftedPlace returns a place that is shifted; line is the grid line that it is from.
func shiftedPlace(text, line string, by int64) string {
	s := scan{text: text}
	if line == "" {
		f, _ := s.figure()
		return f.put(text, f.sum(by), true, true, false)
	}
	sign := "%" // as blanks stand behind the word grid, so round the sign
	if s.gridWord() && s.at > 0 && blankAt(text, s.at-1) > 0 {
		sign = " % "
	}
	offset := func(v amount) string { return strings.ReplaceAll(sign, "%", v.sign()) + v.digits }
	label, _ := splitOffset(text[s.at:])
	named := text[:s.at+len(label)]
	s.at = len(named)
	f, ok := s.figure()
	if !ok {
		return named + offset(figure{}.sum(by))
	}
	v := f.sum(by)
	if v.zero() && named+offset(f.of(v).sum(-by)) == text {
		return named
	}
	return f.put(text, v, false, false, false)
}

// figure is a length as it stands in a text.
type figure struct {
	number      string // digits with at most one decimal point; "" where none is written
	unit        unit
	way         int // of the sign, 0 where there is none
	sign, signs int // the sign is text[sign:signs]
	at, end     int // the number is text[at:end]
}

// figure steps over a length.
func (s *scan) figure() (f figure, ok bool) {
	from := s.at
	s.blanks()
	f.sign = s.at
	f.way = s.sign()
	f.signs = s.at
	s.blanks()
	f.at = s.at
	n, ok := s.numeral()
	if !ok {
		s.at = from
		return figure{}, false
	}
	f.number, f.end = n.text, s.at
	f.unit = s.unit()
	return f, true
}

// amount is a number to be written: its digits, with its sign apart.
type amount struct {
	digits string
	way    int // -1, 1, or 0 for nothing
}

func (v amount) zero() bool { return v.way == 0 }

// sign returns the sign of an amount: + for nothing, too.
func (v amount) sign() string {
	if v.way < 0 {
		return "-"
	}
	return "+"
}

// signed returns the amount as an offset.
func (v amount) signed() string { return v.sign() + v.digits }

// of returns the figure with another number in it, as if it had been written so.
func (f figure) of(v amount) figure {
	f.number, f.way = v.digits, v.way
	return f
}

// sum returns the figure plus by thousandths of a millimetre, in the figure's own unit. It has as many decimals as are written,
// and more where they are needed. Decimals of a millimetre that are needed no more go.
func (f figure) sum(by int64) amount {
	whole, part, _ := strings.Cut(f.number, ".")
	places := 3 // decimals of a thousandth of a millimetre
	if f.unit == metre {
		places = 6
	}
	scale := max(len(part), places)
	v := new(big.Int)
	v.SetString("0"+whole+part+strings.Repeat("0", scale-len(part)), 10)
	if f.way < 0 {
		v.Neg(v)
	}
	add := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(scale-places)), nil)
	v.Add(v, add.Mul(add, big.NewInt(by)))
	way := v.Sign()
	digits := v.Abs(v).String()
	if len(digits) <= scale {
		digits = strings.Repeat("0", scale+1-len(digits)) + digits
	}
	whole, rest := digits[:len(digits)-scale], digits[len(digits)-scale:]
	least := len(part)
	if f.unit != metre && !strings.HasSuffix(part, "0") {
		least = 0
	}
	for len(rest) > least && rest[len(rest)-1] == '0' {
		rest = rest[:len(rest)-1]
	}
	if rest != "" {
		whole += "." + rest
	}
	return amount{whole, way}
}

// put writes an amount in the place of the figure. alone: no reference stands in front of it, so that a minus can go. bare: without
// a sign it is above the reference. high: it is as high as a storey, so that below 20 it needs its unit.
func (f figure) put(text string, v amount, alone, bare, high bool) string {
	front, sign, blanks := text[:f.sign], text[f.sign:f.signs], text[f.signs:f.at]
	switch {
	case f.way == 0 && v.way < 0, f.way > 0 && v.way < 0:
		sign = "-"
	case f.way == 0 && v.way > 0 && !bare:
		sign = "+"
	case f.way < 0 && v.way >= 0 && alone:
		sign, blanks = "", ""
	case f.way < 0 && v.way > 0:
		sign = "+"
	}
	out := front + sign + blanks + v.digits
	if high && f.unit == noUnit && !v.zero() && len(strings.SplitN(v.digits, ".", 2)[0]) < 3 {
		if mm, _, _, _ := (&scan{text: v.digits}).length(); mm < 20 {
			out += " mm"
		}
	}
	return out + text[f.end:]
}

// otherSide are the words that say on which side of a reference a level is.
var otherSide = map[string]string{"above": "below", "below": "above", "over": "under", "under": "over"}

// sided writes 60 below soffit: the word says the sign, and changes where the level comes to the other side.
func (f figure) sided(text string, way int, by int64) string {
	f.way = way
	v := f.sum(by)
	rest := text[f.end:]
	if v.way == -way {
		for i := range rest {
			s := scan{text: rest, at: i}
			if i > 0 && isLetter(rest[i-1]) {
				continue
			}
			var buf [16]byte
			word, n := s.letters(&buf)
			if other, ok := otherSide[string(word)]; ok {
				rest = rest[:i] + other + rest[i+n:]
				break
			}
		}
	}
	return text[:f.at] + v.digits + rest
}

// Plus returns a length and a shift of it, mm to the nearest thousandth, as it is read again where the sum is written.
func Plus(mm, by float64) float64 {
	n, ok := thousandths(by)
	if n == 0 || !ok {
		return mm
	}
	return added(mm, n)
}

// added returns a length plus thousandths of a millimetre without what a sum leaves in the last digits.
func added(mm float64, by int64) float64 {
	sum := mm + float64(by)*thousandth
	if whole := math.Round(sum / thousandth); math.Abs(sum-whole*thousandth) < 1e-6 {
		return whole / 1000
	}
	return sum
}
