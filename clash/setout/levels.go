package setout

import (
	"math"

	"voidline/void"
)

// BayLevels are the levels of one bay, above the project datum, mm.
type BayLevels struct {
	Bay     *void.Bay
	Storey  *void.Storey
	Soffit  float64
	Steel   float64 // underside of the lowest beam over the bay, valid when HasSteel
	BeamID  string
	Top     float64 // top of the build-up, valid when the bay has a ceiling
	Ceiling float64
	Void    float64 // from the top of the build-up to the soffit
	Under   float64 // from the top of the build-up to the lowest steel, to the soffit where there is none

	HasSteel bool
}

// Levels returns the levels of every bay, in the order of the bays.
func Levels(p *void.Project) []BayLevels {
	var out []BayLevels
	for j := range p.Bays {
		b := &p.Bays[j]
		l := BayLevels{Bay: b, Storey: &p.Storeys[b.Storey], Soffit: b.Soffit, Top: b.Top, Ceiling: b.Ceiling, Steel: math.Inf(1)}
		for i := range p.Zones() {
			z := p.Zone(i)
			if int(z.Storey) != b.Storey || !p.Character(z.Char).Entry.Beam {
				continue
			}
			for _, k := range z.Bays() {
				// Of a beam that falls the lowest end counts, wherever it lies: the sheet is to be safe.
				if lo := z.Bare().Height().Lo; int(k) == j && lo < l.Steel-void.Hair {
					l.Steel, l.BeamID, l.HasSteel = lo, z.ID, true
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
	return out
}
