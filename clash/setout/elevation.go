package setout

import (
	"math"
	"strings"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"

	"voidline/void"
	"voidline/void/body"
)

// A run as it is seen from its side, measured for whoever draws it. Stations are mm along the run, levels mm above the project datum.

// InBay is a stretch of a run that lies in one bay.
type InBay struct {
	Bay      int // index into Project.Bays, -1 outside every bay
	From, To float64
}

// Beside is a zone that is no part of a run and lies over or under it, within its width in plan.
type Beside struct {
	Zone     int
	From, To float64     // the stretch of the run over whose plan it lies
	Levels   r1.Interval // from its lowest to its highest
}

// Bays returns the bays that the run's axis goes through, in order of their stations.
func (r *Run) Bays(p *void.Project) []InBay { return bayStretches(p, r) }

// Beside returns the zones of the run's storey that stand over or under it, in order of their rows. Rows whose place in plan is not known, and
// marks, are none.
func (r *Run) Beside(p *void.Project) []Beside {
	var out []Beside
	for i := range p.Zones() {
		z := p.Zone(i)
		if z.Gone || z.Run() != "" && strings.EqualFold(z.Run(), r.Name) || int(z.Storey) != r.Storey || z.ByHeight || p.Character(z.Char).Entry.Mark {
			continue
		}
		full := z.Full()
		if from, to, ok := r.over(full); ok {
			out = append(out, Beside{i, from, to, full.Height()})
		}
	}
	return out
}

// over returns the stretch of the run over whose plan, as wide as the run, a body lies.
func (r *Run) over(o body.Body) (from, to float64, ok bool) {
	from, to = math.Inf(1), math.Inf(-1)
	outline := body.Outline(o)
	for k := range r.Pieces {
		p := &r.Pieces[k]
		at := p.At(p.From)
		d := p.At(p.To).Sub(at)
		n := d.Norm()
		for _, q := range body.Shared(body.Outline(p.Bare), outline) {
			s := p.From + r2.Point{X: q.X - at.X, Y: q.Y - at.Y}.Dot(d)/n
			from, to, ok = math.Min(from, s), math.Max(to, s), true
		}
	}
	return math.Max(0, from), math.Min(r.Length, to), ok
}

// Faces returns how far a piece, without joint and insulation but with what stands on it, stands over and under the run's line.
func (r *Run) Faces(p *void.Project, pc *Piece) (up, down float64) {
	down = r.faceAbove(pc.Bare)
	up = sectionHeight(pc.Bare) - down
	if !pc.Bare.Round {
		up += p.Zone(pc.Zone).Top
	}
	return up, down
}

// Levels returns the lowest and the highest level of the line.
func (l *Line) Levels() r1.Interval {
	out := r1.EmptyInterval()
	for i := range l.Sections {
		out = out.AddPoint(l.Sections[i].Level)
	}
	return out
}

// LevelAt returns the level of the line of a falling run at a station: of the nearest start at which it is clear, else as the tables have it.
func (f *Fall) LevelAt(s float64) float64 {
	z := f.Now
	if f.Start != nil {
		z = *f.Start
	}
	for k := range f.Run.Pieces {
		p := &f.Run.Pieces[k]
		z -= f.Falls[k] * (math.Min(math.Max(s, p.From), p.To) - p.From)
	}
	return z
}

// Levels returns the lowest and the highest level of the line of a falling run.
func (f *Fall) Levels() r1.Interval {
	out := r1.IntervalFromPoint(f.LevelAt(0))
	for k := range f.Run.Pieces {
		out = out.AddPoint(f.LevelAt(f.Run.Pieces[k].To))
	}
	return out
}
