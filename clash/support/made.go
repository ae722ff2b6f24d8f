package support

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r2"

	"voidline/void"
	"voidline/void/catalogue"
)

// Cutting says how rods are cut, mm.
type Cutting struct {
	Screw   float64 // how far a rod is screwed in above; 0: its diameter (common practice, no source)
	Adjust  float64 // added to the cut for levelling
	Longest float64 // length that rods are bought in
}

// RodCut is one rod of a support, as it is cut.
type RodCut struct {
	Where  r2.Point
	Beside r2.Point // from the middle of the service to it, in plan
	From   float64  // level of what is over that very point and it hangs from
	Of     string   // what that is
	Steel  bool     // it is steel
	Length float64  // exact
	Cut    float64
	Pieces []float64 // what it is joined of, from the top, with a coupler between two; one where the stock is long enough
}

// Wire is what the size of rods is that are none.
const Wire = "wire"

// Size returns the size of a support's rods in words, by the name of its hanger.
func (s *Support) Size(hanger string) string {
	if strings.Contains(strings.ToLower(hanger), "wire") {
		return Wire
	}
	return fmt.Sprintf("M%g", s.Rod)
}

// Trimmed reports whether rods of a hanger are trimmed after levelling.
func Trimmed(hanger string) bool { return !strings.Contains(hanger, "long tail") }

// RodLength returns the length of a rod: from what it hangs from to the channel's top, over the channel and the parts
// under it with the tail, and what is screwed in above.
func RodLength(from, channelTop, under, screw float64) float64 {
	return from - channelTop + under + screw
}

// CutLength rounds a rod's length as a fitter would, never short: with room for levelling to the next 5 mm where it is
// trimmed afterwards, else to the next whole one.
func CutLength(rod, adjust float64, trim bool) float64 {
	if trim {
		return math.Ceil((rod+adjust)/5-1e-9) * 5
	}
	return math.Ceil(rod - 1e-9)
}

// CutRods returns the rods of a support, each as long as it takes from what is over that very rod to its lower end; nil where nothing
// holds it. hanger is the name of what it hangs on.
func (pl *Plan) CutRods(s *Support, hanger string, how Cutting) (out []RodCut) {
	if !s.Held {
		return nil
	}
	if how.Screw == 0 {
		how.Screw = s.Rod
	}
	for k := range s.Rods {
		r := RodCut{Where: s.RodPoint(k), From: s.Up[k], Of: pl.holdName(s.Hung[k]), Steel: s.Hung[k].Steel >= 0}
		r.Beside = r.Where.Sub(s.Where)
		r.Length = RodLength(r.From, s.Tail, 0, how.Screw)
		r.Cut = CutLength(r.Length, how.Adjust, Trimmed(hanger))
		r.Pieces = []float64{r.Cut}
		if s.Size(hanger) != Wire {
			r.Pieces = catalogue.JoinRod(r.Cut, how.Longest)
		}
		out = append(out, r)
	}
	return out
}

// holdName returns the id of what a rod hangs from, "" for nothing.
func (pl *Plan) holdName(h Hold) string {
	switch {
	case h.Steel >= 0:
		return pl.p.Zone(int(h.Steel)).ID
	case h.Bay >= 0:
		return pl.p.Bays[h.Bay].SoffitID()
	}
	return ""
}

// HeldBy returns what the rods of a support hang from: its id, of two rods with the other's where that is something else; "" for nothing.
func (pl *Plan) HeldBy(s *Support) (of string) {
	for k := range s.Rods {
		switch name := pl.holdName(s.Hung[k]); {
		case name == "" || name == of:
		case of == "":
			of = name
		default:
			of += ", " + name
		}
	}
	return of
}

// ChannelTops returns the levels of the tops of the channels that a hanger has at a tier: under the service, then over it.
func ChannelTops(h *void.Hanger, t *Tier) (tops []float64) {
	if t.Carry > 0 && slices.ContainsFunc(h.Parts, func(y void.HangerPart) bool { return !y.Inside && !y.Over && isChannel(y.Name) }) {
		tops = append(tops, t.Under)
	}
	over := t.Over
	for _, y := range h.Parts {
		if !y.Inside && y.Over {
			if over += y.Height; isChannel(y.Name) && y.Height > 0 {
				return append(tops, over)
			}
		}
	}
	return tops
}

// ChannelLength returns how long the channels of a tier are cut, never short.
func (t *Tier) ChannelLength() float64 { return math.Ceil(t.Long[1] - t.Long[0] - 1e-9) }

func isChannel(part string) bool { return strings.Contains(strings.ToLower(part), "channel") }

// Parts returns the parts of one tier of a support besides channel, rod and what that is cut of: those that its hanger names, nuts, washers and plates
// one a rod, and what locks so many channels from above.
func Parts(h *void.Hanger, rods int, size string, channels int) (out []string) {
	for _, x := range h.Parts {
		low := strings.ToLower(x.Name)
		switch {
		case !x.Inside && isChannel(x.Name) && channels > 0, strings.Contains(low, "thread"), strings.Contains(low, "tail"):
		case strings.Contains(low, "nut"), strings.Contains(low, "washer"), strings.Contains(low, "plate"):
			for range rods {
				out = append(out, x.Name)
			}
		default:
			out = append(out, x.Name)
		}
	}
	for range channels * rods {
		out = append(out, "nut "+size+" above the channel, to lock it")
	}
	return out
}

// FixedBy returns what holds a rod above.
func FixedBy(size string, steel bool) string {
	switch {
	case size == Wire:
		return "wire rope with its fixing, cut on site"
	case steel:
		return "clamp for the flange, " + size
	}
	return "fixing into the soffit, " + size
}
