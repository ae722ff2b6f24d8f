package page

import (
	"math"
	"strconv"
	"strings"
)

// tidy says once in the style sheet what every path of a drawing says of itself.
const tidy = ".vl path{stroke-linecap:round;stroke-linejoin:round}"

// shorten makes a drawing shorter and leaves the picture as it is: what tidy says is taken off its paths, and
// the steps along them are written from place to place instead of from the origin, in whole hundredths, so
// that nothing is lost. In a text a quotation mark is written as &#34;, so that none is taken for the head
// of an attribute.
func shorten(svg string) string {
	svg = strings.ReplaceAll(svg, ` stroke-linecap="round" stroke-linejoin="round"`, "")
	var b strings.Builder
	b.Grow(len(svg))
	const head = ` d="`
	for {
		i := strings.Index(svg, head)
		if i < 0 {
			break
		}
		i += len(head)
		end := strings.IndexByte(svg[i:], '"')
		if end < 0 {
			break
		}
		b.WriteString(svg[:i])
		d := svg[i : i+end]
		if short, ok := relative(d); ok {
			d = short
		}
		b.WriteString(d)
		svg = svg[i+end:]
	}
	b.WriteString(svg)
	return b.String()
}

// relative rewrites a path of M, L, C and Z with absolute places to relative ones; false where it is another.
func relative(d string) (string, bool) {
	out := make([]byte, 0, len(d))
	var x, y, x0, y0 int64 // hundredths
	var last byte          // the letter that a further pair of numbers belongs to
	for i := 0; i < len(d); {
		op := d[i]
		i++
		pairs := 0
		switch op {
		case 'M', 'L':
			pairs = 1
		case 'C':
			pairs = 3
		case 'Z':
			out = append(out, 'z')
			x, y, last = x0, y0, 'z'
			continue
		default:
			return "", false
		}
		letter := op + 'a' - 'A'
		var p [6]int64
		for k := range 2 * pairs {
			for i < len(d) && (d[i] == ' ' || d[i] == ',') {
				i++
			}
			from := i
			for i < len(d) && (d[i] == '-' || d[i] == '.' || d[i] >= '0' && d[i] <= '9') {
				i++
			}
			v, err := strconv.ParseFloat(d[from:i], 64)
			if err != nil || math.Abs(v) > 1e12 {
				return "", false
			}
			p[k] = int64(math.Round(v * 100))
		}
		// After a first pair the letter l may be left out behind l and behind m.
		joined := letter == 'l' && (last == 'l' || last == 'm') || letter == 'c' && last == 'c'
		if !joined {
			out = append(out, letter)
		}
		for k := 0; k < 2*pairs; k += 2 {
			out = number(out, p[k]-x, joined || k > 0)
			out = number(out, p[k+1]-y, true)
		}
		x, y = p[2*pairs-2], p[2*pairs-1]
		if op == 'M' {
			x0, y0 = x, y
		}
		last = letter
	}
	return string(out), true
}

// number appends hundredths as a decimal number, with a blank before it where it would run into the one before.
func number(out []byte, v int64, parted bool) []byte {
	if parted && v >= 0 {
		out = append(out, ' ')
	}
	if v < 0 {
		out = append(out, '-')
		v = -v
	}
	if v >= 100 || v == 0 {
		out = strconv.AppendInt(out, v/100, 10)
	}
	if f := v % 100; f > 0 {
		out = append(out, '.', byte('0'+f/10))
		if f%10 > 0 {
			out = append(out, byte('0'+f%10))
		}
	}
	return out
}
