// Package look holds how things are drawn in every drawing: the hatch and colour of each trade, the marks of
// pipe identification, findings, and the furniture of a sheet.
package look

import (
	"hash/fnv"
	"strings"

	"voidline/reports/draw"
)

// Trade is how a trade is drawn. No two trades share a hatch, so that they are told apart without colour;
// colours (Okabe and Ito's, mapped to trades by us) follow the families: air blue, pipes green, cables
// vermillion, and so on.
type Trade struct {
	Word    string
	Line    draw.Tone // of the hatch
	Tint    draw.Tone // of the ground
	Pattern draw.Pattern
}

// Trades returns the trades in the order of a legend.
func Trades() []Trade {
	return []Trade{
		{"structure", draw.Grey, draw.GreyTint, draw.Pattern{Angle: 45, Gap: 3.2}},
		{"steel", draw.Steel, draw.SteelTint, draw.Pattern{Angle: 45, Gap: 1.9, Pair: true}},
		{"partitions", draw.Grey, draw.GreyTint, draw.Pattern{Angle: 135, Gap: 2.4, Pair: true}},
		{"ceilings", draw.Purple, draw.PurpleTint, draw.Pattern{Gap: 0.9, Dots: true}},
		{"ductwork", draw.Blue, draw.BlueTint, draw.Pattern{Angle: 45, Gap: 2.4, Cross: true}},
		{"mechanical", draw.Blue, draw.BlueTint, draw.Pattern{Angle: 45, Gap: 1.6, Dash: 1.2}},
		{"pipework", draw.Green, draw.GreenTint, draw.Pattern{Angle: 45, Gap: 1.3}},
		{"drainage", draw.Orange, draw.OrangeTint, draw.Pattern{Angle: 135, Gap: 1.3}},
		{"sprinklers", draw.Sky, draw.SkyTint, draw.Pattern{Angle: 90, Gap: 1.3}},
		{"containment", draw.Vermillion, draw.VermillionTint, draw.Pattern{Angle: 0, Gap: 1.1}},
		{"electrical", draw.Vermillion, draw.VermillionTint, draw.Pattern{Angle: 0, Gap: 1.1, Dash: 1.2}},
		{"lighting", draw.Yellow, draw.YellowTint, draw.Pattern{}},
		{"fire alarm", draw.Vermillion, draw.VermillionTint, draw.Pattern{Angle: 90, Gap: 1.1, Dash: 1.2}},
		{"security", draw.Vermillion, draw.VermillionTint, draw.Pattern{Angle: 0, Gap: 1.4, Cross: true}},
		{"controls", draw.Vermillion, draw.VermillionTint, draw.Pattern{Angle: 0, Gap: 2, Pair: true}},
	}
}

// others are the hatches of trades that are not known by name.
func others() []draw.Pattern {
	p := []draw.Pattern{{Angle: 135, Gap: 1.6, Dash: 1.2}, {Gap: 1.6, Dots: true}, {Angle: 22, Gap: 2.6, Cross: true}, {Angle: 68, Gap: 2.2, Cross: true}}
	for _, angle := range []float64{20, 70, 110, 160} {
		p = append(p, draw.Pattern{Angle: angle, Gap: 1.6}, draw.Pattern{Angle: angle, Gap: 2.2, Pair: true}, draw.Pattern{Angle: angle, Gap: 1.4, Dash: 1.6})
	}
	return p
}

// Of returns how a trade is drawn; a trade not known by name is grey, with one of a few hatches by its name: two such trades
// may by chance have the same.
func Of(word string) Trade {
	for _, t := range Trades() {
		if t.Word == word {
			return t
		}
	}
	h := fnv.New32a()
	h.Write([]byte(word))
	p := others()
	return Trade{word, draw.Grey, draw.GreyTint, p[h.Sum32()%uint32(len(p))]}
}

// Mark returns the bands of the small mark that identifies what a pipe carries, from the left: the basic colour
// and between it the code colour (BS 1710, table and bands from memory except where the colours are named:
// conversions to screen colours differ). It returns nil for what has none.
func Mark(trade, service string) []draw.Tone {
	banded := func(base draw.Tone, code ...draw.Tone) []draw.Tone {
		return append(append([]draw.Tone{base}, code...), base)
	}
	s := strings.ToLower(service)
	has := func(words ...string) bool {
		for _, w := range words {
			if strings.HasPrefix(s, w) {
				return true
			}
		}
		return false
	}
	switch {
	case trade == "sprinklers" || has("sprinkler", "wet riser", "dry riser", "hose reel", "fire main"):
		return banded(draw.MarkGreen, draw.MarkRed)
	case has("lthw", "mthw", "hthw", "heating"):
		return banded(draw.MarkGreen, draw.MarkBlue, draw.MarkCrimson, draw.MarkBlue)
	case has("chw", "chilled"):
		return banded(draw.MarkGreen, draw.MarkWhite, draw.MarkEmerald, draw.MarkWhite)
	case has("hws", "hot water"):
		return banded(draw.MarkGreen, draw.MarkWhite, draw.MarkCrimson, draw.MarkWhite)
	case has("mains water", "mcws", "drinking", "cws", "cold water"):
		return banded(draw.MarkGreen, draw.MarkBlue)
	case has("steam"):
		return banded(draw.MarkGrey)
	case has("gas"):
		return banded(draw.MarkOchre)
	case has("compressed air"):
		return banded(draw.MarkLightBlue)
	case has("oil", "fuel oil", "diesel"):
		return banded(draw.MarkBrown)
	case trade == "drainage" || has("soil", "waste", "rainwater", "drain", "condensate"):
		return banded(draw.MarkBlack)
	}
	return nil
}
