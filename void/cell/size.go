package cell

import (
	"strconv"
	"strings"
)

// Reading a size, in plain words:
//
//	1. Begins with a letter that is no diameter word: DN and a number, or a steel name with the
//	   family in front (UB 406x178x60, HEA 200, HE 200 A, IPE 300).
//	2. Else up to three numbers with x between them, each with a unit or the last alone (it
//	   then holds for all), a diameter sign or word in front of the first or behind it.
//	3. Behind them may stand a family (406x178x60 UB) or a standard (15 EN 1057).

// LeastSide is the least that a side of a section may measure, mm: what is less was meant in metres.
const LeastSide = 1

const wantSize = "a size, such as 600x300, ø250, DN50, UB 406x178x60 or 600x600x100"

// ParseSize reads the bare size of a section or an item. Lengths without a unit are in millimetres; a
// unit behind the last number alone holds for all: 0.6x0.3 m. No length is below LeastSide.
//
//	600x300          Rectangle: across, high
//	600x600x100      Solid: along x, along y, high
//	ø250, dia 250, 250 dia, ø250x100   Circle, Disc
//	150              Single
//	DN50, DN150 EN 10255, 15 EN 1057   NominalDN; Standard without BS or DIN in front and without a year
//	UB 406x178x60, 406x178x60 UB, HEA 200, HE 200 A, IPE 300   SteelName; whether a table has
//	                 the section is for the catalogue to say
func ParseSize(text string) Size {
	t := clean(text)
	if t == "" {
		return Size{}
	}
	s := scan{text: t}
	size, trouble := s.size()
	if trouble == sizeFine && !s.done() {
		trouble = sizeUnread
	}
	if trouble != sizeFine {
		return Size{Text: t, Fault: sizeFault(t, trouble)}
	}
	size.Text = t
	return size
}

// sizeTrouble is why a size cannot be read.
type sizeTrouble uint8

const (
	sizeFine sizeTrouble = iota
	sizeUnread
	sizeZero
	sizeSmall
	sizeTooLarge
	sizeMixedUnits
	sizeSteelNumbers
	sizeSteelSeries
)

// family is a family of steel sections.
type family uint8

const (
	noFamily family = iota
	ub
	uc
	ubp
	pfc
	shs
	rhs
	chs
	ipe
	ipn
	upn
	upe
	he
	hea
	heb
	hem
	heaa
)

// name returns the family as a canonical name begins.
func (f family) name() string {
	switch f {
	case ub:
		return "UB"
	case uc:
		return "UC"
	case ubp:
		return "UBP"
	case pfc:
		return "PFC"
	case shs:
		return "SHS"
	case rhs:
		return "RHS"
	case chs:
		return "CHS"
	case ipe:
		return "IPE"
	case ipn:
		return "IPN"
	case upn:
		return "UPN"
	case upe:
		return "UPE"
	}
	return "HE"
}

// numbers returns how many numbers a name of the family has.
func (f family) numbers() int {
	switch f {
	case ub, uc, ubp, pfc, shs, rhs:
		return 3
	case chs:
		return 2
	}
	return 1
}

// series returns the letter behind the number of an HE section, "" where the family does not fix it.
func (f family) series() string {
	switch f {
	case hea:
		return "A"
	case heb:
		return "B"
	case hem:
		return "M"
	case heaa:
		return "AA"
	}
	return ""
}

// family steps over the name of a family of steel sections.
func (s *scan) family() family {
	var buf [16]byte
	word, n := s.letters(&buf)
	f := noFamily
	switch string(word) {
	case "ub":
		f = ub
	case "uc":
		f = uc
	case "ubp":
		f = ubp
	case "pfc":
		f = pfc
	case "shs":
		f = shs
	case "rhs":
		f = rhs
	case "chs":
		f = chs
	case "ipe":
		f = ipe
	case "ipn", "inp":
		f = ipn
	case "upn", "unp":
		f = upn
	case "upe":
		f = upe
	case "he":
		f = he
	case "hea":
		f = hea
	case "heb":
		f = heb
	case "hem":
		f = hem
	case "heaa":
		f = heaa
	}
	if f != noFamily {
		s.at += n
	}
	return f
}

// size steps over a size. What may follow it, the caller looks at.
func (s *scan) size() (Size, sizeTrouble) {
	if isLetter(s.peek()) {
		if f := s.family(); f != noFamily {
			return s.steel(f)
		}
		if s.word("dn") {
			return s.nominal()
		}
	}
	round := s.diameter()
	var (
		n     [3]numeral
		u     [3]unit
		minus [3]bool
		count int
	)
	for {
		s.blanks()
		minus[count] = s.sign() < 0
		s.blanks()
		var ok bool
		if n[count], ok = s.numeral(); !ok {
			return Size{}, sizeUnread
		}
		u[count] = s.unit()
		count++
		if count == 1 && !round {
			s.blanks()
			round = s.diameter()
			if u[0] == noUnit && round {
				u[0] = s.unit()
			}
		}
		if count == len(n) || !s.times() {
			break
		}
	}
	s.blanks()
	bare := !round && u == [3]unit{} && minus == [3]bool{}
	if f := s.family(); f != noFamily {
		if !bare {
			return Size{}, sizeUnread
		}
		return s.steelBehind(f, n[:count])
	}
	if count == 1 && !minus[0] {
		if standard, ok := s.standard(); ok {
			a := n[0].value(u[0].shift())
			switch {
			case !(a > 0):
				return Size{}, sizeZero
			case !within(a):
				return Size{}, sizeTooLarge
			}
			return Size{Form: NominalDN, A: a, Standard: standard}, sizeFine
		}
	}
	// A unit behind the last number alone holds for all.
	last := u[count-1]
	for i := range count {
		if u[i] != noUnit && last == noUnit || u[i] == noUnit && i > 0 && u[i-1] != noUnit {
			return Size{}, sizeMixedUnits
		}
	}
	var v [3]float64
	for i := range count {
		if u[i] == noUnit {
			u[i] = last
		}
		v[i] = n[i].value(u[i].shift())
		if !(v[i] > 0) || minus[i] {
			return Size{}, sizeZero
		}
		switch {
		case v[i] < LeastSide:
			return Size{}, sizeSmall
		case !within(v[i]):
			return Size{}, sizeTooLarge
		}
	}
	if count == 2 && u[0] == metre && v[0] >= 100e3 && v[0] > 1000*v[1] { // 600x0.3 m
		return Size{}, sizeMixedUnits
	}
	size := Size{A: v[0], B: v[1], C: v[2]}
	switch {
	case round && count == 1:
		size.Form = Circle
	case round && count == 2:
		size.Form = Disc
	case count == 1:
		size.Form = Single
	case count == 2:
		size.Form = Rectangle
	case !round:
		size.Form = Solid
	default:
		return Size{}, sizeUnread
	}
	return size, sizeFine
}

// diameter steps over a diameter sign or word.
func (s *scan) diameter() bool {
	for _, sign := range [...]string{"ø", "Ø", "⌀", "∅", "Φ", "φ"} {
		if len(s.text)-s.at >= len(sign) && s.text[s.at:s.at+len(sign)] == sign {
			s.at += len(sign)
			return true
		}
	}
	if lower(s.peek()) != 'd' || !s.word("dia") && !s.word("diam") && !s.word("diameter") {
		return false
	}
	s.byte('.')
	return true
}

// times steps over what stands between the numbers of a size: x, ×, an asterisk, the word by.
func (s *scan) times() bool {
	from := s.at
	s.blanks()
	switch c := s.peek(); {
	case c == 'x' || c == 'X' || c == '*':
		s.at++
		return true
	case len(s.text)-s.at >= 2 && s.text[s.at:s.at+2] == "×":
		s.at += 2
		return true
	case len(s.text)-s.at >= 3 && (s.text[s.at:s.at+3] == "✕" || s.text[s.at:s.at+3] == "✖"):
		s.at += 3
		return true
	case s.word("by"):
		return true
	}
	s.at = from
	return false
}

// nominal steps over the number behind DN, and a standard behind that.
func (s *scan) nominal() (Size, sizeTrouble) {
	s.blanks()
	n, ok := s.numeral()
	if !ok {
		return Size{}, sizeUnread
	}
	size := Size{Form: NominalDN, A: n.value(0)}
	if !(size.A > 0) {
		return Size{}, sizeZero
	}
	if !within(size.A) {
		return Size{}, sizeTooLarge
	}
	size.Standard, _ = s.standard()
	return size, sizeFine
}

// standard steps over the name of a pipe standard, with or without brackets, "to", BS, DIN or a year:
// EN 10255, (BS EN 10255:2004), to EN 1329-1.
func (s *scan) standard() (string, bool) {
	from := s.at
	s.blanks()
	bracket := s.byte('(')
	s.blanks()
	if s.word("to") {
		s.blanks()
	}
	if s.word("bs") || s.word("din") || s.word("nf") {
		s.blanks()
	}
	start := s.at
	ok := s.word("en")
	s.blanks()
	number := s.at
	for isDigit(s.peek()) {
		s.at++
	}
	ok = ok && s.at > number
	if s.peek() == '-' && s.at+1 < len(s.text) && isDigit(s.text[s.at+1]) {
		s.at++
		for isDigit(s.peek()) {
			s.at++
		}
	}
	end := s.at
	if s.byte(':') {
		year := s.at
		for isDigit(s.peek()) {
			s.at++
		}
		ok = ok && s.at == year+4
	}
	if bracket {
		s.blanks()
		ok = ok && s.byte(')')
	}
	if !ok {
		s.at = from
		return "", false
	}
	if whole := s.text[start:end]; whole[:3] == "EN " && number == start+3 {
		return whole, true
	}
	return "EN " + s.text[number:end], true
}

// steel steps over the numbers behind the name of a family.
func (s *scan) steel(f family) (Size, sizeTrouble) {
	var n [3]numeral
	count := 0
	for {
		s.blanks()
		var ok bool
		if n[count], ok = s.numeral(); !ok {
			return Size{}, sizeSteelNumbers
		}
		count++
		if count == len(n) || !s.times() {
			break
		}
	}
	return s.steelName(f, n[:count])
}

// steelBehind steps over what may follow a family that stands behind its numbers: 406x178 UB 60.
func (s *scan) steelBehind(f family, n []numeral) (Size, sizeTrouble) {
	var all [3]numeral
	count := copy(all[:], n)
	s.blanks()
	if count == f.numbers()-1 {
		s.times()
		s.blanks()
		last, ok := s.numeral()
		if !ok {
			return Size{}, sizeSteelNumbers
		}
		all[count] = last
		count++
	}
	return s.steelName(f, all[:count])
}

// steelName puts a canonical name together, stepping over the series of an HE section.
func (s *scan) steelName(f family, n []numeral) (Size, sizeTrouble) {
	if len(n) != f.numbers() {
		return Size{}, sizeSteelNumbers
	}
	series := f.series()
	if f == he {
		s.blanks()
		switch {
		case s.word("aa"):
			series = "AA"
		case s.word("a"):
			series = "A"
		case s.word("b"):
			series = "B"
		case s.word("m"):
			series = "M"
		default:
			return Size{}, sizeSteelSeries
		}
	}
	var buf [64]byte
	name := append(buf[:0], f.name()...)
	for i := range n {
		v := n[i].value(0)
		if !(v > 0) {
			return Size{}, sizeZero
		}
		if !within(v) {
			return Size{}, sizeTooLarge
		}
		sep := byte('x')
		if i == 0 {
			sep = ' '
		}
		name = append(name, sep)
		name = strconv.AppendFloat(name, v, 'f', -1, 64)
	}
	if series != "" {
		name = append(name, ' ')
		name = append(name, series...)
	}
	size := Size{Form: SteelName}
	if s.text == string(name) {
		size.Name = s.text // already in the catalogue's spelling
	} else {
		size.Name = string(name)
	}
	return size, sizeFine
}

// sizeFault explains why a size cannot be read.
func sizeFault(text string, t sizeTrouble) *Fault {
	f := &Fault{What: quote(text) + " is not a size", Want: wantSize}
	switch t {
	case sizeZero:
		f.Want = "lengths greater than zero, such as 600x300"
	case sizeSmall:
		f.What = quote(text) + " is too small for a size in millimetres"
		if len(text) <= longest && !strings.HasSuffix(text, "m") {
			f.Hint = "if it is metres, write " + text + " m"
		}
	case sizeTooLarge:
		return tooFar(text)
	case sizeMixedUnits:
		f.Hint = "give every number its unit, or one unit at the end for all"
	case sizeSteelNumbers:
		f.Hint = "a steel section is written in full, such as UB 406x178x60, HE 200 A or IPE 300"
	case sizeSteelSeries:
		f.Hint = "say which series: HE 200 A, HE 200 B or HE 200 M"
	default:
		if len(text) <= longest {
			f.Hint = sizeHint(text)
		}
		if f.Hint == "" {
			f.Hint = damage(text)
		}
	}
	return f
}

// sizeHint says what probably happened to a size that cannot be read.
func sizeHint(text string) string {
	s := scan{text: text}
	if n, ok := s.numeral(); ok && n.value(0) >= 20 { // 1 200 is rather one number with a blank in it
		s.unit()
		if s.at < len(text) && blankAt(text, s.at) > 0 {
			if _, way, _, ok := s.length(); ok && way == 0 && s.done() { // 600 300
				return "write an x between the numbers"
			}
		}
	}
	numbers, slash := 0, false
	for s.at = 0; s.at < len(text); {
		if _, ok := s.numeral(); ok {
			numbers++
			s.unit()
			s.blanks()
			switch lower(s.peek()) {
			case 'w', 'h', 'd':
				if s.word("w") || s.word("h") || s.word("d") {
					return "write the numbers alone: across x high, such as 600x300"
				}
			case '/':
				slash = true
			case '"', '\'':
				return "turn inches and feet into millimetres"
			}
			continue
		}
		s.at++
	}
	switch {
	case slash && numbers == 2:
		return "write an x between the numbers"
	case numbers > 3:
		return "a size has one, two or three numbers"
	}
	return ""
}

// UnmarshalCSV reads the cell; it never returns an error, the fault is kept in the cell.
func (c *Size) UnmarshalCSV(text string) error { *c = ParseSize(text); return nil }

// Blank reports whether nothing is written in the cell.
func (c Size) Blank() bool { return c.Text == "" }

// String returns the size as ParseSize takes it, in millimetres; "" when blank, and the text as written
// where there is a fault.
func (c Size) String() string {
	if c.Text == "" || c.Fault != nil {
		return c.Text
	}
	switch c.Form {
	case Rectangle:
		return plain(c.A) + "x" + plain(c.B)
	case Solid:
		return plain(c.A) + "x" + plain(c.B) + "x" + plain(c.C)
	case Circle:
		return "ø" + plain(c.A)
	case Disc:
		return "ø" + plain(c.A) + "x" + plain(c.B)
	case Single:
		return plain(c.A)
	case NominalDN:
		if c.Standard != "" {
			return "DN" + plain(c.A) + " " + c.Standard
		}
		return "DN" + plain(c.A)
	case SteelName:
		return c.Name
	}
	return ""
}
