// Package svgread reads back the paths of an SVG that draw wrote, as an outsider would: with an XML parser and the
// rules of SVG paths. It is for tests alone.
package svgread

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/golang/geo/r2"
)

// Shape is one path with an id: its outlines, each curve cut into pieces.
type Shape struct {
	ID    string
	Title string
	Lines [][]r2.Point
}

// File is what was read.
type File struct {
	ViewBox [4]float64
	Scale   float64
	Shapes  map[string]Shape // by id
	Texts   []string
}

// pieces is how many chords stand for a curve.
const pieces = 64

// Read reads an SVG.
func Read(r io.Reader) (*File, error) {
	f := &File{Shapes: map[string]Shape{}}
	dec := xml.NewDecoder(r)
	in, id, data := "", "", ""
	for {
		tok, err := dec.Token()
		if errors.Is(err, io.EOF) {
			return f, nil
		}
		if err != nil {
			return nil, err
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			in = tok.Name.Local
			attr := map[string]string{}
			for _, a := range tok.Attr {
				attr[a.Name.Local] = a.Value
			}
			switch in {
			case "svg":
				if _, err := fmt.Sscan(attr["viewBox"], &f.ViewBox[0], &f.ViewBox[1], &f.ViewBox[2], &f.ViewBox[3]); err != nil {
					return nil, err
				}
				if f.Scale, err = strconv.ParseFloat(attr["data-scale"], 64); err != nil {
					return nil, err
				}
			case "path":
				id, data = attr["id"], attr["d"]
				if id != "" {
					l, err := path(data)
					if err != nil {
						return nil, fmt.Errorf("%s: %w", id, err)
					}
					if _, there := f.Shapes[id]; there {
						return nil, fmt.Errorf("id %q is there twice", id)
					}
					f.Shapes[id] = Shape{ID: id, Lines: l}
				}
			case "script", "foreignObject", "image", "use", "a":
				return nil, fmt.Errorf("element <%s>", in)
			}
		case xml.CharData:
			if s, ok := f.Shapes[id]; in == "title" && ok {
				s.Title = string(tok)
				f.Shapes[id] = s
			}
			if in == "text" {
				f.Texts = append(f.Texts, string(tok))
			}
		case xml.EndElement:
			if tok.Name.Local == "path" {
				id = ""
			}
			in = ""
		}
	}
}

// path reads the data of a path.
func path(d string) ([][]r2.Point, error) {
	var out [][]r2.Point
	var line []r2.Point
	var at, first r2.Point
	for len(d) > 0 {
		op := d[0]
		end := strings.IndexAny(d[1:], "MLCZmlcz")
		if end < 0 {
			end = len(d) - 1
		}
		var v []float64
		for _, s := range strings.Fields(strings.ReplaceAll(strings.ReplaceAll(d[1:1+end], ",", " "), "-", " -")) {
			x, err := strconv.ParseFloat(s, 64)
			if err != nil {
				return nil, err
			}
			v = append(v, x)
		}
		d = d[1+end:]
		base := r2.Point{}
		if op >= 'a' {
			base = at
		}
		want := map[byte]int{'m': 2, 'l': 2, 'c': 6, 'z': 0}[op|0x20]
		if len(v) != want {
			return nil, fmt.Errorf("%c with %d numbers", op, len(v))
		}
		p := func(i int) r2.Point { return base.Add(r2.Point{X: v[2*i], Y: v[2*i+1]}) }
		switch op | 0x20 {
		case 'm':
			if len(line) > 0 {
				out = append(out, line)
			}
			at = p(0)
			first = at
			line = []r2.Point{at}
		case 'l':
			at = p(0)
			line = append(line, at)
		case 'c':
			a, b, c := p(0), p(1), p(2)
			for i := 1; i <= pieces; i++ {
				t := float64(i) / pieces
				u := 1 - t
				line = append(line, at.Mul(u*u*u).Add(a.Mul(3*u*u*t)).Add(b.Mul(3*u*t*t)).Add(c.Mul(t*t*t)))
			}
			at = c
		case 'z':
			at = first
		}
	}
	if len(line) > 0 {
		out = append(out, line)
	}
	return out, nil
}
