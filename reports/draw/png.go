package draw

import (
	"cmp"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"slices"

	"github.com/golang/geo/r2"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// PNGOptions say how to draw a PNG.
type PNGOptions struct {
	// Dots is dots per millimetre of paper; 0 means 8 (203 to the inch).
	Dots float64
	// Dark draws it for a dark screen.
	Dark bool
}

// mostDots bounds the sides of a PNG.
const mostDots = 20000

// PNG writes the drawing as a PNG.
func PNG(w io.Writer, d *Drawing, o PNGOptions) error {
	m, err := Raster(d, o)
	if err != nil {
		return err
	}
	return (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(w, m)
}

// Few returns an image with at most 256 colours, which a PNG holds in a third of the room: colours that differ by no more than
// 1 in 32 of each part are one, of them the 256 that most dots have stay, and the rest becomes the nearest of these.
func Few(m *image.RGBA) *image.Paletted {
	bucket := func(p []uint8) int { return int(p[0]>>3)<<10 | int(p[1]>>3)<<5 | int(p[2]>>3) }
	var sums [1 << 15][4]uint64 // of the parts, and how many
	for i := 0; i+3 < len(m.Pix); i += 4 {
		s := &sums[bucket(m.Pix[i:])]
		s[0] += uint64(m.Pix[i])
		s[1] += uint64(m.Pix[i+1])
		s[2] += uint64(m.Pix[i+2])
		s[3]++
	}
	var used []int
	for b := range sums {
		if sums[b][3] > 0 {
			used = append(used, b)
		}
	}
	slices.SortStableFunc(used, func(a, b int) int { return cmp.Compare(sums[b][3], sums[a][3]) })
	var colours color.Palette
	for _, b := range used[:min(len(used), 256)] {
		s := sums[b]
		half := s[3] / 2
		colours = append(colours, color.RGBA{uint8((s[0] + half) / s[3]), uint8((s[1] + half) / s[3]), uint8((s[2] + half) / s[3]), 255})
	}
	var index [1 << 15]uint8
	for k, b := range used {
		if k < 256 {
			index[b] = uint8(k)
			continue
		}
		s := sums[b]
		index[b] = uint8(colours.Index(color.RGBA{uint8(s[0] / s[3]), uint8(s[1] / s[3]), uint8(s[2] / s[3]), 255}))
	}
	out := image.NewPaletted(m.Rect, colours)
	for i := range out.Pix {
		out.Pix[i] = index[bucket(m.Pix[4*i:])]
	}
	return out
}

// Raster draws the drawing into an image.
func Raster(d *Drawing, o PNGOptions) (*image.RGBA, error) {
	dots := o.Dots
	if dots <= 0 {
		dots = 8
	}
	nx, ny := int(math.Round(d.W*dots)), int(math.Round(d.H*dots))
	if nx <= 0 || ny <= 0 || nx > mostDots || ny > mostDots {
		return nil, fmt.Errorf("PNG: %d x %d dots are not 1 to %d", nx, ny, mostDots)
	}
	r := &raster{img: image.NewRGBA(image.Rect(0, 0, nx, ny)), k: dots / d.Scale, dots: dots, at: d.Sheet(0, 0), of: Tone.Light, z: &vector.Rasterizer{}}
	if o.Dark {
		r.of = Tone.Dark
	}
	c := r.of(Paper)
	for i := 0; i < len(r.img.Pix); i += 4 {
		r.img.Pix[i], r.img.Pix[i+1], r.img.Pix[i+2], r.img.Pix[i+3] = c.R, c.G, c.B, 255
	}
	for _, it := range d.Items {
		switch it := it.(type) {
		case Path:
			r.path(&it)
		case Text:
			r.text(&it)
		}
	}
	return r.img, nil
}

type raster struct {
	img     *image.RGBA
	k, dots float64
	at      r2.Point
	of      func(Tone) RGB
	z       *vector.Rasterizer
}

// dot returns the place of a point of the picture in dots.
func (r *raster) dot(p r2.Point) r2.Point { return p.Sub(r.at).Mul(r.k) }

func (r *raster) path(p *Path) {
	if len(p.Steps) == 0 {
		return
	}
	steps := make([]Step, len(p.Steps))
	for i, s := range p.Steps {
		for j := range s.P {
			s.P[j] = r.dot(s.P[j])
		}
		steps[i] = s
	}
	lines, closed := flat(steps, 0.05)
	if p.Fill != None {
		r.fill(lines, p.Fill)
	}
	if p.Line != None {
		var dash []float64
		for _, l := range p.Dash.lengths() {
			dash = append(dash, l*r.dots)
		}
		r.stroke(lines, closed, p.Width*r.dots, dash, p.Line)
	}
}

// fill fills polygons: what several of one turning cover is covered, opposite turnings take away.
func (r *raster) fill(polys [][]r2.Point, t Tone) {
	lo, hi := r2.Point{X: math.Inf(1), Y: math.Inf(1)}, r2.Point{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, p := range polys {
		for _, q := range p {
			lo.X, lo.Y = math.Min(lo.X, q.X), math.Min(lo.Y, q.Y)
			hi.X, hi.Y = math.Max(hi.X, q.X), math.Max(hi.Y, q.Y)
		}
	}
	b := r.img.Bounds()
	// Only the part of the picture that is touched is rasterised.
	x0, y0 := math.Max(math.Floor(lo.X), 0), math.Max(math.Floor(lo.Y), 0)
	x1, y1 := math.Min(math.Ceil(hi.X), float64(b.Dx())), math.Min(math.Ceil(hi.Y), float64(b.Dy()))
	if !(x0 < x1 && y0 < y1) {
		return
	}
	at := r2.Point{X: x0, Y: y0}
	r.z.Reset(int(x1-x0), int(y1-y0))
	for _, p := range polys {
		for i, q := range p {
			q = q.Sub(at)
			if i == 0 {
				r.z.MoveTo(float32(q.X), float32(q.Y))
			} else {
				r.z.LineTo(float32(q.X), float32(q.Y))
			}
		}
		r.z.ClosePath()
	}
	c := r.of(t)
	r.z.Draw(r.img, image.Rect(int(x0), int(y0), int(x1), int(y1)), image.NewUniform(color.RGBA{c.R, c.G, c.B, 255}), image.Point{})
}

// stroke draws along polylines with round ends and corners: a box for each piece and a disc for each corner,
// all of one turning.
func (r *raster) stroke(lines [][]r2.Point, closed []bool, width float64, dash []float64, t Tone) {
	var out [][]r2.Point
	half := width / 2
	n := max(8, int(4*math.Sqrt(width)))
	disc := func(c r2.Point) {
		p := make([]r2.Point, n)
		for i := range p {
			s, k := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			p[i] = r2.Point{X: c.X + half*k, Y: c.Y + half*s}
		}
		out = append(out, p)
	}
	piece := func(a, b r2.Point) {
		d := b.Sub(a)
		l := d.Norm()
		if l > 0 {
			o := r2.Point{X: -d.Y, Y: d.X}.Mul(half / l)
			out = append(out, []r2.Point{a.Sub(o), b.Sub(o), b.Add(o), a.Add(o)})
		}
		if width > 1.5 {
			disc(a)
			disc(b)
		}
	}
	for i, p := range lines {
		if closed[i] && len(p) > 1 {
			p = append(p[:len(p):len(p)], p[0])
		}
		if dash == nil {
			for j := 0; j+1 < len(p); j++ {
				piece(p[j], p[j+1])
			}
			continue
		}
		k, left, on := 0, dash[0], true
		for j := 0; j+1 < len(p); j++ {
			a, d := p[j], p[j+1].Sub(p[j])
			l := d.Norm()
			for at := 0.0; at < l; {
				step := math.Min(left, l-at)
				if on {
					piece(a.Add(d.Mul(at/l)), a.Add(d.Mul((at+step)/l)))
				}
				at += step
				if left -= step; left <= 0 {
					k = (k + 1) % len(dash)
					left, on = dash[k], !on
				}
			}
		}
	}
	r.fill(out, t)
}

// text draws the letters as areas.
func (r *raster) text(t *Text) {
	s := printable(t.S, t.Bold)
	f := faceOf(t.Bold)
	size := t.Size * r.dots
	pen := 0.0
	switch w := Width(s, size, t.Bold); t.Anchor {
	case Middle:
		pen = -w / 2
	case End:
		pen = -w
	}
	origin := r.dot(t.At)
	place := func(x, y float64) r2.Point {
		if t.Up {
			x, y = y, -x
		}
		return origin.Add(r2.Point{X: x, Y: y})
	}
	// Of the eastern face: grounds is where its letters stand, heavy are those that grow, for it has one weight.
	var letters, heavy, grounds [][]r2.Point
	for _, c := range s {
		of, to, wide := f, &letters, f.advance(c)*size
		if !f.has(c) {
			if e := east(c); e != nil {
				of = e
				if t.Bold {
					to = &heavy
				}
				up, down := -eastUp*size, eastDown*size
				grounds = append(grounds, []r2.Point{place(pen, up), place(pen+wide, up), place(pen+wide, down), place(pen, down)})
			}
		}
		for _, o := range of.outline(c) {
			p := make([]r2.Point, len(o))
			for i, q := range o {
				p[i] = place(pen+q.X*size, q.Y*size)
			}
			*to = append(*to, p)
		}
		pen += wide
	}
	closed := func(n int) []bool { return slices.Repeat([]bool{true}, n) }
	if t.Halo {
		r.fill(grounds, Paper)
		r.stroke(letters, closed(len(letters)), haloWidth(size), nil, Paper)
		r.stroke(heavy, closed(len(heavy)), haloWidth(size)+eastHeavy*size, nil, Paper)
	}
	r.fill(letters, t.Tone)
	r.stroke(heavy, closed(len(heavy)), eastHeavy*size, nil, t.Tone)
	r.fill(heavy, t.Tone)
}

// outline returns the outlines of a letter, of the type's height, y down.
func (f *face) outline(c rune) [][]r2.Point {
	f.mu.Lock()
	defer f.mu.Unlock()
	i, err := f.font.GlyphIndex(&f.buf, c)
	if err != nil {
		return nil
	}
	em := fixed.I(int(f.font.UnitsPerEm()))
	segs, err := f.font.LoadGlyph(&f.buf, i, em, nil)
	if err != nil {
		return nil
	}
	at := func(p fixed.Point26_6) r2.Point {
		return r2.Point{X: float64(p.X) / float64(em), Y: float64(p.Y) / float64(em)}
	}
	var steps []Step
	var last r2.Point
	for _, s := range segs {
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			last = at(s.Args[0])
			steps = append(steps, Step{Op: Close}, Step{Op: Move, P: [3]r2.Point{last}})
		case sfnt.SegmentOpLineTo:
			last = at(s.Args[0])
			steps = append(steps, Step{Op: Line, P: [3]r2.Point{last}})
		case sfnt.SegmentOpQuadTo:
			c, e := at(s.Args[0]), at(s.Args[1])
			steps = append(steps, Step{Op: Curve, P: [3]r2.Point{last.Add(c.Sub(last).Mul(2.0 / 3)), e.Add(c.Sub(e).Mul(2.0 / 3)), e}})
			last = e
		case sfnt.SegmentOpCubeTo:
			last = at(s.Args[2])
			steps = append(steps, Step{Op: Curve, P: [3]r2.Point{at(s.Args[0]), at(s.Args[1]), last}})
		}
	}
	lines, _ := flat(append(steps, Step{Op: Close}), 0.002)
	return lines
}
