package clash

import (
	"voidline/clash/finding"
	"voidline/clash/rules"
)

// costOf returns the class of a finding of two zones.
func (r *run) costOf(kind finding.Kind, basis rules.Basis, a, b int32) uint8 {
	for _, p := range [2][2]int32{{a, b}, {b, a}} {
		if r.Zone(p[0]).Upright && !r.Structure(p[0]) && r.Char(p[1]).Kind == "slab" {
			return finding.CostUpright
		}
	}
	if kind == finding.Overlap && (r.Structure(a) || r.Structure(b)) {
		return finding.CostStructure
	}
	return r.costAlone(kind, basis, r.givesWay(a, b))
}

// costAlone returns the class of a finding in which one zone has to move, whatever it moves from.
func (r *run) costAlone(kind finding.Kind, basis rules.Basis, mover int32) uint8 {
	if kind != finding.Overlap {
		return finding.CostByKind(kind, basis)
	}
	level, place := r.Zone(mover).Holds()
	switch order := r.nature(mover); {
	case level && place, order <= orderRecessed:
		return finding.CostFixed
	case order <= orderDrainage:
		return finding.CostDrainage
	case order <= orderLarge:
		return finding.CostLarge
	}
	return finding.CostSmall
}
