package clash

import (
	"context"
	"fmt"
	"slices"

	"voidline/clash/book"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/support"
)

// SupportsAlone checks supports and nothing else, for benchmarks; it returns how many findings come of them.
func (c *Check) SupportsAlone(ctx context.Context) (findings int, err error) {
	c.Laid(0)
	c.holders = nil
	r := &run{Check: c, kept: &book.Book{}}
	if err := r.supports(ctx); err != nil {
		return 0, err
	}
	return len(r.kept.Findings) + len(r.kept.Hits), nil
}

// SupportsByForce counts, with every support of every row against every zone and no search, how many supports of each row
// are in each other zone: "row / zone" and "n of all".
func (c *Check) SupportsByForce() map[string]string {
	c.holders = nil
	c.Laid(0)
	c.holdUp()
	plan := c.SupportPlan()
	out := map[string]string{}
	for i := range int32(c.Project.Zones()) {
		list := plan.Zone(int(i))
		for o := range int32(c.Project.Zones()) {
			if c.Boxes[o].Gone() {
				continue
			}
			n := 0
			for k := range list {
				in := false
				for _, part := range list[k].Bodies(nil) {
					v := measure.Judge(part.Body, c.Full(o), &rules.Choice{}, c.touch, false)
					in = in || v.Overlap
				}
				if in && c.holders.site.InTheWay(i, o, &list[k]) {
					n++
				}
			}
			if n > 0 {
				out[c.Zone(i).ID+" / "+c.Zone(o).ID] = fmt.Sprintf("%d of %d", n, len(list))
			}
			tiers := map[int32]int{} // of the frame: how many of its supports carry that row by what is in o
			for k := range list {
				carried := map[int32]bool{}
				for t := range list[k].Levels() {
					below := slices.ContainsFunc(list[k].Levels()[:t], func(x support.Tier) bool { return slices.Contains(x.Rows, o) })
					if b, ok := list[k].TierBody(t); ok && below && measure.Judge(b, c.Full(o), &rules.Choice{}, c.touch, false).Overlap {
						carried[list[k].Levels()[t].Zone] = true
					}
				}
				for z := range carried {
					tiers[z]++
				}
			}
			for z, n := range tiers {
				out[c.Zone(z).ID+" / "+c.Zone(o).ID] = fmt.Sprintf("%d of %d", n, len(list))
			}
		}
	}
	return out
}
