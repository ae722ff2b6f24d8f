package clash

import (
	"cmp"
	"context"
	"slices"

	"voidline/clash/finding"
	"voidline/void"
)

// Try makes changes to the project, asks again and says what they come to. The project stays changed. A change that the project refuses is
// a *void.Problem, and leaves those before it made.
func (c *Check) Try(ctx context.Context, changes []void.RowChange) (*finding.Tried, error) {
	before, err := c.Findings(ctx)
	if err != nil {
		return nil, err
	}
	parted := c.Project.PartedSupports()
	var cells []finding.TriedCell
	for _, ch := range changes {
		for _, cell := range ch.Cells {
			said := finding.TriedCell{Zone: ch.Zone, Bay: ch.Bay, Column: cell.Column, To: cell.Text}
			if ch.Bay != "" {
				said.From = c.Project.CellOfBay(ch.Bay, cell.Column)
			} else if i, ok := c.Project.ZoneByID(ch.Zone); ok {
				said.From = c.Project.CellOf(i, cell.Column)
			}
			cells = append(cells, said)
		}
		changed, pr := c.Project.Change(ch)
		if pr != nil {
			return nil, pr
		}
		c.Changed(changed)
	}
	t, err := c.tried(ctx, before, cells)
	if err != nil {
		return nil, err
	}
	for _, x := range c.Project.PartedSupports() {
		if !slices.ContainsFunc(parted, func(o void.Parted) bool { return o.Run == x.Run }) {
			t.Parted = append(t.Parted, x)
		}
	}
	return t, nil
}

// tried compares the answer before changes with what is found now.
func (c *Check) tried(ctx context.Context, before *finding.Result, cells []finding.TriedCell) (*finding.Tried, error) {
	after, err := c.Findings(ctx)
	if err != nil {
		return nil, err
	}
	t := finding.Compared(before, after)
	t.Changes = append(t.Changes, cells...)
	return t, nil
}

// improveRounds is how often all findings are looked at anew, at the most, when moves are made one after the other.
const improveRounds = 6

// Improve makes the proved moves of findings, those that clear the most for the least that is moved first, each tried again where the others
// have been made, until none improves anything; and says what they come to. The project stays changed. It never makes a move that
// makes something new or worse.
func (c *Check) Improve(ctx context.Context) (*finding.Tried, error) {
	proved := c.opt.Proved
	c.opt.Proved = true
	defer func() { c.opt.Proved = proved }()
	before, err := c.Findings(ctx)
	if err != nil {
		return nil, err
	}
	first := map[[2]string]string{} // zone and column: what stood there at first
	now := before
	for range improveRounds {
		made, err := c.makeMoves(ctx, now, first)
		if err != nil {
			return nil, err
		}
		if !made {
			break
		}
		if now, err = c.Findings(ctx); err != nil {
			return nil, err
		}
	}
	var cells []finding.TriedCell
	for k, from := range first {
		i, _ := c.Project.ZoneByID(k[0])
		if to := c.Project.CellOf(i, k[1]); to != from {
			cells = append(cells, finding.TriedCell{Zone: k[0], Column: k[1], From: from, To: to})
		}
	}
	slices.SortFunc(cells, func(a, b finding.TriedCell) int {
		return cmp.Or(void.Natural(a.Zone, b.Zone), cmp.Compare(a.Column, b.Column))
	})
	c.opt.Proved = false
	return c.tried(ctx, before, cells)
}

// makeMoves makes the clear moves of an answer, the best first, each only where it is still clear; it says whether any was made.
func (c *Check) makeMoves(ctx context.Context, res *finding.Result, first map[[2]string]string) (made bool, err error) {
	type step struct {
		rows  []int32
		move  *finding.Move
		worth float64 // what it clears, for what is moved
	}
	r := &run{Check: c, kept: c.book}
	v := r.trials()
	var steps []step
	seen := map[trialKey]bool{}
	for k := range res.Findings {
		for n := range res.Findings[k].Moves {
			m := &res.Findings[k].Moves[n]
			i, ok := c.Project.ZoneByID(m.Zone)
			if !ok || !m.IsClear() || m.Takes == finding.TakesSets { // sets are not cells
				continue
			}
			s := step{rows: []int32{int32(i)}, move: m}
			if m.Takes == finding.TakesRun {
				s.rows = slices.Clone(c.RowsOf(int32(i)))
			}
			key := trialKey{s.rows[0], m.Takes == finding.TakesRun, m.Vector()}
			if seen[key] {
				continue
			}
			seen[key] = true
			out, ok := c.proved[key]
			if !ok {
				if out, ok, err = v.shift(ctx, s.rows, m.Vector()); err != nil {
					return made, err
				}
			}
			if ok && len(out.worse) == 0 && len(out.gone) > 0 {
				s.worth = float64(len(out.gone)) / (m.By * float64(len(s.rows)))
				steps = append(steps, s)
			}
		}
	}
	c.proved = nil // as things stood before the first is made
	defer c.catchUp()
	slices.SortStableFunc(steps, func(a, b step) int { return cmp.Compare(b.worth, a.worth) })
	for _, s := range steps {
		r = &run{Check: c, kept: c.book}
		v = r.trials()
		out, ok, err := v.shift(ctx, s.rows, s.move.Vector())
		if err != nil {
			return made, err
		}
		if !ok || len(out.worse) > 0 || len(out.gone) == 0 || len(out.apart) > 0 {
			continue
		}
		for _, i := range s.rows {
			id := c.Zone(i).ID
			cells, pr := c.Project.Moved(int(i), s.move.Vector())
			if pr != nil {
				return made, pr
			}
			for _, cell := range cells {
				k := [2]string{id, cell.Column}
				if _, there := first[k]; !there {
					first[k] = c.Project.CellOf(int(i), cell.Column)
				}
			}
			ch, pr := c.Project.EditCells(id, cells)
			if pr != nil {
				return made, pr
			}
			c.Changed(ch)
		}
		made = true
		if err = c.follow(ctx); err != nil {
			return made, err
		}
	}
	return made, nil
}
