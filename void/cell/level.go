package cell

import (
	"math"
	"strconv"
)

// Reading a level, in plain words:
//
//	1. None, open, no ceiling: nothing is there.
//	2. Else one end, or two with .. or "to" between them.
//	3. An end has, in front: a face of the row's own section (BOD, TOT, CL …) and a reference, each
//	   at most once; then a number with a sign and a unit; then, behind it, whichever of the two has
//	   not been said in front: 2700 AFFL, 60 below soffit, FFL+2700 BOD.
//	4. "u/s beam", "underside of soffit" and the like are the reference itself, since a reference
//	   is measured from there anyway; the same word with no such thing behind it is a face.
//	5. Where there is no reference the number is above FFL.

const wantLevel = "a level, such as 2700, FFL+2700, datum+1650, ceiling+20, soffit-60 or 2.7 m"

// ParseLevel reads a level or a range of levels: 2700, FFL+2700, 2.7 m, 2700 AFFL, datum+1650,
// ceiling+20, soffit-60, u/s beam, BOD 2700, FFL+2400..soffit, FFL+2400 to soffit. A number alone is
// above FFL. Without a unit it is in millimetres; from FFL, SSL, the datum line and the project datum
// a number between -20 and 20 (0 apart) must say mm or m, since in practice it is metres; in a range
// a larger number at the other end says as much: FFL-0.1..FFL+4680.
//
// None, open and no ceiling give None. Of a range in one reference the lower end is written first;
// in two references only the building knows which end is lower.
func ParseLevel(text string) Level {
	t := clean(text)
	if t == "" {
		return Level{}
	}
	if c := lower(t[0]); c == 'n' || c == 'o' {
		var buf [24]byte
		switch string(fold(&buf, t)) {
		case "none", "open", "noceiling", "opensoffit", "opentosoffit":
			return Level{Text: t, None: true}
		}
	}
	s := scan{text: t}
	low, trouble := s.height()
	if trouble != fine {
		return Level{Text: t, Fault: levelFault(t, trouble)}
	}
	level := Level{Text: t, Low: Height{low.ref, low.mm}, Says: low.says}
	if s.to() {
		var high end
		if high, trouble = s.height(); trouble == fine {
			trouble = rangeTrouble(low, high)
		}
		if trouble != fine {
			return Level{Text: t, Fault: levelFault(t, trouble)}
		}
		level.High = Height{high.ref, high.mm}
		level.Range = true
		level.Says = Unsaid
	}
	switch {
	case !s.done():
		return Level{Text: t, Fault: levelFault(t, unread)}
	case low.small && !level.Range:
		return Level{Text: t, Fault: levelFault(t, surelyMetres)}
	}
	return level
}

// end is one end of a level as it is written.
type end struct {
	ref     Ref
	mm      float64
	says    Facing
	ofSteel bool // says comes from TOS or BOS, which may mean the steel instead of the row's own section
	// small: a number below 20 without a unit, where levels are as high as a storey; behind a reference that is written
	// out, such as FFL+2.7, only one with a fraction: FFL+17 is 17 mm.
	small bool
	large bool // another number without a unit, in the same place
	low   bool // a number below 20 without a unit, in the same place, small or not
}

// trouble is why an end cannot be read.
type trouble uint8

const (
	fine trouble = iota
	unread
	surelyMetres
	tooHigh
	noWay       // an offset without a sign from something that levels may be above or below
	twoWays     // -60 below soffit
	steelFace   // TOS+100, BOS-60
	undersideOf // u/s build-up
	topOf       // top of steel, top of ceiling
	upsideDown  // the upper end first
	noHeight    // both ends equal
	faceInRange // a face that an end of a range cannot have
)

// height steps over one end of a level.
func (s *scan) height() (end, trouble) {
	var e end
	hasRef, t := s.inFront(&e)
	if t != fine {
		return e, t
	}
	mm, way, u, hasMM := s.length()
	e.mm = mm
	told := way != 0 // it is said whether the level is above the reference or below
	if hasMM && !hasRef {
		var side int
		side, hasRef, t = s.behind(&e)
		switch {
		case t != fine:
			return e, t
		case side != 0 && told:
			return e, twoWays
		case side != 0:
			e.mm = signed(e.mm, side)
			told = true
		}
	}
	if !hasMM && !hasRef {
		return e, unread
	}
	s.blanks()
	if e.says == Unsaid {
		e.says, e.ofSteel = s.facing()
	}
	switch {
	case !hasMM:
		return e, fine
	case !within(e.mm):
		return e, tooHigh
	case e.ref.storeyHigh() && u == noUnit:
		e.low = e.mm > -20 && e.mm < 20
		e.small = e.low && e.mm != 0 && (!hasRef || e.mm != math.Trunc(e.mm))
		e.large = e.mm != 0 && !e.small
	case !e.ref.storeyHigh() && !told && e.mm != 0:
		return e, noWay
	}
	if e.ofSteel && !hasRef && way != 0 && e.mm > -1000 && e.mm < 1000 {
		return e, steelFace
	}
	return e, fine
}

// inFront steps over a face and a reference in front of the number, in either order.
func (s *scan) inFront(e *end) (hasRef bool, t trouble) {
	for {
		s.blanks()
		if e.says == Unsaid {
			says, isRef, t := s.faceOrRef(e)
			switch {
			case t != fine:
				return hasRef, t
			case isRef && hasRef:
				return hasRef, unread
			case isRef:
				hasRef = true
				continue
			case says != Unsaid:
				e.says = says
				s.blanks()
				if c := s.peek(); c == '@' || c == ':' || c == '=' {
					s.at++
				}
				continue
			}
		}
		ref, ok := FFL, false
		if !hasRef {
			ref, ok = s.ref()
		}
		if !ok {
			return hasRef, fine
		}
		e.ref, hasRef = ref, true
	}
}

// behind steps over a reference behind the number: AFFL, above datum, below u/s of slab. The way is -1
// for below, 1 for above, 0 where neither is said.
func (s *scan) behind(e *end) (way int, found bool, t trouble) {
	s.blanks()
	from := s.at
	switch {
	case s.word("above"), s.word("over"):
		way = 1
	case s.word("below"), s.word("under"):
		way = -1
	}
	s.blanks()
	var ref Ref
	if way != 0 {
		ref, found, t = s.refOrUnderside()
	} else {
		ref, found = s.ref()
	}
	if t != fine || !found {
		s.at = from
		return 0, false, t
	}
	e.ref = ref
	return way, true, fine
}

// storeyHigh reports whether levels from the reference are as high as a storey, so that a number
// below 20 is surely metres. From the others they are offsets of a few millimetres, up or down.
func (r Ref) storeyHigh() bool { return r == FFL || r == SSL || r == Datum || r == Project }

// faceOrRef steps over a face of the row's own section, or over a reference that begins with such a
// word: u/s beam, underside of the slab, top of build-up.
func (s *scan) faceOrRef(e *end) (says Facing, isRef bool, t trouble) {
	from := s.at
	says, ofSteel := s.facing()
	if says == Unsaid {
		return Unsaid, false, fine
	}
	face := s.at
	s.at = from
	ref, found, t := s.refOrUnderside()
	switch {
	case t != fine:
		return Unsaid, false, t
	case found:
		e.ref = ref
		return Unsaid, true, fine
	}
	s.at = face
	e.ofSteel = ofSteel
	return says, false, fine
}

// refOrUnderside steps over a reference, alone or with the words for its underside or its top in front.
func (s *scan) refOrUnderside() (Ref, bool, trouble) {
	from := s.at
	under := s.word("u/s") || s.word("underside")
	of := false
	top, bottom := false, false
	if !under {
		bottom = s.word("bottom")
		top = !bottom && s.word("top")
	}
	if under || top || bottom {
		s.blanks()
		if of = s.word("of"); of {
			s.blanks()
		}
		if s.word("the") {
			s.blanks()
		}
		if !of && !under { // "top FFL+2700" names a face
			s.at = from
			return FFL, false, fine
		}
	}
	if s.word("slab") || s.word("deck") {
		switch {
		case under || bottom:
			return Soffit, true, fine
		case top:
			return SSL, true, fine
		}
		s.at = from
		return FFL, false, fine
	}
	ref, ok := s.ref()
	switch {
	case !ok:
	case under || bottom:
		switch ref {
		case Soffit, Steel, Ceiling:
			return ref, true, fine
		case BuildUp:
			return FFL, false, undersideOf
		}
	case top:
		switch ref {
		case BuildUp:
			return ref, true, fine
		case Soffit, Steel, Ceiling:
			return FFL, false, topOf
		}
	default:
		return ref, true, fine
	}
	s.at = from
	return FFL, false, fine
}

// ref steps over the word of a reference.
func (s *scan) ref() (Ref, bool) {
	var buf [16]byte
	word, n := s.letters(&buf)
	if n == 0 {
		return FFL, false
	}
	from := s.at
	s.at += n
	switch string(word) {
	case "ffl", "affl":
		return FFL, true
	case "ssl", "sfl":
		return SSL, true
	case "datum":
		s.then("line")
		return Datum, true
	case "ceiling":
		s.then("line")
		return Ceiling, true
	case "fcl":
		return Ceiling, true
	case "buildup":
		return BuildUp, true
	case "build":
		s.blanks()
		if way, w := signAt(s.text, s.at); way < 0 {
			s.at += w
		}
		s.blanks()
		if s.word("up") {
			return BuildUp, true
		}
	case "soffit":
		return Soffit, true
	case "steel", "beam":
		return Steel, true
	case "project":
		s.then("datum")
		return Project, true
	}
	s.at = from
	return FFL, false
}

// then steps over blanks and the word w, if it follows.
func (s *scan) then(w string) {
	from := s.at
	s.blanks()
	if !s.word(w) {
		s.at = from
	}
}

// facing steps over a word for a face of the row's own section.
func (s *scan) facing() (says Facing, ofSteel bool) {
	var buf [16]byte
	word, n := s.letters(&buf)
	if n == 0 {
		return Unsaid, false
	}
	says, ofSteel = facing(word)
	if says != Unsaid {
		s.at += n
	}
	return says, ofSteel
}

// facing returns the face that a word in lower case names.
func facing(word []byte) (says Facing, ofSteel bool) {
	switch string(word) {
	case "bottom", "u/s", "underside", "bod", "bop", "bot":
		return Bottom, false
	case "bos":
		return Bottom, true
	case "centre", "center", "cl", "c/l", "axis", "cod", "cop", "cot", "centreline", "centerline":
		return Centre, false
	case "top", "tod", "tot":
		return Top, false
	case "tos":
		return Top, true
	}
	return Unsaid, false
}

// to steps over what parts the ends of a range: two or three points, an ellipsis, or the word to.
func (s *scan) to() bool {
	s.blanks()
	rest := s.text[s.at:]
	switch {
	case len(rest) >= 3 && rest[:3] == "...", len(rest) >= 3 && rest[:3] == "…":
		s.at += 3
	case len(rest) >= 2 && rest[:2] == "..":
		s.at += 2
	default:
		return s.word("to")
	}
	return true
}

// rangeTrouble says why two ends make no range.
func rangeTrouble(low, high end) trouble {
	switch {
	case low.small && !high.large, high.small && !low.large, low.ref == high.ref && low.low && high.low && low.mm != high.mm:
		return surelyMetres // nothing that stands upright is less than 40 mm high
	case low.says == Centre || low.says == Top || high.says == Centre || high.says == Bottom:
		return faceInRange
	case low.ref != high.ref:
		return fine
	case low.mm > high.mm:
		return upsideDown
	case low.mm == high.mm:
		return noHeight
	}
	return fine
}

// levelFault explains why a level cannot be read.
func levelFault(text string, t trouble) *Fault {
	f := &Fault{What: quote(text) + " is not a level", Want: wantLevel}
	switch t {
	case surelyMetres:
		if f.Hint = damage(text); f.Hint == "" {
			f.What = quote(text) + " is too small for a level in millimetres"
			n := smallNumber(text) // the text is short: damage has looked at it
			v, _ := strconv.ParseFloat(n, 64)
			f.Hint = n + " is surely metres: write " + moved(v, 3) + " or " + n + " m; if it is millimetres, " + n + " mm"
		}
	case tooHigh:
		return tooFar(text)
	case noWay:
		f.Hint = "write + for above and - for below, as in ceiling+20 or soffit-60"
	case twoWays:
		f.Hint = "above and below take a number without a sign"
	case steelFace:
		f.Hint = "measured from the steel it is written steel-60; for a face of the row's own section give its level, as in FFL+3600, and the face"
	case undersideOf:
		f.Hint = "the underside of the build-up is the finished face: write ceiling; its top is build-up"
	case topOf:
		f.Hint = "soffit and steel are measured from their underside, the ceiling from its finished face"
	case upsideDown:
		f.What = quote(text) + " has its upper end first"
		f.Want = "the lower end first"
	case noHeight:
		f.What = quote(text) + " has no height"
		f.Want = "two different ends"
	case faceInRange:
		f.Hint = "a range is from the bottom to the top and needs no other face"
	default:
		f.Hint = levelHint(text)
	}
	return f
}

// smallNumber returns the first number of the text that is between 0 and 20 and has no unit.
func smallNumber(text string) string {
	s := scan{text: text}
	for s.at < len(text) {
		if s.to() {
			continue
		}
		n, ok := s.numeral()
		if !ok {
			s.at++
			continue
		}
		if u, v := s.unit(), n.value(0); u == noUnit && v > 0 && v < 20 {
			return n.text
		}
	}
	return ""
}

// levelHint says what probably happened to a level that cannot be read.
func levelHint(text string) string {
	if hint := damage(text); hint != "" {
		return hint
	}
	// Two numbers with a dash between them.
	s := scan{text: text}
	if _, _, _, ok := s.length(); ok {
		low := trim(text[:s.at])
		s.blanks()
		if s.sign() < 0 {
			from := s.at
			if _, _, _, ok := s.length(); ok && s.done() {
				return "a range is written " + low + ".." + trim(text[from:])
			}
		}
	}
	var buf [16]byte
	for s.at = 0; s.at < len(text); s.at++ {
		word, n := s.letters(&buf)
		switch string(word) {
		case "slab", "deck":
			return "say soffit for its underside, SSL for its top"
		case "aod":
			return "levels above ordnance datum are written project+…, where the project datum is that"
		case "il", "invert":
			return "an invert is the inside of a pipe: give the level of its outside, or of its centre"
		case "bod", "bop", "bot", "bos", "tod", "top", "tot", "tos", "cop", "cl", "u/s", "underside", "bottom", "centre":
			if s.at == 0 && n == len(text) {
				return "it names a face and no level; the face alone goes into the column face"
			}
		}
		if n > 0 {
			s.at += n - 1
		}
	}
	return ""
}

// UnmarshalCSV reads the cell; it never returns an error, the fault is kept in the cell.
func (c *Level) UnmarshalCSV(text string) error { *c = ParseLevel(text); return nil }

// Blank reports whether nothing is written in the cell.
func (c Level) Blank() bool { return c.Text == "" }

// String returns the level as ParseLevel takes it: FFL+2700, ceiling+20 top, FFL+2400..soffit, none;
// "" when blank, and the text as written where there is a fault.
func (c Level) String() string {
	switch {
	case c.Text == "" || c.Fault != nil:
		return c.Text
	case c.None:
		return "none"
	case c.Range:
		return c.Low.String() + ".." + c.High.String()
	case c.Says != Unsaid:
		return c.Low.String() + " " + c.Says.String()
	}
	return c.Low.String()
}

// String returns the height as ParseLevel takes it, in millimetres: FFL+2700, soffit-60, soffit.
func (h Height) String() string {
	text := h.Ref.String() + offset(h.MM)
	if h.Ref.storeyHigh() && h.MM > -20 && h.MM < 20 && h.MM != 0 {
		text += " mm"
	}
	return text
}

// String returns the reference as it is written in a level.
func (r Ref) String() string {
	switch r {
	case FFL:
		return "FFL"
	case SSL:
		return "SSL"
	case Datum:
		return "datum"
	case Ceiling:
		return "ceiling"
	case BuildUp:
		return "build-up"
	case Soffit:
		return "soffit"
	case Steel:
		return "steel"
	case Project:
		return "project"
	}
	return "unknown reference"
}

// String returns the facing as it is written in the column face; "" for Unsaid.
func (f Facing) String() string {
	switch f {
	case Bottom:
		return "bottom"
	case Centre:
		return "centre"
	case Top:
		return "top"
	}
	return ""
}

const wantFace = "bottom, centre or top"

// ParseFace reads what a level is to: bottom (u/s, underside, BOD, BOP, BOT, BOS), centre (CL, axis,
// COD, COP, COT) or top (TOD, TOP, TOT, TOS). Blank is Unsaid.
func ParseFace(text string) Face {
	t := clean(text)
	if t == "" {
		return Face{}
	}
	var buf [24]byte
	is, _ := facing(fold(&buf, t))
	if is == Unsaid {
		return Face{Text: t, Fault: fault(t, "is not a face", wantFace)}
	}
	return Face{Text: t, Is: is}
}

// UnmarshalCSV reads the cell; it never returns an error, the fault is kept in the cell.
func (c *Face) UnmarshalCSV(text string) error { *c = ParseFace(text); return nil }

// Blank reports whether nothing is written in the cell.
func (c Face) Blank() bool { return c.Text == "" }

// String returns bottom, centre or top; "" when blank, and the text as written where there is a fault.
func (c Face) String() string {
	if c.Text == "" || c.Fault != nil {
		return c.Text
	}
	return c.Is.String()
}
