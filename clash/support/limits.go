package support

import (
	"voidline/void"
)

// Wide is how wide a support is along its run, mm: its channel.
const Wide = channelWide

// Limits returns the lengths by which it is decided where supports stand until they are set out, and of what they are made.
func Limits() []void.Limit {
	return void.Practised([]void.Limit{
		{Name: "first support from an end, a corner or a step", MM: usualFirst, Why: "ends sag"},
		{Name: "rod from the side of its service", MM: usualBeside, Why: "room for nut, washer and spanner"},
		{Name: "channel beyond its last rod", MM: usualPast, Why: "a washer bears on it whole"},
		{Name: "rod, where the hanger says none", MM: usualRod, Why: "M10"},
		{Name: "longer channel where rods are in the way, at each end up to", MM: widerMost, Why: "further out the channel bends"},
		{Name: "channel, wide", MM: channelWide, Why: "plain channel", Source: "BS 6946:1988"},
		{Name: "square plate washer", MM: plateWide, Why: "what a rod takes on a channel"},
		{Name: "ends of rows that follow each other, furthest", MM: meetEnds, Why: "so near they are one length, and their supports are spaced together; as in the check"},
		{Name: "step between rows that follow each other, from", MM: meetStep, Why: "less a support takes up; more is a bend, with a support on either side"},
		{Name: "rows of one frame, furthest aside", MM: aside, Why: "further aside they share no channel"},
		{Name: "undersides of two beams, differ by", MM: levelSteel, Why: "more, and the rods of one support hang from the soffit where nobody says steel"},
		{Name: "slices of a falling row, long at the most", MM: fallingSlice, Why: "rods do not fall with the row: within a slice each is taken as long as the longest"},
	})
}
