package catalogue

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Figure is one measure of what hangers are made of. Unit is "mm" unless it says otherwise.
type Figure struct {
	Item               string
	Value              float64
	Unit               string
	Source, Provenance string
	Note               string
}

// Part is a piece of a hanger, of the height in mm that it takes. Inside: it sits inside the channel and
// adds no height to what hangs under the service; its height is what it takes of the channel's. Width is its
// plan width in mm, across flats for a nut; 0 where it counts for nothing.
type Part struct {
	Name               string
	Height, Width      float64
	Inside             bool
	Source, Provenance string
}

// Hanger is what holds a service, as far as it takes height under it: Parts from the service
// downwards. Over: it stands over the service and nothing of it hangs under. Channel: the service
// lies on a slotted channel. Rods is how many rods hold one support, Rod their diameter in mm (of a wire its
// own), 0 where there are none. From is what it hangs from as hangers.csv has it: "" for whatever is
// above. Aliases are further names under which HangerByName finds it.
type Hanger struct {
	Name    string
	Parts   []Part
	Over    bool
	Channel bool
	Rods    int
	Rod     float64
	From    string
	Note    string
	Aliases []string
}

// Below returns how far the hanger reaches under the service, in mm: the sum of the heights of its
// parts that do not sit inside another. 0 for a hanger over the service.
func (h Hanger) Below() float64 {
	if h.Over {
		return 0
	}
	sum := 0.0
	for _, p := range h.Parts {
		if !p.Inside {
			sum += p.Height
		}
	}
	return sum
}

const (
	iso4032     = "ISO 4032:2012 Table 1"
	iso7089     = "ISO 7089:2000 Table 1"
	iso7093     = "ISO 7093-1:2000 Table 1"
	bs6946      = "BS 6946:1988"
	seenNut     = "confirmed: two tables of ISO 4032"
	seenWasher  = "confirmed: open fastener data and a table of ISO 7089"
	seenLarge   = "confirmed: public code table of ISO 7093"
	seenChannel = "confirmed: article on support channel"
	seenSlot    = "confirmed: product text of slotted channel"
	useMaximum  = "use the maximum for a build-up"
	din934      = "an older DIN 934 nut is 17 at M10 and 19 at M12, with heights 8 and 10"
)

// figures is the table of hanger figures, by kind of part and in each by size.
var figures = []Figure{
	{"hex nut M6 height maximum", 5.2, "mm", iso4032, seenNut, useMaximum},
	{"hex nut M8 height maximum", 6.8, "mm", iso4032, seenNut, useMaximum},
	{"hex nut M10 height maximum", 8.4, "mm", iso4032, seenNut, useMaximum},
	{"hex nut M12 height maximum", 10.8, "mm", iso4032, seenNut, useMaximum},
	{"hex nut M16 height maximum", 14.8, "mm", iso4032, seenNut, useMaximum},
	{"hex nut M6 height minimum", 4.9, "mm", iso4032, seenNut, ""},
	{"hex nut M8 height minimum", 6.44, "mm", iso4032, seenNut, ""},
	{"hex nut M10 height minimum", 8.04, "mm", iso4032, seenNut, ""},
	{"hex nut M12 height minimum", 10.37, "mm", iso4032, seenNut, ""},
	{"hex nut M16 height minimum", 14.1, "mm", iso4032, seenNut, ""},
	{"hex nut M6 across flats", 10, "mm", iso4032, seenNut, ""},
	{"hex nut M8 across flats", 13, "mm", iso4032, seenNut, ""},
	{"hex nut M10 across flats", 16, "mm", iso4032, seenNut, din934},
	{"hex nut M12 across flats", 18, "mm", iso4032, seenNut, din934},
	{"hex nut M16 across flats", 24, "mm", iso4032, seenNut, ""},
	{"M6 coarse pitch", 1, "mm", "ISO 261", seenNut, ""},
	{"M8 coarse pitch", 1.25, "mm", "ISO 261", seenNut, ""},
	{"M10 coarse pitch", 1.5, "mm", "ISO 261", seenNut, ""},
	{"M12 coarse pitch", 1.75, "mm", "ISO 261", seenNut, ""},
	{"M16 coarse pitch", 2, "mm", "ISO 261", seenNut, ""},
	{"thin (lock) nut M6 height", 3.2, "mm", "ISO 4035", FromMemory, ""},
	{"thin (lock) nut M8 height", 4, "mm", "ISO 4035", FromMemory, ""},
	{"thin (lock) nut M10 height", 5, "mm", "ISO 4035", FromMemory, ""},
	{"thin (lock) nut M12 height", 6, "mm", "ISO 4035", FromMemory, ""},
	{"plain washer M6 thickness", 1.6, "mm", iso7089, seenWasher, "outside diameter 12; maximum thickness 1.8"},
	{"plain washer M8 thickness", 1.6, "mm", iso7089, seenWasher, "outside diameter 16; maximum thickness 1.8"},
	{"plain washer M10 thickness", 2, "mm", iso7089, seenWasher, "outside diameter 20; maximum thickness 2.2"},
	{"plain washer M12 thickness", 2.5, "mm", iso7089, seenWasher, "outside diameter 24; maximum thickness 2.7"},
	{"plain washer M16 thickness", 3, "mm", iso7089, seenWasher, "outside diameter 30; maximum thickness 3.3"},
	{"large washer M6 thickness", 1.6, "mm", iso7093, seenLarge, "outside diameter 18"},
	{"large washer M8 thickness", 2, "mm", iso7093, seenLarge, "outside diameter 24"},
	{"large washer M10 thickness", 2.5, "mm", iso7093, seenLarge, "outside diameter 30"},
	{"large washer M12 thickness", 3, "mm", iso7093, seenLarge, "outside diameter 37"},
	{"large washer M16 thickness", 3, "mm", iso7093, seenLarge, "outside diameter 50"},
	{"slotted channel deep, height", 41, "mm", bs6946, seenChannel, "41.3 exactly in the standard (from memory)"},
	{"slotted channel shallow, height", 21, "mm", bs6946, seenChannel, "20.6 exactly in the standard (from memory)"},
	{"slotted channel width", 41, "mm", bs6946, seenSlot, "41.3 exactly in the standard (from memory)"},
	{"slotted channel thickness, heavy", 2.5, "mm", bs6946, seenChannel, ""},
	{"slotted channel thickness, light", 1.5, "mm", bs6946, seenChannel, ""},
	{"back-to-back channel, 2 x 21", 42, "mm", "none", seenSlot, "2 x 41 = 82"},
	{"slot in channel, width", 14, "mm", "none", seenSlot, "for a rod up to M12"},
	{"slot in channel, length", 28, "mm", "none", seenSlot, "every 50"},
	{"square plate washer thickness", 5, "mm", "none", Practice, "5 to 6; 40 x 40 or 41 x 41, hole 9, 11 or 13"},
	{"square plate washer thickness, thin", 3, "mm", "none", Practice, ""},
	{"threaded rod past nut, minimum", 1, "full thread", "steelwork practice: at least one thread", FromMemory, "1.5 mm at M10; two or three threads are usual"},
	{"threaded rod tail below bottom nut, set-out allowance", 25, "mm", "none", Practice, "longer tails are cut where they hang below head height of 2.1 m, and capped"},
	{"adjustment allowance on rod length", 25, "mm", "none", Practice, "a rod, to level within 10 under a soffit within 15"},
	{"rod embed into wedge or drop-in anchor, M8", 30, "mm", "anchor approval", Practice, ""},
	{"rod embed into wedge or drop-in anchor, M10", 40, "mm", "anchor approval", Practice, ""},
	{"rod embed into wedge or drop-in anchor, M12", 50, "mm", "anchor approval", Practice, ""},
	{"rod screw-in to drop-in anchor, minimum", 1, "diameters", "anchor approval", Practice, "10 mm at M10"},
	{"rod clear distance beside tray or duct", 25, "mm", "none", Practice, "rod centre to edge of service, 25 to 40"},
	{"rod spacing for a trapeze, beyond service width", 100, "mm", "none", Practice, "50 each side; 75 with insulation and hands"},
	{"channel cut length, beyond rod spacing", 60, "mm", "none", Practice, "30 beyond each rod, one full slot end"},
	{"lock arrangement above the channel, M10", 13.4, "mm", "geometry with ISO 4032", Practice, "5 + 8.4; inside the channel lips or beside the service: adds no height"},
	{"rod stock length, shortest", 1, "m", "none", Practice, ""},
	{"rod stock length, middle", 2, "m", "none", Practice, ""},
	{"rod stock length, longest", 3, "m", "none", Practice, "a longer rod needs a coupler, a hex connector 3 diameters long"},
}

var figureByItem = func() map[string]int {
	m := make(map[string]int, len(figures))
	for i, f := range figures {
		m[f.Item] = i
	}
	return m
}()

// HangerFigures returns a copy of the figures of nuts, washers, threads, channels and rods.
func HangerFigures() []Figure { return slices.Clone(figures) }

// HangerFigure returns the figure of an item, written as in HangerFigures.
func HangerFigure(item string) (Figure, bool) {
	i, ok := figureByItem[item]
	if !ok {
		return Figure{}, false
	}
	return figures[i], true
}

// hangers is the table of the built-in hangers.
var hangers = func() []Hanger {
	var hs []Hanger
	for _, channel := range []int{41, 21} {
		for _, rod := range []int{10, 8, 12} {
			hs = append(hs, trapeze(channel, rod, false))
		}
	}
	for _, channel := range []int{41, 21} {
		for _, rod := range []int{10, 8, 12} {
			hs = append(hs, trapeze(channel, rod, true))
		}
	}
	for _, channel := range []int{41, 21} {
		for _, rod := range []int{10, 8, 12} {
			hs = append(hs, nutInside(channel, rod))
		}
	}
	return append(hs,
		Hanger{
			Name: "side bracket", Over: true, From: "wall",
			Note:    "fixed to a wall or an upright beside the service; nothing under it (" + Practice + ")",
			Aliases: []string{"wall bracket", "bracket"},
		},
		Hanger{
			Name: "pipe clip", Over: true, Rods: 1, Rod: 10,
			Note:    "one rod M10 above, clip round the pipe; its thickness is not counted (" + Practice + ")",
			Aliases: []string{"clip", "pipe ring", "rod above", "rod and clip"},
		},
		Hanger{
			Name: "strap", Over: true, Rods: 1, Rod: 10,
			Note:    "one rod M10 above, band round the pipe or duct; its thickness of a few mm is not counted (" + Practice + ")",
			Aliases: []string{"band", "pipe band", "pipe strap", "duct strap", "strap hanger", "banding"},
		},
		Hanger{
			Name: "wire", Over: true, Rods: 1, Rod: 3,
			Note:    "one wire rope of 3 mm above; nothing under the service (" + Practice + ")",
			Aliases: []string{"wire rope", "wire hanger", "steel wire"},
		},
	)
}()

// part makes a part of the figure of an item. An item that is not in the table is a mistake in this
// file, and no build-up may be made of a wrong figure: it stops the program at its start.
func part(name, item string) Part {
	f, ok := HangerFigure(item)
	if !ok {
		panic("catalogue: no hanger figure " + strconv.Quote(item))
	}
	return Part{Name: name, Height: f.Value, Source: f.Source, Provenance: f.Provenance}
}

// wide gives a part a width in mm.
func wide(p Part, width float64) Part {
	p.Width = width
	return p
}

// Widths of parts, mm.
const (
	plateWide   = 40.0 // square plate washer, 40 x 40 or 41 x 41 (common practice, no source)
	channelWide = 41.0 // slotted channel (BS 6946:1988; product text)
)

// washers are the outside diameters of plain (ISO 7089:2000 table 1) and large washers (ISO 7093-1:2000
// table 1), mm.
var washers = map[string]struct{ plain, large float64 }{
	"M6": {12, 18}, "M8": {16, 24}, "M10": {20, 30}, "M12": {24, 37}, "M16": {30, 50},
}

// nut returns the hexagon nut of a rod at its greatest height.
func nut(m string) Part {
	f, _ := HangerFigure("hex nut " + m + " across flats")
	return wide(part("nut "+m, "hex nut "+m+" height maximum"), f.Value)
}

// channelPart returns the slotted channel of a height.
func channelPart(height int) Part {
	if height == 21 {
		return wide(part("channel 21", "slotted channel shallow, height"), channelWide)
	}
	return wide(part("channel 41", "slotted channel deep, height"), channelWide)
}

// trapeze returns the channel on two rods with plate washer and nut under it, and one thread of rod past
// the nut, or a tail of 25 where the rod is not trimmed.
//
//	|   ____service____   |
//	|  |_______________|  |
//	[=====================]   channel  41 or 21
//	===                 ===   plate     5
//	 #                   #    nut      M10 8.4
//	 |                   |    thread    1.5, or tail 25
func trapeze(channel, rod int, tail bool) Hanger {
	m := "M" + strconv.Itoa(rod)
	h := Hanger{
		Name:    fmt.Sprintf("channel %d %s", channel, m),
		Channel: true,
		Rods:    2, Rod: float64(rod),
		Note: "rod trimmed to one thread past the nut",
		Parts: []Part{
			channelPart(channel),
			wide(part("plate washer", "square plate washer thickness"), plateWide),
			nut(m),
			wide(part("one thread", m+" coarse pitch"), float64(rod)),
		},
	}
	if tail {
		h.Note = "rod not trimmed"
		h.Parts[3] = wide(part("rod tail", "threaded rod tail below bottom nut, set-out allowance"), float64(rod))
	}
	depth := map[int]string{41: "deep", 21: "shallow"}[channel]
	for _, base := range []string{
		"%d channel", "channel 41x%d", "41x%d channel", "trapeze %d", "%d trapeze", "trapeze 41x%d", "41x%d",
	} {
		h.Aliases = append(h.Aliases, fmt.Sprintf(base, channel)+" "+m)
	}
	for _, base := range []string{" channel", " channel trapeze", " trapeze"} {
		h.Aliases = append(h.Aliases, depth+base+" "+m)
	}
	// M10 is the rod of a trapeze where nobody says which.
	if rod == 10 {
		for _, a := range append([]string{h.Name}, h.Aliases...) {
			h.Aliases = append(h.Aliases, strings.TrimSuffix(a, " "+m))
		}
		if channel == 41 {
			h.Aliases = append(h.Aliases, "trapeze M10", "trapeze", "channel M10", "channel")
		}
	}
	if tail {
		plain := h.Aliases
		h.Aliases = nil
		for _, a := range append([]string{h.Name}, plain...) {
			h.Aliases = append(h.Aliases, a+" untrimmed", a+" tail 25", a+" with tail")
			if a != h.Name {
				h.Aliases = append(h.Aliases, a+" long tail")
			}
		}
		h.Name += " long tail"
	}
	return h
}

// nutInside returns the channel whose washers and nut sit inside it, one thread past the nut: nothing under
// it. A square plate of 40 does not go between the sides of a channel, so the washers are round:
//
//	[ |  nut  |  ]   one thread   1.5 at M10
//	[ =======  ]     nut          8.4
//	[ -------  ]     washer       2
//	[ -------  ]     large washer 2.5       14.4 in all, of 21
//	[===== ======]
func nutInside(channel, rod int) Hanger {
	m := "M" + strconv.Itoa(rod)
	h := Hanger{
		Name: fmt.Sprintf("channel %d %s nut inside", channel, m),
		Rods: 2, Rod: float64(rod),
		Parts: []Part{
			channelPart(channel),
			wide(part("large washer "+m, "large washer "+m+" thickness"), washers[m].large),
			wide(part("washer "+m, "plain washer "+m+" thickness"), washers[m].plain),
			nut(m),
			wide(part("one thread", m+" coarse pitch"), float64(rod)),
		},
		Channel: true,
		Note:    "washers, nut and rod end inside the channel (" + Practice + ")",
	}
	if across, _ := ChannelInside(0, 0); washers[m].large > across {
		h.Parts = slices.Delete(h.Parts, 1, 2) // that of M12, 37 across, does not go in
	}
	for i := range h.Parts[1:] {
		h.Parts[i+1].Inside = true
	}
	depth := map[int]string{41: "deep", 21: "shallow"}[channel]
	for _, base := range []string{"channel %d", "%d channel", "channel 41x%d", "41x%d channel", "trapeze %d"} {
		h.Aliases = append(h.Aliases, fmt.Sprintf(base, channel)+" "+m+" nut inside")
	}
	for _, base := range []string{" channel", " trapeze", " channel trapeze"} {
		h.Aliases = append(h.Aliases, depth+base+" "+m+" nut inside")
	}
	// M10 is the rod where nobody says which.
	if rod == 10 {
		for _, a := range h.Aliases {
			h.Aliases = append(h.Aliases, strings.Replace(a, " "+m, "", 1))
		}
		h.Name = fmt.Sprintf("channel %d nut inside", channel)
	}
	h.Aliases = slices.DeleteFunc(h.Aliases, func(a string) bool { return a == h.Name })
	return h
}

// ChannelInside returns the room inside a slotted channel, mm: between its sides (width 0: that of BS 6946, 41; less
// two sides of the heavy gauge, 36) and in its height, which is the whole: the sum made on site is against 21
// or 41 (14.4 of 21; common practice, no source).
func ChannelInside(width, height float64) (across, high float64) {
	if width == 0 {
		width = channelWide
	}
	f, _ := HangerFigure("slotted channel thickness, heavy")
	return width - 2*f.Value, height
}

// Fits returns how much height is left when parts stand on each other inside a channel that is across wide and high
// inside, the widest of them plate wide; all mm, by a hair of 0.001 no matter. why says what does not fit, "" where
// all does.
func Fits(across, high, plate float64, heights ...float64) (room float64, why string) {
	const hair = 0.001
	if plate > across+hair {
		return 0, fmt.Sprintf("a plate of %g does not go into %g", plate, across)
	}
	sum := 0.0
	for _, h := range heights {
		sum += h
	}
	if sum > high+hair {
		return 0, fmt.Sprintf("%g of parts do not go into %g", math.Round(sum*1000)/1000, high)
	}
	return high - sum, ""
}

// PartByName returns the figures of a part of a hanger by what people call it: nut M10, washer M10, large washer
// M10, plate washer, one thread M10. rod in mm is the size where the name says none, 0: M10. Case, blanks, hyphens
// and underscores do not count. false where it is not known.
func PartByName(name string, rod float64) (Part, bool) {
	m := "M10"
	if rod > 0 {
		m = "M" + strconv.FormatFloat(rod, 'f', -1, 64)
	}
	name = squeeze(name)
	for _, k := range []string{"M16", "M12", "M10", "M8", "M6"} {
		if strings.Contains(name, squeeze(k)) {
			m = k
			name = strings.Replace(name, squeeze(k), "", 1)
			break
		}
	}
	size, err := strconv.ParseFloat(strings.TrimPrefix(m, "M"), 64)
	if err != nil {
		return Part{}, false
	}
	known := func(item string, width float64) (Part, bool) {
		f, ok := HangerFigure(item)
		if !ok {
			return Part{}, false
		}
		return Part{Name: item, Height: f.Value, Width: width, Source: f.Source, Provenance: f.Provenance}, true
	}
	switch name {
	case "nut", "hexnut", "fullnut":
		f, _ := HangerFigure("hex nut " + m + " across flats")
		return known("hex nut "+m+" height maximum", f.Value)
	case "locknut", "thinnut", "halfnut":
		f, _ := HangerFigure("hex nut " + m + " across flats")
		return known("thin (lock) nut "+m+" height", f.Value)
	case "washer", "plainwasher", "flatwasher", "roundwasher":
		return known("plain washer "+m+" thickness", washers[m].plain)
	case "largewasher", "pennywasher", "repairwasher":
		return known("large washer "+m+" thickness", washers[m].large)
	case "platewasher", "squareplatewasher", "squareplate", "plate", "squarewasher", "channelplate", "channelwasher":
		return known("square plate washer thickness", plateWide)
	case "thread", "onethread":
		return known(m+" coarse pitch", size)
	}
	return Part{}, false
}

var hangerByName = func() map[string]int {
	m := map[string]int{}
	for i, h := range hangers {
		m[squeeze(h.Name)] = i
		for _, a := range h.Aliases {
			m[squeeze(a)] = i
		}
	}
	return m
}()

func (h Hanger) clone() Hanger {
	h.Parts, h.Aliases = slices.Clone(h.Parts), slices.Clone(h.Aliases)
	return h
}

// Hangers returns a copy of the built-in hangers in fixed order.
func Hangers() []Hanger {
	hs := make([]Hanger, len(hangers))
	for i, h := range hangers {
		hs[i] = h.clone()
	}
	return hs
}

// HangerByName finds a built-in hanger by its name or an alias; case, blanks, hyphens and underscores do
// not count.
func HangerByName(name string) (Hanger, bool) {
	i, ok := hangerByName[squeeze(name)]
	if !ok {
		return Hanger{}, false
	}
	return hangers[i].clone(), true
}

// NearestHanger returns the name of the built-in hanger whose name or alias is spelled nearest, for a
// hint; false where none is near.
func NearestHanger(name string) (string, bool) {
	var spellings []string
	var of []int
	for i, h := range hangers {
		for _, s := range append([]string{h.Name}, h.Aliases...) {
			spellings, of = append(spellings, squeeze(s)), append(of, i)
		}
	}
	i, ok := nearest(squeeze(name), spellings)
	if !ok {
		return "", false
	}
	return hangers[of[i]].Name, true
}
