package vocabulary

import "slices"

// ServiceEntry is a service: what a zone carries. Trade is the trade that usually fixes it. Power and
// Data say which cables EN 50174-2 keeps apart: those of the mains, and those of information
// technology. The slices are the table's own: they are not to be changed.
type ServiceEntry struct {
	Word      string
	Spellings []string // without the word itself
	Trade     string
	Groups    []string
	Power     bool
	Data      bool
}

var (
	wet        = []string{Wet}
	wetHot     = []string{Wet, Hot}
	wetGravity = []string{Wet, Gravity}
	electrical = []string{Electrical}
)

var services = []ServiceEntry{
	// Air.
	{Word: "supply air", Trade: "ductwork", Spellings: []string{
		"supply", "sa", "supply duct", "supply ventilation", "primary air", "conditioned air",
	}},
	{Word: "extract air", Trade: "ductwork", Spellings: []string{
		"extract", "ea", "extract duct", "extract ventilation", "general extract", "toilet extract", "dirty extract", "wc extract",
	}},
	{Word: "return air", Trade: "ductwork", Spellings: []string{"ra", "return duct", "recirculated air", "recirculation"}},
	{Word: "fresh air", Trade: "ductwork", Spellings: []string{
		"outside air", "outdoor air", "oa", "intake", "intake air", "air intake", "fresh air intake", "fai",
	}},
	{Word: "exhaust air", Trade: "ductwork", Spellings: []string{"exhaust", "exh", "discharge air", "exhaust duct"}},
	{Word: "transfer air", Trade: "ductwork", Spellings: []string{"transfer", "air transfer"}},
	{Word: "smoke extract", Trade: "ductwork", Spellings: []string{
		"smoke", "smoke exhaust", "smoke control", "smoke ventilation", "smoke clearance",
	}},
	{Word: "kitchen extract", Trade: "ductwork", Spellings: []string{"grease extract", "kitchen exhaust", "canopy extract", "kx"}},

	// Heating and cooling.
	{Word: "LTHW", Trade: "pipework", Groups: wetHot, Spellings: []string{
		"low temperature hot water", "heating", "heating water", "heating flow", "heating return", "heating flow and return",
		"lthw flow", "lthw return", "lthw f", "lthw r", "lthw f&r", "lthw flow and return", "lphw", "low pressure hot water",
		"variable temperature heating", "constant temperature heating", "vt heating", "ct heating", "radiator circuit",
	}},
	{Word: "MTHW", Trade: "pipework", Groups: wetHot, Spellings: []string{
		"medium temperature hot water", "mphw", "medium pressure hot water", "hthw", "high temperature hot water", "district heating",
		"mthw flow", "mthw return",
	}},
	{Word: "steam", Trade: "pipework", Groups: wetHot, Spellings: []string{"steam main", "lp steam", "hp steam", "clean steam"}},
	{Word: "steam condensate", Trade: "pipework", Groups: wetHot, Spellings: []string{
		"condensate return", "condensate (steam)", "pumped condensate return",
	}},
	{Word: "chilled water", Trade: "pipework", Groups: wet, Spellings: []string{
		"chw", "chwf", "chwr", "chwf&r", "chilled water flow", "chilled water return", "chilled water flow and return", "chw flow", "chw return",
		"ctchw", "vtchw", "cooling", "cooling water", "chilled",
	}},
	{Word: "condenser water", Trade: "pipework", Groups: wet, Spellings: []string{"cdw", "condenser", "dry cooler water", "glycol"}},
	{Word: "refrigerant", Trade: "pipework", Spellings: []string{
		"refrigeration", "ref", "vrf", "vrf pipework", "dx", "refrigerant pipework", "refrigerant gas",
	}},

	// Water.
	// CW is read as cold water, not as chilled water (CHW).
	{Word: "cold water", Trade: "pipework", Groups: wet, Spellings: []string{
		"cws", "cold water service", "mcws", "mains cold water", "mains cold water service", "mains water", "bcws",
		"boosted cold water", "boosted cold water service", "dcw", "domestic cold water", "domestic cold water service",
		"drinking water", "dws", "cold water main", "water main", "tank cold water", "cat 5 water", "non potable water", "potable water",
	}},
	// Plain "hot water" is what comes from a tap; what heats a building is LTHW.
	{Word: "hot water", Trade: "pipework", Groups: wetHot, Spellings: []string{
		"hws", "hot water service", "dhw", "domestic hot water", "domestic hot water service", "hwsf", "hwsr", "hws flow",
		"hws return", "hws f&r", "hot water return", "hot water flow", "hot water flow and return", "secondary return", "hwr",
		"dhwr", "blended water", "tmv water",
	}},
	{Word: "sprinkler water", Trade: "sprinklers", Groups: wet, Spellings: []string{
		"sprinkler", "sprinkler main", "sprinkler range", "sprinkler service", "fire sprinkler", "water mist", "spk", "spr",
	}},
	{Word: "hose reel", Trade: "pipework", Groups: wet, Spellings: []string{
		"wet riser", "dry riser", "fire hose", "fire main", "hydrant main", "fire hydrant", "rising main", "fire water", "hose reels and risers",
	}},

	// Drainage. Plain "condensate" is what a cooling coil drips, which runs in most voids.
	{Word: "soil", Trade: "drainage", Groups: wetGravity, Spellings: []string{
		"soil pipe", "foul", "foul drainage", "foul water", "svp", "soil and vent", "soil vent pipe", "soil stack", "sp",
		"soil and waste", "sanitary drainage", "sanitary", "wc branch",
	}},
	{Word: "waste", Trade: "drainage", Groups: wetGravity, Spellings: []string{
		"waste pipe", "waste water", "wp", "grey water waste", "basin waste", "grease waste", "lab waste", "laboratory waste",
	}},
	{Word: "rainwater", Trade: "drainage", Groups: wetGravity, Spellings: []string{
		"rwp", "rainwater pipe", "surface water", "storm water", "roof drainage", "rw",
	}},
	{Word: "siphonic rainwater", Trade: "drainage", Groups: wet, Spellings: []string{"siphonic", "syphonic", "syphonic rainwater", "siphonic drainage"}},
	{Word: "condensate drain", Trade: "drainage", Groups: wetGravity, Spellings: []string{
		"condensate", "condensate drainage", "cd", "condensate pipe", "condensate waste", "cond", "fan coil condensate", "fcu condensate",
	}},
	{Word: "drain", Trade: "drainage", Groups: wetGravity, Spellings: []string{"drainage", "gravity drainage", "gravity drain", "overflow", "gully"}},
	{Word: "pumped drain", Trade: "drainage", Groups: wet, Spellings: []string{
		"pumped drainage", "pumped waste", "pumped condensate", "rising drain", "pumped soil", "pumped foul",
	}},
	{Word: "drain vent", Trade: "drainage", Spellings: []string{"vent pipe", "stack vent", "vp", "vent stack", "anti siphon pipe"}},

	// Gases. Medical gases have rules of their own and are not of the group gas, which is fuel.
	{Word: "gas", Trade: "pipework", Groups: []string{Gas}, Spellings: []string{"natural gas", "ng", "fuel gas", "lpg", "gas pipe", "gas pipework", "gas main", "town gas"}},
	{Word: "compressed air", Trade: "pipework", Spellings: []string{"ca", "comp air", "control air", "instrument air", "pneumatic"}},
	{Word: "medical gas", Trade: "pipework", Spellings: []string{
		"medical gases", "med gas", "mgps", "oxygen", "o2", "medical air", "medical vacuum", "vacuum", "nitrous oxide", "lab gas", "laboratory gas",
		"nitrogen",
	}},

	// Cables.
	{Word: "power", Trade: "containment", Groups: electrical, Power: true, Spellings: []string{
		"small power", "lv", "lv power", "low voltage", "mains", "mains power", "lv mains", "submain", "power cable", "power supply",
		"electrical power", "essential power", "ups", "ups power", "generator supply", "mechanical power", "general power", "lv distribution",
		"power and lighting", "lighting and power", "lighting and small power", "electrical",
	}},
	{Word: "HV", Trade: "containment", Groups: electrical, Power: true, Spellings: []string{"high voltage", "hv power", "11 kv"}},
	{Word: "lighting", Trade: "lighting", Groups: electrical, Power: true, Spellings: []string{
		"light", "general lighting", "lighting circuit", "lighting power", "lighting cable",
	}},
	{Word: "emergency lighting", Trade: "lighting", Groups: electrical, Power: true, Spellings: []string{
		"emergency light", "em lighting", "emergency", "escape lighting", "central battery",
	}},
	{Word: "data", Trade: "containment", Groups: electrical, Data: true, Spellings: []string{
		"ict", "it", "data cable", "data cabling", "structured cabling", "telecom", "comms", "communication", "voice and data", "telephone",
		"fibre", "fibre optic", "network", "cat 6", "cat 6a", "cat 5e", "cat 7", "data and comms", "voice data", "elv", "extra low voltage",
	}},
	{Word: "fire alarm", Trade: "fire alarm", Groups: electrical, Spellings: []string{
		"fa", "fire detection", "fire alarm cable", "fire detection and alarm", "fire alarm and detection", "voice alarm",
	}},
	{Word: "security", Trade: "security", Groups: electrical, Data: true, Spellings: []string{"cctv", "access control", "intruder alarm", "door entry"}},
	{Word: "controls", Trade: "controls", Groups: electrical, Data: true, Spellings: []string{
		"bms", "bems", "control cable", "building management system", "control wiring", "lighting control", "dali",
	}},
	{Word: "audio visual", Trade: "containment", Groups: electrical, Data: true, Spellings: []string{"av", "public address", "pa", "sound system", "tv", "television"}},
	{Word: "nurse call", Trade: "containment", Groups: electrical, Data: true, Spellings: []string{"staff call", "patient call", "disabled alarm", "refuge system"}},
	{Word: "earthing", Trade: "containment", Groups: electrical, Spellings: []string{"earth", "bonding", "lightning protection", "earth tape"}},
}

var serviceIndex = index(services, func(e ServiceEntry) []string { return append([]string{e.Word}, e.Spellings...) })

// ServiceWord finds a service by its word or a spelling.
func ServiceWord(text string) (ServiceEntry, bool) {
	i, ok := serviceIndex[fold(text)]
	if !ok {
		return ServiceEntry{}, false
	}
	return services[i], true
}

// Services returns the words of the services in fixed order.
func Services() []string { return words(services, func(e ServiceEntry) string { return e.Word }) }

// ServiceEntries returns a copy of the table of services.
func ServiceEntries() []ServiceEntry { return slices.Clone(services) }
