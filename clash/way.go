package clash

import (
	"math"
	"strings"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/figure"
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
func (c *Check) moveOf(m int32, at r3.Vector, direction string, by r3.Vector) Move {
	return Move{
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

// round takes a move to 0.1 mm, each part to the side that clears.
func (m *Move) round() {
	away := func(v float64) float64 {
		r := math.Ceil(math.Abs(v)*10-0.01) / 10
		if r <= 0 {
			return 0
		}
		return math.Copysign(r, v)
	}
	m.By, m.DX, m.DY, m.DZ = away(m.By), away(m.DX), away(m.DY), away(m.DZ)
	switch m.Direction {
	case "up":
		m.DZ = m.By
	case "down":
		m.DZ = -m.By
	}
}

// SideWords says the side of a rule or of a space to people, who see no left and right: "below", "end, towards grid C", "north".
func (f *Finding) SideWords() string {
	switch {
	case f.Side == cell.Left || f.Side == cell.Right:
		if f.SideTowards == "" {
			return cell.Beside.String()
		}
		return TowardsWords(f.SideTowards)
	case f.SideTowards != "":
		return f.Side.String() + ", " + TowardsWords(f.SideTowards)
	}
	return f.Side.String()
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
		return note + ", at the " + s.Side.String() + " of the row, " + TowardsWords(to)
	default:
		return note + ", on the side " + TowardsWords(to)
	}
}

// TowardsWords says a direction as people are told it: "towards grid C", or "north".
func TowardsWords(towards string) string {
	if strings.HasPrefix(towards, "grid ") {
		return "towards " + towards
	}
	return towards
}

// Way says a move in words, without what moves: "up 30", "250 towards grid 3", "250 north-east (200 east, 150 north)",
// "up 40 and 30 north".
func (m Move) Way() string {
	level := figure.Up(m.By)
	if m.DZ != 0 {
		level = figure.Up(math.Hypot(m.DX, m.DY))
	}
	switch {
	case m.Towards != "":
		level += " " + TowardsWords(m.Towards)
	case m.Direction == "up" || m.Direction == "down":
		return m.Direction + " " + figure.Up(m.By)
	default:
		return "sideways " + level // of an answer that was written before moves had a direction in plan
	}
	if m.Direction == "sideways" && m.DX != 0 && m.DY != 0 { // an item has no axis to be square to
		level += " (" + compass(m.DX, "east", "west") + ", " + compass(m.DY, "north", "south") + ")"
	}
	if m.DZ != 0 {
		return compass(m.DZ, "up", "down") + " and " + level
	}
	return level
}

// compass says a signed length by the two ways that it may go: "200 east", "up 40".
func compass(v float64, plus, minus string) string {
	way := plus
	if v < 0 {
		way = minus
	}
	if way == "up" || way == "down" {
		return way + " " + figure.Up(math.Abs(v))
	}
	return figure.Up(math.Abs(v)) + " " + way
}
