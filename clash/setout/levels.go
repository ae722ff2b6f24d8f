package setout

import (
	"math"

	"voidline/clash"
	"voidline/void"
)

// BayLevels are the levels of one bay, above the project datum, mm.
type BayLevels struct {
	Bay     *void.Bay
	Storey  *void.Storey
	Soffit  float64
	Steel   float64 // underside of the lowest beam over the bay, valid when HasSteel
	BeamID  string
	Beam    int     // its index, -1 for none
	Top     float64 // top of the build-up, valid when the bay has a ceiling
	Ceiling float64
	Void    float64 // from the top of the build-up to the soffit
	Under   float64 // from the top of the build-up to the lowest steel, to the soffit where there is none

	HasSteel bool

	// Surveyed: there is a survey. Found is what it found in the bay: its soffit, ceiling and floor, then beams and rows, each in the first bay
	// that it is in.
	Surveyed bool
	Found    []Found
}

// Found is what was found of one thing, with the id of its row, "" for none, and by how much it may differ from what is drawn, mm.
type Found struct {
	void.Found
	ID        string
	Tolerance float64
}

// Off reports whether it differs from what is drawn by more than that.
func (f *Found) Off() bool {
	return math.Abs(f.Found.Found-f.Drawn) > f.Tolerance+void.Hair
}

// FoundOf returns what was found of the bay's soffit, ceiling or floor, or of a beam; false where it was not surveyed.
func (l *BayLevels) FoundOf(what void.Surveyed, zone int) (Found, bool) {
	for _, f := range l.Found {
		if f.What == what && zone < 0 || f.Zone >= 0 && f.Zone == zone {
			return f, true
		}
	}
	return Found{}, false
}

// Levels returns the levels of every bay, in the order of the bays.
func Levels(p *void.Project) []BayLevels {
	var out []BayLevels
	for j := range p.Bays {
		b := &p.Bays[j]
		l := BayLevels{Bay: b, Storey: &p.Storeys[b.Storey], Soffit: b.Soffit, Top: b.Top, Ceiling: b.Ceiling, Steel: math.Inf(1), Beam: -1, Surveyed: p.HasSurvey()}
		for i := range p.Zones() {
			z := p.Zone(i)
			if int(z.Storey) != b.Storey || !p.Character(z.Char).Entry.Beam {
				continue
			}
			for _, k := range z.Bays() {
				// Of a beam that falls the lowest end counts, wherever it lies: the sheet is to be safe. Of beams as low the first by id is named.
				if lo := z.Bare().Height().Lo; int(k) == j && (lo < l.Steel-void.Hair || lo <= l.Steel+void.Hair && void.Natural(z.ID, l.BeamID) < 0) {
					l.Steel, l.BeamID, l.Beam, l.HasSteel = lo, z.ID, i, true
				}
			}
		}
		if b.HasCeiling {
			l.Void = b.Soffit - b.Top
			l.Under = l.Void
			if l.HasSteel {
				l.Under = math.Min(l.Void, l.Steel-b.Top)
			}
		}
		out = append(out, l)
	}
	if s := p.Survey(); s != nil {
		for _, f := range s.Found {
			j, id := f.Bay, ""
			if f.Zone >= 0 {
				id = p.Zone(f.Zone).ID
				if in := p.Zone(f.Zone).Bays(); len(in) > 0 {
					j = int(in[0])
				}
			}
			if j >= 0 {
				out[j].Found = append(out[j].Found, Found{f, id, clash.FoundTolerance(p, &f)})
			}
		}
	}
	return out
}
