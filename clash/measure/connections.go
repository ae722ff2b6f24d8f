package measure

import (
	"math"
	"slices"
	"strings"

	"voidline/clash/rules"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/vocabulary"
)

// Connection is a line of the table of what connects to what: an end of one thing at another, or an item on it.
// The words are those of rules: of a kind, a service or a trade, several of them parted by commas.
type Connection struct {
	Of   string  // what ends there, or stands on it. A trade counts for rows that say no service
	To   string  // kinds at which it ends
	Deep float64 // how far it may go into the other, mm
	// InLine says that the other stands in line on a row: where the row's axis goes through its middle, the row may
	// go on through it, or end anywhere in it.
	InLine bool
	// Same asks that both carry the same service, where both say one.
	Same bool
	// Fixed says that it is fixed on the other: what is set into a ceiling is not.
	Fixed bool
	// Never says that the two do not connect, so that nobody need be asked.
	Never  bool
	Why    string
	Source string
}

// The lists of kinds that several lines name.
const (
	ducts      = "duct, duct fitting, flexible"
	pipes      = "pipe, pipe fitting, sprinkler pipe, flexible"
	conduits   = "conduit, plastic conduit, cable"
	cableways  = "tray, basket, ladder, trunking, plastic trunking, tray fitting, bus bar"
	units      = "unit, fan coil, terminal unit, air handling unit, heat recovery unit, heater battery, cassette, chilled beam, radiant panel"
	airInLine  = "damper, fire damper, attenuator, terminal unit, heater battery, filter, fan"
	pipeInLine = "valve, strainer, meter, pump, rodding eye"
	heads      = "detector, speaker, camera, access point"
)

// Connections returns the table of what connects to what, and how deep a connection goes.
func Connections() []Connection { return slices.Clone(connections) }

// connections: of the lines that name a pair the most specific counts, as with rules; of equals one that connects.
var connections = withSource([]Connection{
	// Air.
	{Of: ducts, To: "diffuser, grille", Deep: 150, Same: true, Why: "a duct, a flexible or a plenum's neck goes over a spigot"},
	{Of: ducts, To: airInLine, Deep: 150, InLine: true, Same: true, Why: "stands in the duct's line, flange to flange or slipped in"},
	{Of: ducts, To: "fan coil, air handling unit, heat recovery unit, cassette, chilled beam, unit", Deep: 150, Why: "a duct goes over a unit's spigot"},
	{Of: "diffuser, grille", To: ducts, Deep: 50, Same: true, Why: "a grille or diffuser is fixed to the side or the underside of a duct"},
	{Of: airInLine, To: airInLine + ", fan coil, air handling unit, heat recovery unit, diffuser, grille", Deep: 25, Same: true, Why: "flanges of two things in one line of ductwork"},
	{Of: "access door", To: "duct, duct fitting, fire damper, attenuator", Deep: 100, Why: "a door stands in the duct's side, its frame on it"},

	// Water, steam, refrigerant, gases.
	{
		Of: "LTHW, MTHW, steam, steam condensate, chilled water, condenser water, refrigerant, condensate drain, pumped drain, pipework",
		To: units, Deep: 150, Why: "pipes go to a unit's coil or tray behind its casing, whatever the unit's own service",
	},
	{Of: "refrigerant", To: "manifold, valve", Deep: 150, Why: "branch boxes and valves of a refrigerant system"},
	{Of: "cold water, hot water, hose reel, gas, compressed air, medical gas, waste, drain", To: "unit", Deep: 150, Why: "vessels, heaters and plant are filled, fed and drained"},
	{Of: "cold water", To: "air handling unit", Deep: 150, Why: "humidifiers are fed"},
	{Of: pipes, To: pipeInLine, Deep: 150, InLine: true, Same: true, Why: "stands in the pipe's line, screwed or flanged"},
	{Of: pipes, To: "manifold", Deep: 150, Same: true, Why: "a manifold's ways"},
	{Of: pipeInLine, To: pipeInLine + ", manifold", Deep: 25, Same: true, Why: "flanges or unions of two things in one line of pipe"},
	{Of: "valve, strainer, meter, pump", To: units, Deep: 50, Why: "a valve set stands at the connections of its unit"},

	// Sprinklers.
	{Of: pipes, To: "sprinkler head", Deep: 100, Same: true, Why: "a head is screwed into its drop or range"},
	{Of: "sprinkler head", To: "pipe, pipe fitting, sprinkler pipe, flexible", Deep: 100, Same: true, Why: "a head stands on its range or its drop"},
	{Of: "sprinkler head", To: "chilled beam", Deep: 300, Why: "heads are set into chilled beams made for them"},
	{Of: "sprinkler water, sprinklers", To: "chilled beam", Deep: 150, Why: "the drop of a head in a chilled beam"},

	// Cables.
	{Of: "power", To: units + ", fan, pump, distribution board, junction box, damper, fire damper, valve, meter, light fitting", Deep: 100, Why: "motors, heaters, actuators and controllers are fed, whatever their own service"},
	{Of: "HV", To: "distribution board, unit", Deep: 100, Why: "switchgear and transformers"},
	{Of: "lighting, emergency lighting", To: "light fitting, distribution board, junction box", Deep: 100, Why: "luminaires, their drivers and boards are fed"},
	{Of: "controls", To: units + ", fan, pump, distribution board, junction box, damper, fire damper, valve, meter, probe, detector, light fitting", Deep: 100, Why: "actuators, probes, controllers and drivers"},
	{Of: "fire alarm", To: "detector, speaker, damper, fire damper, valve, distribution board, junction box", Deep: 100, Why: "detectors, sounders, smoke dampers and flow switches"},
	{Of: "data", To: "access point, camera, junction box", Deep: 100, Why: "outlets and what is fed through the data cable"},
	{Of: "security", To: "camera, detector, junction box, distribution board", Deep: 100, Why: "cameras, presence detectors and their boxes"},
	{Of: "audio visual, nurse call", To: "speaker, camera, light fitting, junction box, distribution board", Deep: 100, Why: "loudspeakers, call lamps and their boxes"},
	{Of: "earthing", To: units + ", fan, pump, distribution board, junction box, light fitting", Deep: 50, Why: "metal is bonded"},
	{
		Of: "containment, electrical", To: units + ", fan, pump, distribution board, junction box, damper, fire damper, valve, meter, probe, light fitting, " + heads,
		Deep: 100, Why: "containment that does not say what it carries may carry what is wanted there",
	},
	{Of: conduits, To: cableways + ", conduit, plastic conduit", Deep: 100, Same: true, Why: "a conduit enters the side or the top of tray and trunking"},
	{Of: conduits + ", " + cableways, To: "junction box", Deep: 150, InLine: true, Why: "a box stands on the way of the cables"},
	{Of: "light fitting, junction box, " + heads, To: conduits + ", " + cableways, Deep: 25, Fixed: true, Why: "fixed under trunking, conduit or tray, which feeds it"},
	{Of: "probe", To: ducts + ", pipe, pipe fitting, valve, " + units, Deep: 300, Why: "a probe goes into what it measures"},

	// What does not connect.
	{Of: pipes, To: "light fitting, " + heads + ", distribution board, junction box, attenuator, damper, fire damper, diffuser, grille", Never: true, Why: "no pipe ends there"},
	{Of: "pipe, pipe fitting, sprinkler pipe", To: "filter, fan", Never: true, Why: "no pipe ends there"},
	{Of: "sprinkler water, sprinklers", To: units, Never: true, Why: "sprinkler pipe feeds heads alone; of a tank or a pump set say so in joins"},
	{Of: "duct, duct fitting", To: heads + ", sprinkler head, distribution board, junction box, " + pipeInLine + ", manifold, probe", Never: true, Why: "no duct ends there"},
	{Of: conduits + ", " + cableways, To: "sprinkler head, attenuator, diffuser, grille, filter, strainer, manifold, rodding eye", Never: true, Why: "nothing to be fed there"},
})

func withSource(lines []Connection) []Connection {
	for i := range lines {
		lines[i].Source = rules.NoSource
	}
	return lines
}

// alikeServices are services that one thing in line may have on its two sides (common practice, no source: an extract fan
// blows into exhaust, a fresh air damper stands before supply).
var alikeServices = [][]string{
	{"supply air", "fresh air"},
	{"extract air", "return air", "exhaust air", "transfer air", "smoke extract", "kitchen extract"},
	{"steam", "steam condensate"},
	{"soil", "waste", "drain"},
	{"lighting", "emergency lighting"},
}

// AlikeServices returns the services that one thing in line may have on its two sides.
func AlikeServices() [][]string { return slices.Clone(alikeServices) }

// runConnects is how far an end may go into a unit or fitting of its own run of which the table says nothing, mm (common
// practice, no source).
const runConnects = 100.0

// ConnectionLimits returns the lengths by which connections are judged of which the table says nothing.
func ConnectionLimits() []void.Limit {
	return void.Practised([]void.Limit{
		{Name: "an end into a unit or fitting of its own run", MM: runConnects, Why: "of pairs of which the table of connections says nothing"},
		{Name: "ends of pieces of one run", MM: rules.MeetEnds, Why: "so near they meet, end to end or end to side"},
		{Name: "what joins names", MM: MeetJoins, Why: "so near it is joined, and so far from where they meet the excuse reaches"},
	})
}

// connectionEnds are the two ends of each line, as rules read theirs.
var connectionEnds = func() (out [][2][]rules.Target) {
	for i := range connections {
		var ends [2][]rules.Target
		for k, list := range [2]string{connections[i].Of, connections[i].To} {
			for _, w := range strings.Split(list, ",") {
				ends[k] = append(ends[k], ownWords(strings.TrimSpace(w), k == 1)...)
			}
		}
		out = append(out, ends)
	}
	return out
}()

// ownWords are the kind, service and trade whose own word it is, or the kind alone.
func ownWords(w string, kindAlone bool) (ts []rules.Target) {
	if e, ok := vocabulary.KindWord(w); ok && e.Word == w {
		ts = append(ts, rules.Target{Word: w, Rank: 4})
	}
	if e, ok := vocabulary.ServiceWord(w); ok && e.Word == w && !kindAlone {
		ts = append(ts, rules.Target{Word: w, Rank: 3})
	}
	if e, ok := vocabulary.TradeWord(w); ok && e.Word == w && !kindAlone {
		ts = append(ts, rules.Target{Word: w, Rank: 2})
	}
	if len(ts) == 0 {
		panic("the table of connections names " + w + ", which nobody knows")
	}
	return ts
}

// linkOf is what the table says of an end of one character at another: nil where it does not know the pair.
func linkOf(of, to *void.Character) *Connection {
	best, rank := (*Connection)(nil), -1
	for i := range connections {
		j := rules.Meets(connectionEnds[i][1], to)
		if j < 0 {
			continue
		}
		k := rules.Meets(connectionEnds[i][0], of)
		switch {
		case k < 0:
			continue
		case k < 4 && (of.Entry.EndsAt || of.Entry.Item):
			continue // services and trades stand for what runs there, not for its fittings
		case k == 2 && saysService(of), connections[i].Fixed && of.Recessed:
			continue
		}
		l := &connections[i]
		if j+k > rank || j+k == rank && best.Never && !l.Never {
			best, rank = l, j+k
		}
	}
	if best != nil && best.Same && !sameService(of, to) {
		return &otherService
	}
	return best
}

// saysService reports whether a character says a service that is known.
func saysService(c *void.Character) bool { _, ok := vocabulary.ServiceWord(c.Service); return ok }

var otherService = Connection{Never: true, Why: "of another service"}

// carried is the service of a character: what it says, or what its trade fixes alone.
func carried(c *void.Character) string {
	if c.Service == "" && c.Trade == "sprinklers" {
		return "sprinkler water"
	}
	return c.Service
}

// sameService reports whether two things in one line may carry the same: where one says none, whether it is of a trade
// that fixes the other.
func sameService(a, b *void.Character) bool {
	sa, sb := carried(a), carried(b)
	if sa != "" && sb != "" {
		return sa == sb || slices.ContainsFunc(alikeServices, func(l []string) bool { return slices.Contains(l, sa) && slices.Contains(l, sb) })
	}
	wet := func(c *void.Character) bool {
		e, ok := vocabulary.TradeWord(c.Trade)
		return ok && slices.Contains(e.Groups, vocabulary.Wet)
	}
	return a.Trade == b.Trade || !wet(a) || !wet(b)
}

// linked is what the table says of two zones, either way round.
type linked struct {
	Ab, Ba *Connection // of an end of the first at the second, and the other way round; nil: not known
}

// connects reports whether the table lets the two connect.
func (l linked) connects() bool { return l.Ab != nil && !l.Ab.Never || l.Ba != nil && !l.Ba.Never }

// Links returns what the table says of two zones.
func (c *Tape) Links(a, b int32) linked {
	k := [2]int32{c.Zone(a).Char, c.Zone(b).Char}
	if l, ok := c.linkedAs.Load(k); ok {
		return l.(linked)
	}
	ca, cb := c.Project.Character(k[0]), c.Project.Character(k[1])
	l := linked{linkOf(ca, cb), linkOf(cb, ca)}
	c.linkedAs.Store(k, l)
	return l
}

// Deepest returns how far an end of a may go into b, where they belong together for the reason why: what a row joins by
// name, and what is no unit, fitting or the like, by what is measured there alone.
func (c *Tape) Deepest(a, b int32, why Tie) float64 {
	switch {
	case why == NamedJoin, why != EndsAtUnit && why != Connected && !c.Char(a).Entry.EndsAt && !c.Char(b).Entry.EndsAt:
		return math.Inf(1)
	}
	l := c.Links(a, b).Ab
	switch {
	case l != nil && !l.Never:
		return l.Deep
	case why == SameRun:
		return runConnects
	}
	return math.Inf(-1)
}

// SitsInLine reports whether one of two stands in line on the other.
func (c *Tape) SitsInLine(a, b int32, A, B body.Body) bool {
	l := c.Links(a, b)
	return l.Ab != nil && l.Ab.InLine && c.onAxis(b, a, B, A) || l.Ba != nil && l.Ba.InLine && c.onAxis(a, b, A, B)
}

// onAxis reports whether zone i stands on the axis of the row j: its middle in the row, or the row's axis through the
// middle half of it; and along the row where it has a length itself.
func (c *Tape) onAxis(i, j int32, item, row body.Body) bool {
	var room [2]End
	axis := Ends(c.Zone(j), &row, &room)
	if axis == nil {
		return false
	}
	var own [2]End
	if mine := Ends(c.Zone(i), &item, &own); mine != nil && !c.Zone(i).Item && math.Abs(mine[0].Out.Dot(axis[0].Out)) < AlongEach {
		return false
	}
	if body.Gap(body.Cylinder(item.Centre, item.Centre, 0), row).MM == 0 {
		return true
	}
	core := item
	core.W, core.H, core.Along = item.W/2, item.H/2, item.Along.Mul(0.5)
	return body.Gap(body.Cylinder(axis[0].At, axis[1].At, 0), core).MM == 0
}

// touches reports whether a, a thing without ends of its own, meets b as the table lets it, or as two things of one run
// do: within reach of it, and no deeper in it.
func (c *Tape) touches(a, b int32, A, B body.Body, why Tie, reach float64) bool {
	l := c.Links(a, b).Ab
	if !c.Blob(a) || (l == nil || l.Never) && !c.blobsMeet(a, b, why) {
		return false
	}
	return body.Gap(A, B).MM <= reach+void.Hair && DeepIn(A, B) <= c.Deepest(a, b, why)+void.Hair
}

// DeepIn is how deep two bodies are in each other, 0 where they are not.
func DeepIn(a, b body.Body) float64 {
	v := Judge(a, b, &rules.Choice{}, 0, false)
	if !v.Overlap {
		return 0
	}
	return v.Depth()
}
