package ifc

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// form is what a value of an instance is written as.
type form uint8

const (
	absent form = iota // $ or *
	number
	text
	enum // .WORD.
	ref  // #12
	list
	typed // IFCLABEL('x'): the name in str, what is in it in list
)

// value is a value of an instance as it is written.
type value struct {
	form form
	num  float64 // of a number, and of a ref the id
	str  string
	list []value
}

// entity is an instance that was read.
type entity struct {
	f    *File
	id   uint32
	at   int64
	kind string
	args []value
}

// get reads an instance. What is wrong with it is thrown as a fault (see caught).
func (f *File) get(id uint32) entity {
	in, ok := f.find(id)
	if !ok {
		panic(fault{f.whole(fmt.Sprintf("#%d is referred to, and is not in the file", id))})
	}
	t, err := f.text(in.at)
	if err != nil {
		panic(fault{err})
	}
	p := parser{f: f, at: in.at, b: t}
	e := entity{f: f, id: id, at: in.at, kind: f.types[in.kind]}
	if e.kind == "" {
		p.wrong("an instance of several types at once, which no IFC model has")
	}
	p.i = strings.IndexByte(string(t[:min(len(t), 256)]), '(')
	if p.i < 0 {
		p.wrong("its ( is missing")
	}
	p.i++
	e.args = p.items(0)
	p.blank()
	if p.i < len(p.b) {
		p.wrong(fmt.Sprintf("%q behind its end", trimmed(p.b[p.i:])))
	}
	return e
}

// parser reads the values of an instance.
type parser struct {
	f  *File
	at int64
	b  []byte
	i  int
}

func (p *parser) wrong(what string) {
	panic(fault{p.f.wrong(p.at, what)})
}

func (p *parser) blank() {
	for p.i < len(p.b) && p.b[p.i] <= ' ' {
		p.i++
	}
}

// items reads a list up to its end; its ( was read.
func (p *parser) items(depth int) []value {
	if depth > mostDepth {
		p.wrong(fmt.Sprintf("more than %d lists, one inside the other", mostDepth))
	}
	var out []value
	p.blank()
	if p.i < len(p.b) && p.b[p.i] == ')' {
		p.i++
		return out
	}
	for {
		out = append(out, p.value(depth))
		p.blank()
		if p.i >= len(p.b) {
			p.wrong("a ) is missing")
		}
		switch p.b[p.i] {
		case ',':
			p.i++
		case ')':
			p.i++
			return out
		default:
			p.wrong(fmt.Sprintf("%q where a comma or a ) should be", trimmed(p.b[p.i:])))
		}
	}
}

func (p *parser) value(depth int) value {
	p.blank()
	if p.i >= len(p.b) {
		p.wrong("it breaks off")
	}
	switch c := p.b[p.i]; {
	case c == '$' || c == '*':
		p.i++
		return value{}
	case c == '(':
		p.i++
		return value{form: list, list: p.items(depth + 1)}
	case c == '#':
		n := 0.0
		from := p.i
		for p.i++; p.i < len(p.b) && p.b[p.i] >= '0' && p.b[p.i] <= '9'; p.i++ {
			n = n*10 + float64(p.b[p.i]-'0')
		}
		if n < 1 || n >= 1<<32 {
			p.wrong(fmt.Sprintf("%q is no number of an instance", trimmed(p.b[from:p.i])))
		}
		return value{form: ref, num: n}
	case c == '\'':
		return value{form: text, str: p.string()}
	case c == '.' && p.i+1 < len(p.b) && (p.b[p.i+1] < '0' || p.b[p.i+1] > '9'):
		from := p.i + 1
		for p.i++; p.i < len(p.b) && p.b[p.i] != '.'; p.i++ {
		}
		if p.i >= len(p.b) {
			p.wrong("a word between points without its second point")
		}
		p.i++
		return value{form: enum, str: strings.ToUpper(string(p.b[from : p.i-1]))}
	case c == '"':
		from := p.i
		for p.i++; p.i < len(p.b) && p.b[p.i] != '"'; p.i++ {
		}
		p.i = min(p.i+1, len(p.b))
		return value{form: text, str: string(p.b[from:p.i])} // binary: nothing that is read has one
	case c == '+' || c == '-' || c == '.' || c >= '0' && c <= '9':
		return value{form: number, num: p.number()}
	case c >= 'A' && c <= 'Z' || c >= 'a' && c <= 'z':
		from := p.i
		for p.i < len(p.b) && (p.b[p.i] == '_' || p.b[p.i] >= '0' && p.b[p.i] <= '9' || p.b[p.i]|0x20 >= 'a' && p.b[p.i]|0x20 <= 'z') {
			p.i++
		}
		name := strings.ToUpper(string(p.b[from:p.i]))
		p.blank()
		if p.i >= len(p.b) || p.b[p.i] != '(' {
			p.wrong(fmt.Sprintf("%q where a value should be", name))
		}
		p.i++
		return value{form: typed, str: name, list: p.items(depth + 1)}
	}
	p.wrong(fmt.Sprintf("%q where a value should be", trimmed(p.b[p.i:])))
	return value{}
}

// number reads a number. Infinite ones, and more digits than a number has, are wrong.
func (p *parser) number() float64 {
	from := p.i
	for p.i < len(p.b) {
		switch c := p.b[p.i]; {
		case c >= '0' && c <= '9' || c == '.' || c == '+' || c == '-' || c == 'e' || c == 'E':
			p.i++
			continue
		}
		break
	}
	x, err := strconv.ParseFloat(string(p.b[from:p.i]), 64)
	if err != nil {
		p.wrong(fmt.Sprintf("%q is no number", trimmed(p.b[from:p.i])))
	}
	return x
}

// string reads a string with its escapes: ” for a quote, \S\ and \X\ for one sign, \X2\ and \X4\ for many, \\ for one \.
func (p *parser) string() string {
	from := p.i + 1
	plain := true
	for p.i++; ; p.i++ {
		if p.i >= len(p.b) {
			p.wrong("a string without its end")
		}
		if p.b[p.i] == '\'' {
			if p.i+1 < len(p.b) && p.b[p.i+1] == '\'' {
				plain = false
				p.i++
				continue
			}
			break
		}
		if p.b[p.i] == '\\' || p.b[p.i] >= 0x80 {
			plain = false
		}
	}
	raw := string(p.b[from:p.i])
	p.i++
	if plain {
		return raw
	}
	return decode(strings.ReplaceAll(raw, "''", "'"))
}

// decode replaces the escapes of a string. What is no escape stays as it is; what is no UTF-8 is read as Latin-1, which old files have.
func decode(s string) string {
	var b strings.Builder
	hex := func(s string, digits int) (rune, bool) {
		if len(s) < digits {
			return 0, false
		}
		n, err := strconv.ParseUint(s[:digits], 16, 32)
		return rune(n), err == nil
	}
	for s != "" {
		switch {
		case strings.HasPrefix(s, `\\`):
			b.WriteByte('\\')
			s = s[2:]
		case strings.HasPrefix(s, `\S\`) && len(s) > 3:
			b.WriteRune(rune(s[3]) + 0x80)
			s = s[4:]
		case strings.HasPrefix(s, `\P`) && len(s) > 3 && s[3] == '\\':
			s = s[4:] // another page of letters than Latin-1: the letters are taken as Latin-1
		case strings.HasPrefix(s, `\X\`):
			r, ok := hex(s[3:], 2)
			if !ok {
				b.WriteString(s[:3])
				s = s[3:]
				continue
			}
			b.WriteRune(r)
			s = s[5:]
		case strings.HasPrefix(s, `\X2\`), strings.HasPrefix(s, `\X4\`):
			digits := 4
			if s[2] == '4' {
				digits = 8
			}
			s = s[4:]
			var units []uint16
			for {
				r, ok := hex(s, digits)
				if !ok {
					break
				}
				s = s[digits:]
				if digits == 4 {
					units = append(units, uint16(r))
				} else {
					b.WriteRune(r)
				}
			}
			b.WriteString(string(utf16.Decode(units)))
			s = strings.TrimPrefix(s, `\X0\`)
		case s[0] >= 0x80:
			r, n := utf8.DecodeRuneInString(s)
			if r == utf8.RuneError && n == 1 {
				r = rune(s[0])
			}
			b.WriteRune(r)
			s = s[n:]
		default:
			b.WriteByte(s[0])
			s = s[1:]
		}
	}
	return b.String()
}

// fault is what is wrong with an instance; it is thrown where it is met and caught by whoever asked for the whole (caught).
type fault struct{ error }

// caught turns a fault that was thrown into an error.
func caught(err *error) {
	switch r := recover().(type) {
	case nil:
	case fault:
		*err = r.error
	default:
		panic(r)
	}
}

// wrong throws what is wrong with an instance.
func (e *entity) wrong(format string, a ...any) {
	panic(fault{e.f.wrong(e.at, fmt.Sprintf("#%d %s: ", e.id, e.kind)+fmt.Sprintf(format, a...))})
}

// arg returns an argument, absent where there are fewer: older and newer versions differ in the last ones.
func (e *entity) arg(i int) value {
	if i >= len(e.args) {
		return value{}
	}
	return e.args[i]
}

// num returns a number that must be there; a measure by its name is one.
func (e *entity) num(i int) float64 {
	v := e.arg(i)
	if v.form == typed && len(v.list) == 1 {
		v = v.list[0]
	}
	if v.form != number {
		e.wrong("its value %d is no number", i+1)
	}
	return v.num
}

// has reports whether an argument is there.
func (e *entity) has(i int) bool { return e.arg(i).form != absent }

// ref returns the instance that an argument refers to, 0 where it is absent.
func (e *entity) ref(i int) uint32 {
	v := e.arg(i)
	switch v.form {
	case absent:
		return 0
	case ref:
		return uint32(v.num)
	}
	e.wrong("its value %d is no reference", i+1)
	return 0
}

// must is ref that must be there.
func (e *entity) must(i int) uint32 {
	id := e.ref(i)
	if id == 0 {
		e.wrong("its value %d is missing", i+1)
	}
	return id
}

// refs returns what a list refers to; a list that is absent is empty.
func (e *entity) refs(i int) []uint32 {
	v := e.arg(i)
	if v.form == absent {
		return nil
	}
	if v.form == typed && len(v.list) == 1 {
		v = v.list[0]
	}
	if v.form == ref {
		return []uint32{uint32(v.num)}
	}
	if v.form != list {
		e.wrong("its value %d is no list", i+1)
	}
	out := make([]uint32, 0, len(v.list))
	for _, r := range v.list {
		if r.form == ref {
			out = append(out, uint32(r.num))
		} else if r.form != absent {
			e.wrong("its value %d holds something that is no reference", i+1)
		}
	}
	return out
}

// str returns a string or an enumeration, "" where it is absent.
func (e *entity) str(i int) string {
	v := e.arg(i)
	if v.form == typed && len(v.list) == 1 {
		v = v.list[0]
	}
	if v.form == text || v.form == enum {
		return v.str
	}
	return ""
}

// numbers returns the numbers of a list.
func (e *entity) numbers(i int) []float64 {
	v := e.arg(i)
	if v.form != list {
		e.wrong("its value %d is no list", i+1)
	}
	return flat(e, v.list)
}

func flat(e *entity, vs []value) []float64 {
	out := make([]float64, 0, len(vs))
	for _, v := range vs {
		if v.form == typed && len(v.list) == 1 {
			v = v.list[0]
		}
		if v.form != number {
			e.wrong("something that is no number among numbers")
		}
		out = append(out, v.num)
	}
	return out
}
