package vocabulary

import "slices"

// KindEntry is a kind of thing: what a zone is. The slices are the table's own: they are not to be
// changed. What a kind is by default, a row may say otherwise (columns recessed, reach, rank).
type KindEntry struct {
	Word      string
	Spellings []string // without the word itself
	Trade     string   // that usually fixes it
	Groups    []string

	Item        bool // a thing at a point rather than a length
	Recessed    bool // set into the ceiling that it meets
	Reach       bool // must be reached after the ceiling is up
	EndsAt      bool // an end that stops at or inside it is taken as joined to it
	Structure   bool
	Beam        bool // counts for a level that is written steel-60
	Containment bool // carries cables
	Mark        bool // a mark on the plan and no body: it is in nobody's way
	// LaidOut: set into a ceiling, it never moves for what can, for light, air and cover are worked out from its place (common
	// practice, no source); a row with holds none is let go.
	LaidOut bool

	// Order is who gives way by default, 1 stays longest (common practice, no source: what must fall
	// or is large moves last): 1 structure, ceiling and what is set into the ceiling, 2 gravity
	// drainage, 3 units, 4 ductwork, 5 large pipes, 6 ladder, 7 tray and basket, 8 small pipes,
	// 9 conduit and flexible. 2 goes by service and the 8 of a small pipe by size: a pipe has 5 here.
	Order int
}

// NoFixing is the kind of a row that marks where nothing may be fixed.
const NoFixing = "no fixing"

// decides tells whether the kind alone settles the groups of a row.
func (k KindEntry) decides() bool { return k.Structure || k.Containment || k.Word == Ceiling }

var (
	structure = []string{Structure}
	ceiling   = []string{Ceiling}
)

var kinds = []KindEntry{
	// Structure and ceiling.
	{Word: "beam", Trade: "steel", Groups: structure, Structure: true, Beam: true, Order: 1, Spellings: []string{
		"steel beam", "i beam", "ub", "rsj", "downstand", "downstand beam", "concrete beam", "primary beam", "secondary beam",
		"cellular beam", "castellated beam", "girder", "lintel", "transfer beam", "edge beam", "universal beam",
	}},
	{Word: "joist", Trade: "steel", Groups: structure, Structure: true, Beam: true, Order: 1, Spellings: []string{
		"open web joist", "bar joist", "steel joist", "lattice joist", "timber joist", "floor joist",
	}},
	{Word: "truss", Trade: "steel", Groups: structure, Structure: true, Beam: true, Order: 1, Spellings: []string{"roof truss", "lattice girder", "lattice truss"}},
	{Word: "purlin", Trade: "steel", Groups: structure, Structure: true, Beam: true, Order: 1, Spellings: []string{"roof purlin"}},
	{Word: "brace", Trade: "steel", Groups: structure, Structure: true, Order: 1, Spellings: []string{"bracing", "wind bracing", "cross bracing", "steel bracing"}},
	{Word: "column", Trade: "steel", Groups: structure, Structure: true, Order: 1, Spellings: []string{
		"steel column", "stanchion", "uc", "concrete column", "pillar", "post", "universal column",
	}},
	{Word: "slab", Trade: "structure", Groups: structure, Structure: true, Order: 1, Spellings: []string{
		"concrete slab", "floor slab", "roof slab", "deck", "metal deck", "floor deck", "drop panel", "slab thickening",
	}},
	{Word: "wall", Trade: "partitions", Groups: structure, Structure: true, Order: 1, Spellings: []string{
		"partition", "partition wall", "block wall", "blockwork wall", "stud wall", "fire wall", "concrete wall", "shear wall", "drywall",
	}},
	{Word: "cavity barrier", Trade: "partitions", Groups: structure, Structure: true, Order: 1, Spellings: []string{
		"fire barrier", "smoke barrier", "void barrier", "fire curtain", "smoke curtain",
	}},
	// A stretch of soffit, of slab or of steel to which nothing may be fixed: post-tensioned, a tank over it, not to be
	// drilled. It counts by its plan alone.
	{Word: NoFixing, Trade: "structure", Groups: structure, Structure: true, Mark: true, Order: 1, Spellings: []string{
		"no fixing zone", "no drilling", "no drill zone", "do not drill", "not to be drilled",
	}},
	{Word: "ceiling", Trade: "ceilings", Groups: ceiling, Order: 1, Spellings: []string{
		"suspended ceiling", "bulkhead", "ceiling bulkhead", "plasterboard ceiling", "ceiling raft", "ceiling grid", "acoustic raft",
	}},
	{Word: "hatch", Trade: "ceilings", Item: true, Recessed: true, Order: 1, Spellings: []string{
		"access hatch", "ceiling hatch", "access panel", "ceiling access panel", "trap door", "ceiling access hatch",
	}},

	// Set into the ceiling, or fixed to its face.
	{Word: "diffuser", Trade: "ductwork", Item: true, Recessed: true, LaidOut: true, EndsAt: true, Order: 1, Spellings: []string{
		"air diffuser", "supply diffuser", "swirl diffuser", "ceiling diffuser", "linear diffuser", "slot diffuser", "air valve", "exhaust valve",
		"air terminal", "jet nozzle",
	}},
	{Word: "grille", Trade: "ductwork", Item: true, Recessed: true, EndsAt: true, Order: 1, Spellings: []string{
		"grill", "air grille", "extract grille", "return grille", "register", "transfer grille", "egg crate grille", "linear grille",
	}},
	{Word: "light fitting", Trade: "lighting", Groups: electrical, Item: true, Recessed: true, LaidOut: true, EndsAt: true, Order: 1, Spellings: []string{
		"light", "luminaire", "light fixture", "lighting fixture", "downlight", "downlighter", "lamp", "lighting", "led panel", "light panel",
		"emergency light", "emergency luminaire", "emergency light fitting", "exit sign", "lighting track", "linear light", "modular luminaire", "recessed light", "recessed luminaire",
		"surface luminaire", "surface light", "pendant luminaire", "pendant light", "pendant", "wall light",
	}},
	{Word: "sprinkler head", Trade: "sprinklers", Groups: wet, Item: true, Recessed: true, LaidOut: true, EndsAt: true, Order: 1, Spellings: []string{
		"head", "sprinkler", "pendent", "pendent sprinkler", "pendant sprinkler", "concealed sprinkler", "mist head", "mist nozzle",
	}},
	{Word: "detector", Trade: "fire alarm", Groups: electrical, Item: true, Recessed: true, LaidOut: true, EndsAt: true, Order: 1, Spellings: []string{
		"smoke detector", "heat detector", "fire detector", "smoke head", "sensor", "pir", "presence detector", "occupancy sensor", "void detector",
	}},
	{Word: "speaker", Trade: "fire alarm", Groups: electrical, Item: true, Recessed: true, EndsAt: true, Order: 1, Spellings: []string{
		"loudspeaker", "ceiling speaker", "sounder", "beacon", "sounder beacon",
	}},
	{Word: "camera", Trade: "security", Groups: electrical, Item: true, EndsAt: true, Order: 9, Spellings: []string{"cctv camera", "dome camera", "security camera"}},
	{Word: "access point", Trade: "containment", Groups: electrical, Item: true, EndsAt: true, Order: 9, Spellings: []string{"wireless access point", "wap", "wifi access point"}},
	{Word: "chilled beam", Trade: "pipework", Recessed: true, EndsAt: true, Order: 1, Spellings: []string{"active chilled beam", "passive chilled beam", "multi service chilled beam"}},
	{Word: "radiant panel", Trade: "pipework", Recessed: true, EndsAt: true, Order: 1, Spellings: []string{"radiant ceiling panel", "heating panel", "chilled panel"}},
	{Word: "cassette", Trade: "pipework", Item: true, Recessed: true, Reach: true, EndsAt: true, Order: 1, Spellings: []string{"cassette unit", "ceiling cassette", "vrf cassette", "fan coil cassette"}},

	{Word: "radiator", Trade: "pipework", Item: true, EndsAt: true, Order: 9, Spellings: []string{
		"panel radiator", "towel rail", "towel radiator", "convector", "convector heater", "trench heater", "skirting heater", "perimeter heater",
	}},

	// Units.
	{Word: "unit", Trade: "mechanical", Item: true, Reach: true, EndsAt: true, Order: 3, Spellings: []string{
		"plant", "equipment", "plant item", "plant unit", "indoor unit", "vessel", "tank", "calorifier", "water heater", "heat interface unit", "hiu",
	}},
	{Word: "fan coil", Trade: "ductwork", Item: true, Reach: true, EndsAt: true, Order: 3, Spellings: []string{"fcu", "fan coil unit", "ducted fan coil"}},
	{Word: "terminal unit", Trade: "ductwork", Item: true, Reach: true, EndsAt: true, Order: 3, Spellings: []string{
		"vav", "vav box", "vav unit", "vav terminal", "terminal box", "cav box", "cav", "cav unit", "air terminal unit", "variable air volume box",
	}},
	{Word: "air handling unit", Trade: "ductwork", Item: true, Reach: true, EndsAt: true, Order: 3, Spellings: []string{"ahu", "air handler", "air handling plant"}},
	{Word: "heat recovery unit", Trade: "ductwork", Item: true, Reach: true, EndsAt: true, Order: 3, Spellings: []string{"hru", "mvhr", "mvhr unit", "heat recovery ventilator", "hrv"}},
	{Word: "fan", Trade: "ductwork", Item: true, Reach: true, EndsAt: true, Order: 3, Spellings: []string{"in line fan", "extract fan", "duct fan", "supply fan", "twin fan", "fan unit"}},
	{Word: "heater battery", Trade: "ductwork", Item: true, Reach: true, EndsAt: true, Order: 3, Spellings: []string{"duct heater", "heating coil", "reheat coil", "cooling coil", "coil", "reheater"}},
	{Word: "pump", Trade: "pipework", Item: true, Reach: true, EndsAt: true, Order: 3, Spellings: []string{"circulator", "condensate pump", "booster pump", "circulating pump", "pump set"}},
	{Word: "distribution board", Trade: "electrical", Groups: electrical, Item: true, Reach: true, EndsAt: true, Order: 3, Spellings: []string{
		"db", "control panel", "isolator", "switch", "driver", "inverter", "lighting control module", "lcm", "marshalling box",
	}},

	// Ductwork.
	{Word: "duct", Trade: "ductwork", Order: 4, Spellings: []string{
		"ductwork", "ducting", "rectangular duct", "round duct", "spiral duct", "circular duct", "flat oval duct", "duct run", "air duct", "straight duct",
		"duct segment",
	}},
	{Word: "duct fitting", Trade: "ductwork", Order: 4, Spellings: []string{
		"ductwork fitting", "duct bend", "duct elbow", "duct tee", "duct reducer", "duct transition", "duct offset", "plenum", "plenum box", "duct branch",
		"spigot", "duct transformation",
	}},
	{Word: "flexible", Trade: "ductwork", Order: 9, Spellings: []string{
		"flexible duct", "flexible ductwork", "flex", "flexi", "flex duct", "flexi duct", "flexible connection", "flexible hose", "flexible pipe",
	}},
	{Word: "damper", Trade: "ductwork", Item: true, Reach: true, EndsAt: true, Order: 4, Spellings: []string{
		"volume control damper", "vcd", "volume damper", "control damper", "motorised damper", "balancing damper", "shut off damper", "non return damper", "nrd",
	}},
	{Word: "fire damper", Trade: "ductwork", Item: true, Reach: true, EndsAt: true, Order: 4, Spellings: []string{
		"smoke damper", "fire and smoke damper", "fsd", "fd", "fire smoke damper", "smoke control damper", "smoke and fire damper",
	}},
	{Word: "attenuator", Trade: "ductwork", EndsAt: true, Order: 4, Spellings: []string{"silencer", "sound attenuator", "duct silencer", "crosstalk attenuator"}},
	{Word: "filter", Trade: "ductwork", Item: true, Reach: true, EndsAt: true, Order: 4, Spellings: []string{"air filter", "filter box", "filter housing"}},
	{Word: "access door", Trade: "ductwork", Item: true, Reach: true, Order: 4, Spellings: []string{"duct access panel", "duct access door", "cleaning door", "duct access", "cleaning access"}},

	// Pipework.
	{Word: "pipe", Trade: "pipework", Order: 5, Spellings: []string{
		"pipework", "piping", "tube", "pipe run", "soil pipe", "waste pipe", "drain pipe", "rainwater pipe", "pipe segment", "copper pipe", "steel pipe",
	}},
	{Word: "pipe fitting", Trade: "pipework", Order: 5, Spellings: []string{
		"pipework fitting", "pipe bend", "pipe elbow", "pipe tee", "pipe reducer", "coupling", "union", "pipe flange", "elbow", "expansion loop", "bellows",
	}},
	{Word: "sprinkler pipe", Trade: "sprinklers", Groups: wet, Order: 5, Spellings: []string{
		"sprinkler pipework", "sprinkler main", "range pipe", "sprinkler range", "distribution pipe", "sprinkler branch",
	}},
	{Word: "valve", Trade: "pipework", Item: true, Reach: true, EndsAt: true, Order: 5, Spellings: []string{
		"isolating valve", "isolation valve", "control valve", "ball valve", "gate valve", "commissioning valve", "commissioning set", "picv", "drain cock", "air vent",
		"non return valve", "check valve", "tmv", "mixing valve", "zone valve", "double regulating valve", "drv", "valve set", "valve station", "solenoid valve",
		"automatic air vent", "aav", "butterfly valve", "stop cock", "stop valve", "actuator", "pressure reducing valve", "prv", "2 port valve", "3 port valve", "flow switch",
	}},
	{Word: "strainer", Trade: "pipework", Item: true, Reach: true, EndsAt: true, Order: 5, Spellings: []string{"y strainer", "pipe filter", "steam trap", "trap set"}},
	{Word: "meter", Trade: "pipework", Item: true, Reach: true, EndsAt: true, Order: 5, Spellings: []string{"water meter", "heat meter", "flow meter", "gas meter", "energy meter"}},
	{Word: "manifold", Trade: "pipework", Item: true, Reach: true, EndsAt: true, Order: 5, Spellings: []string{"header", "pipe manifold", "branch selector", "branch controller", "branch box"}},
	{Word: "rodding eye", Trade: "drainage", Item: true, Reach: true, EndsAt: true, Order: 5, Spellings: []string{
		"cleaning eye", "rodding point", "access cap", "access pipe", "access plug", "rodding access",
	}},

	// Containment.
	{Word: "ladder", Trade: "containment", Groups: electrical, Containment: true, Order: 6, Spellings: []string{"cable ladder", "ladder rack", "cable rack", "ladder tray"}},
	{Word: "bus bar", Trade: "containment", Groups: electrical, Containment: true, Order: 6, Spellings: []string{"busbar trunking", "busduct", "bus way"}},
	{Word: "tray", Trade: "containment", Groups: electrical, Containment: true, Order: 7, Spellings: []string{
		"cable tray", "perforated tray", "perf tray", "cable tray run", "medium duty tray", "heavy duty tray", "light duty tray", "mrf tray", "hdrf tray", "containment",
	}},
	{Word: "basket", Trade: "containment", Groups: electrical, Containment: true, Order: 7, Spellings: []string{
		"cable basket", "basket tray", "wire basket", "mesh tray", "wire mesh tray", "wire tray", "cable mesh", "wire mesh",
	}},
	{Word: "trunking", Trade: "containment", Groups: electrical, Containment: true, Order: 7, Spellings: []string{"cable trunking", "metal trunking", "steel trunking", "lighting trunking"}},
	{Word: "tray fitting", Trade: "containment", Groups: electrical, Containment: true, Order: 7, Spellings: []string{
		"cable tray fitting", "tray bend", "tray tee", "tray riser", "basket fitting", "ladder fitting", "tray reducer", "containment fitting", "trunking fitting",
	}},
	{Word: "plastic trunking", Trade: "containment", Groups: electrical, Containment: true, Order: 7, Spellings: []string{"pvc trunking", "upvc trunking", "mini trunking", "dado trunking"}},
	{Word: "skirting trunking", Trade: "containment", Groups: electrical, Containment: true, Order: 7, Spellings: []string{
		"wall trunking", "bench trunking", "perimeter trunking", "dado rail trunking",
	}},
	{Word: "conduit", Trade: "containment", Groups: electrical, Containment: true, Order: 9, Spellings: []string{"steel conduit", "cable conduit", "galvanised conduit"}},
	{Word: "plastic conduit", Trade: "containment", Groups: electrical, Containment: true, Order: 9, Spellings: []string{"pvc conduit", "upvc conduit", "flexible conduit"}},
	{Word: "cable", Trade: "containment", Groups: electrical, Containment: true, Order: 9, Spellings: []string{"cabling", "cable bunch", "cable bundle", "swa", "wiring", "cable run"}},
	{Word: "probe", Trade: "controls", Groups: electrical, Item: true, EndsAt: true, Order: 9, Spellings: []string{
		"duct probe", "immersion probe", "duct sensor", "immersion sensor", "temperature sensor", "temperature probe", "pressure sensor", "air quality sensor",
	}},
	{Word: "junction box", Trade: "containment", Groups: electrical, Item: true, Reach: true, EndsAt: true, Order: 9, Spellings: []string{
		"jb", "adaptable box", "joint box", "cable joint", "connection box", "consolidation point", "back box",
	}},
}

var kindIndex = index(kinds, func(e KindEntry) []string { return append([]string{e.Word}, e.Spellings...) })

// KindWord finds a kind by its word or a spelling.
func KindWord(text string) (KindEntry, bool) {
	i, ok := kindIndex[fold(text)]
	if !ok {
		return KindEntry{}, false
	}
	return kinds[i], true
}

// Kinds returns the words of the kinds in fixed order.
func Kinds() []string { return words(kinds, func(e KindEntry) string { return e.Word }) }

// KindEntries returns a copy of the table of kinds.
func KindEntries() []KindEntry { return slices.Clone(kinds) }
