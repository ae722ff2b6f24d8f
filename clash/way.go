package clash

import (
	"math"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/finding"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// How moves are told: as a shift in mm, and for people towards a grid line or a point of the compass.

// leftOf returns the direction to the left of a row as seen from its start; of an item, which has no start, north, and false.
func leftOf(z *void.Zone, b body.Body) (left r3.Vector, row bool) {
	left = r3.Vector{X: b.Across.X, Y: b.Across.Y}
	if z.Item || left.Norm2() == 0 {
		return r3.Vector{Y: 1}, false
	}
	return left, true
}

// itemWay names the level way of an item.
func itemWay(by r3.Vector) string {
	switch {
	case math.Abs(by.X) > void.Hair:
		return "sideways"
	case by.Y > 0:
		return "left"
	}
	return "right"
}

// levelName names a level shift of zone m as Move.Direction does; false for a row that it is not square to.
func (c *Check) levelName(m int32, by r3.Vector) (string, bool) {
	left, row := leftOf(c.Zone(m), c.Full(m))
	if !row {
		return itemWay(by), true
	}
	switch d := left.Dot(by) / by.Norm(); {
	case d > 1-1e-9:
		return "left", true
	case d < -1+1e-9:
		return "right", true
	}
	return "", false
}

// moveOf returns the move of zone m by a shift; at is where the finding is that it clears.
func (c *Check) moveOf(m int32, at r3.Vector, direction string, by r3.Vector) finding.Move {
	return finding.Move{
		Zone: c.Zone(m).ID, Direction: direction, By: by.Norm(), DX: by.X, DY: by.Y, DZ: by.Z,
		Towards: c.towards(m, at, r2.Point{X: by.X, Y: by.Y}),
	}
}

// towards says where a level way of zone m leads, as seen from the place of its axis that is nearest to at.
func (c *Check) towards(m int32, at r3.Vector, way r2.Point) string {
	b := c.Full(m)
	from, e := r2.Point{X: b.Centre.X, Y: b.Centre.Y}, r2.Point{X: b.Along.X, Y: b.Along.Y}
	if n2 := e.Dot(e); n2 > 0 && !c.Zone(m).Item {
		s := r2.Point{X: at.X, Y: at.Y}.Sub(from).Dot(e) / n2
		from = from.Add(e.Mul(math.Max(-1, math.Min(1, s))))
	}
	return c.Project.Towards(from, way)
}

// sideOf returns where the side of a row looks that a space is on, "" for sides that say it themselves.
func (c *Check) sideOf(s *void.Space) string {
	switch s.Side {
	case cell.Start, cell.End, cell.Left, cell.Right:
		d := outwards(s, c.Full(s.For))
		return c.towards(s.For, s.Body.Centre, r2.Point{X: d.X, Y: d.Y})
	}
	return ""
}

// askedIn says which row of access.csv asks for a space, and where the side looks.
func (c *Check) askedIn(s *void.Space) string {
	note := "space needed by " + c.Project.FileLine(s.Row)
	switch to := c.sideOf(s); {
	case s.Kind == void.Hatch || to == "":
		return note
	case s.Side == cell.Start || s.Side == cell.End:
		return note + ", at the " + s.Side.String() + " of the row, " + finding.TowardsWords(to)
	default:
		return note + ", on the side " + finding.TowardsWords(to)
	}
}
