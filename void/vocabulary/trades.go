package vocabulary

import "slices"

// Entry is a word with its usual other spellings and the groups it belongs to, in the order of Groups.
// The slices are the table's own: they are not to be changed.
type Entry struct {
	Word      string
	Spellings []string // without the word itself
	Groups    []string
	Kind      string // of a trade: the kind of a row that does not say; "" where there is no usual one
}

// trades is the table of trades. Words of kinds stand among the spellings where a file or a column
// often has them for the trade.
var trades = []Entry{
	{"structure", []string{
		"structural", "concrete", "concrete frame", "rc frame", "in situ concrete", "precast",
		"structural frame", "slab", "floor slab",
	}, []string{Structure}, "beam"},
	{"steel", []string{
		"steelwork", "structural steel", "structural steelwork", "steel frame", "beam", "steel beam", "joist",
		"column", "steel column",
	}, []string{Structure}, "beam"},
	{"partitions", []string{
		"wall", "partitioning", "dry lining", "walls and partitions", "blockwork", "masonry",
	}, []string{Structure}, "wall"},
	{"ceilings", []string{
		"suspended ceiling", "ceiling contractor", "false ceiling", "ceiling fixing", "ceiling grid",
	}, []string{Ceiling}, "ceiling"},
	{"ductwork", []string{
		"duct", "ducting", "mechanical ductwork", "vent", "ventilation", "ventilation ductwork",
		"hvac ductwork", "hvac", "air", "air conditioning", "sheet metal",
	}, nil, "duct"},
	{"pipework", []string{
		"pipe", "piping", "plumbing", "mechanical pipework", "heating pipework", "plumber",
		"pipefitting", "pipe fitter", "wet services", "heating and cooling pipework",
	}, []string{Wet}, "pipe"},
	{"drainage", []string{
		"drain", "above ground drainage", "sanitary", "soil and waste", "soils and wastes", "foul drainage",
		"sanitation", "rainwater", "public health drainage",
	}, []string{Wet, Gravity}, "pipe"},
	{"sprinklers", []string{
		"sprinkler installation", "fire sprinkler", "sprinkler pipework", "fire suppression",
		"sprinkler pipe",
	}, []string{Wet}, "pipe"},
	{"containment", []string{
		"tray", "cable tray", "electrical containment", "cable containment", "basket", "cable basket", "ladder",
		"cable ladder", "trunking", "conduit", "tray and basket", "ladder and tray", "cable management",
	}, []string{Electrical}, "tray"},
	{"electrical", []string{
		"electric", "electrician", "electrical services", "electrical installation", "elec",
	}, []string{Electrical}, "tray"},
	{"lighting", []string{
		"light", "luminaire", "light fitting", "lighting installation",
	}, []string{Electrical}, "light fitting"},
	{"fire alarm", []string{
		"fire detection", "fire detection and alarm", "fire alarm and detection", "fire alarm system", "fa",
	}, []string{Electrical}, "detector"},
	{"security", []string{"security system", "cctv", "access control"}, []string{Electrical}, "camera"},
	{"controls", []string{
		"bms", "bems", "building management system", "automatic controls", "controls and bms",
	}, []string{Electrical}, ""},
	// The whole of the mechanical trades in one table: what a row is, its kind and service must say.
	{"mechanical", []string{"mech", "mechanical services", "mechanical installation", "mechanical plant"}, nil, ""},
}

var tradeIndex = index(trades, func(e Entry) []string { return append([]string{e.Word}, e.Spellings...) })

// index maps every spelling, folded, to the place of its entry in the table.
func index[T any](table []T, spellings func(T) []string) map[string]int {
	m := map[string]int{}
	for i, e := range table {
		for _, s := range spellings(e) {
			m[fold(s)] = i
		}
	}
	return m
}

// words returns the words of a table in its order.
func words[T any](table []T, word func(T) string) []string {
	ws := make([]string, len(table))
	for i, e := range table {
		ws[i] = word(e)
	}
	return ws
}

// TradeWord finds a trade by its word or a spelling.
func TradeWord(text string) (Entry, bool) {
	i, ok := tradeIndex[fold(text)]
	if !ok {
		return Entry{}, false
	}
	return trades[i], true
}

// DefaultKind returns the kind of a trade's row that does not say what it is; false for an unknown trade
// and for one that has no usual kind (controls, mechanical).
func DefaultKind(trade string) (string, bool) {
	e, ok := TradeWord(trade)
	return e.Kind, ok && e.Kind != ""
}

// Trades returns the words of the trades in fixed order.
func Trades() []string { return words(trades, func(e Entry) string { return e.Word }) }

// TradeEntries returns a copy of the table of trades.
func TradeEntries() []Entry { return slices.Clone(trades) }

// The groups that a rule may name.
const (
	Any        = "any"
	Structure  = "structure"
	Ceiling    = "ceiling"
	Electrical = "electrical" // cables and what carries or is fed by them
	Wet        = "wet"        // what can drip: water, steam, drainage (as BS 7671 528.3.2 lists them, from memory)
	Hot        = "hot"        // heating, hot water, steam
	Gas        = "gas"        // fuel gas
	Gravity    = "gravity"    // runs by its fall alone
)

var groups = []Entry{
	{Any, []string{"anything", "all", "everything", "any service"}, nil, ""},
	{Structure, []string{"structural", "structural element"}, nil, ""},
	{Ceiling, []string{"suspended ceiling"}, nil, ""},
	{Electrical, []string{"electric", "electrical service"}, nil, ""},
	{Wet, []string{"wet service", "water", "water service"}, nil, ""},
	{Hot, []string{"hot service", "hot pipe"}, nil, ""},
	{Gas, []string{"fuel gas", "natural gas"}, nil, ""},
	{Gravity, []string{"gravity drainage", "gravity pipe"}, nil, ""},
}

var groupIndex = index(groups, func(e Entry) []string { return append([]string{e.Word}, e.Spellings...) })

// GroupWord finds a group by its word or a spelling.
func GroupWord(text string) (string, bool) {
	i, ok := groupIndex[fold(text)]
	if !ok {
		return "", false
	}
	return groups[i].Word, true
}

// Groups returns the words of the groups in fixed order, "any" first.
func Groups() []string { return words(groups, func(e Entry) string { return e.Word }) }

// GroupsOf returns the groups that a row belongs to, sorted, without "any"; empty for none. Words that are
// not known count as blank.
//
// What a thing is outweighs what it carries, and that outweighs who fixes it: a beam is structure and
// a tray electrical whatever else its row says; a valve takes the groups of its service; and
// only a row without a known service and with a kind that says nothing takes those of its trade. So
// a gas pipe in the pipework table is gas and not wet.
func GroupsOf(trade, service, kind string) []string {
	k, _ := KindWord(kind)
	if k.decides() {
		return slices.Sorted(slices.Values(k.Groups))
	}
	gs := slices.Clone(k.Groups)
	if s, ok := ServiceWord(service); ok {
		gs = append(gs, s.Groups...)
	} else if len(k.Groups) == 0 {
		t, _ := TradeWord(trade)
		gs = append(gs, t.Groups...)
	}
	slices.Sort(gs)
	return slices.Compact(gs)
}

// OrderOf returns who gives way by default, 1 stays longest; false where neither kind nor trade are
// known. It is the kind's Order, or that of the trade's usual kind where the kind is not known; what
// belongs to the group gravity has 2 unless its kind has 1. A small pipe's 8 is for the caller, who
// knows the size.
func OrderOf(trade, service, kind string) (int, bool) {
	k, ok := KindWord(kind)
	if !ok {
		word, has := DefaultKind(trade)
		if !has {
			return 0, false
		}
		k, _ = KindWord(word)
	}
	if k.Order > 2 && slices.Contains(GroupsOf(trade, service, k.Word), Gravity) {
		return 2, true
	}
	return k.Order, true
}
