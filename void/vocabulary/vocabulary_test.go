package vocabulary

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"voidline/void/need"
)

// class is one class of words as the tests go through it.
type class struct {
	name      string
	words     []string
	spellings func(i int) []string
	find      func(text string) (string, bool)
}

func classes() []class {
	return []class{
		{"trade", Trades(), func(i int) []string { return trades[i].Spellings }, func(s string) (string, bool) { e, ok := TradeWord(s); return e.Word, ok }},
		{"service", Services(), func(i int) []string { return services[i].Spellings }, func(s string) (string, bool) { e, ok := ServiceWord(s); return e.Word, ok }},
		{"kind", Kinds(), func(i int) []string { return kinds[i].Spellings }, func(s string) (string, bool) { e, ok := KindWord(s); return e.Word, ok }},
		{"group", Groups(), func(i int) []string { return groups[i].Spellings }, GroupWord},
	}
}

// Every spelling belongs to one word of its class and finds it, however it is set.
func TestSpellings(t *testing.T) {
	for _, c := range classes() {
		seen := map[string]string{}
		count := 0
		for i, word := range c.words {
			for _, s := range append([]string{word}, c.spellings(i)...) {
				count++
				if other, twice := seen[fold(s)]; twice {
					t.Errorf("%s %q: spelling %q stands for %q too", c.name, word, s, other)
				}
				seen[fold(s)] = word
				for _, set := range []string{
					s, strings.ToUpper(s), " " + s + " ", strings.ReplaceAll(s, " ", "-"), strings.ReplaceAll(s, " ", "_"),
					strings.ReplaceAll(s, " ", ""), s + ".",
				} {
					if got, ok := c.find(set); !ok || got != word {
						t.Errorf("%s word of %q = %q, %v, want %q", c.name, set, got, ok, word)
					}
				}
			}
		}
		if count < len(c.words) || len(c.words) == 0 {
			t.Errorf("%s: %d spellings of %d words", c.name, count, len(c.words))
		}
		for _, s := range []string{"", " ", "-", "no such word", "12"} {
			if got, ok := c.find(s); ok {
				t.Errorf("%s word of %q = %q, want none", c.name, s, got)
			}
		}
	}
}

func TestFold(t *testing.T) {
	for _, test := range []struct{ a, b string }{
		{"Cable Trays", "cable-tray"},
		{"junction boxes", "Junction_Box"},
		{"heater batteries", "heater battery"},
		{"hatches", "hatch"},
		{"trusses", "truss"},
		{"gullies", "gully"},
		{"gases", "gase"},
		{"S/A", "sa"},
		{"light\u00a0fittings", "light fitting"},
	} {
		if fold(test.a) != fold(test.b) {
			t.Errorf("fold(%q) = %q, fold(%q) = %q, want the same", test.a, fold(test.a), test.b, fold(test.b))
		}
	}
	for _, test := range []struct{ a, b string }{{"truss", "tru"}, {"tray", "ray"}, {"sa", "a"}} {
		if fold(test.a) == fold(test.b) {
			t.Errorf("fold(%q) = fold(%q) = %q, want them apart", test.a, test.b, fold(test.a))
		}
	}
}

// What the tables say of one another is there.
func TestTables(t *testing.T) {
	groupOK := func(gs []string) bool {
		for _, g := range gs {
			if g == Any || !slices.Contains(Groups(), g) {
				return false
			}
		}
		return true
	}
	for _, e := range trades {
		if !groupOK(e.Groups) {
			t.Errorf("trade %q: groups %v, want those of Groups() without any", e.Word, e.Groups)
		}
		if e.Kind != "" && !slices.Contains(Kinds(), e.Kind) {
			t.Errorf("trade %q: default kind %q is no kind", e.Word, e.Kind)
		}
		got, ok := DefaultKind(e.Word)
		if got != e.Kind || ok != (e.Kind != "") {
			t.Errorf("DefaultKind(%q) = %q, %v, want %q", e.Word, got, ok, e.Kind)
		}
	}
	for _, e := range services {
		if !groupOK(e.Groups) || !slices.Contains(Trades(), e.Trade) {
			t.Errorf("service %q: groups %v, trade %q, want known ones", e.Word, e.Groups, e.Trade)
		}
		if (e.Power || e.Data) && (!slices.Contains(e.Groups, Electrical) || e.Power && e.Data) {
			t.Errorf("service %q: power %v, data %v, want one of them and only if electrical", e.Word, e.Power, e.Data)
		}
		if slices.Contains(e.Groups, Gravity) && !slices.Contains(e.Groups, Wet) {
			t.Errorf("service %q runs by gravity and is not wet", e.Word)
		}
	}
	for _, e := range kinds {
		if !groupOK(e.Groups) || !slices.Contains(Trades(), e.Trade) {
			t.Errorf("kind %q: groups %v, trade %q, want known ones", e.Word, e.Groups, e.Trade)
		}
		if e.Order < 1 || e.Order > 9 || e.Order == 2 || e.Order == 8 {
			t.Errorf("kind %q: order %d, want 1 to 9 but 2 (by service) and 8 (by size)", e.Word, e.Order)
		}
		if e.Structure != slices.Contains(e.Groups, Structure) || e.Beam && !e.Structure || e.Structure && e.Order != 1 {
			t.Errorf("kind %q: structure %v, beam %v, groups %v, order %d do not agree", e.Word, e.Structure, e.Beam, e.Groups, e.Order)
		}
		if e.Containment && !slices.Contains(e.Groups, Electrical) || e.Recessed && e.Order != 1 {
			t.Errorf("kind %q: containment %v, groups %v, recessed %v, order %d do not agree", e.Word, e.Containment, e.Groups, e.Recessed, e.Order)
		}
	}
}

// The kinds that the columns of a zone table name, and what each is by default.
func TestKindWord(t *testing.T) {
	// s structure, b beam, c containment, i item, r recessed, m must be reached, e an end stops at it
	for _, test := range []struct {
		text, word, flags string
		order             int
	}{
		{"tray", "tray", "c", 7},
		{"basket", "basket", "c", 7},
		{"Ladder", "ladder", "c", 6},
		{"trunking", "trunking", "c", 7},
		{"conduit", "conduit", "c", 9},
		{"duct", "duct", "", 4},
		{"flexible", "flexible", "", 9},
		{"pipe", "pipe", "", 5},
		{"valve", "valve", "ime", 5},
		{"damper", "damper", "ime", 4},
		{"fan coil", "fan coil", "ime", 3},
		{"FCU", "fan coil", "ime", 3},
		{"terminal unit", "terminal unit", "ime", 3},
		{"VAV box", "terminal unit", "ime", 3},
		{"diffuser", "diffuser", "ire", 1},
		{"light fitting", "light fitting", "ire", 1},
		{"Luminaires", "light fitting", "ire", 1},
		{"sprinkler head", "sprinkler head", "ire", 1},
		{"detector", "detector", "ire", 1},
		{"beam", "beam", "sb", 1},
		{"column", "column", "s", 1},
		{"wall", "wall", "s", 1},
		{"duct fitting", "duct fitting", "", 4},
		{"joists", "joist", "sb", 1},
		{"slab", "slab", "s", 1},
		{"hatch", "hatch", "ir", 1},
		{"pump", "pump", "ime", 3},
		{"attenuator", "attenuator", "e", 4},
		{"grille", "grille", "ire", 1},
		{"sprinkler pipe", "sprinkler pipe", "", 5},
		{"cable ladder", "ladder", "c", 6},
		{"bus bar", "bus bar", "c", 6},
		{"busbar", "bus bar", "c", 6},
		{"junction box", "junction box", "ime", 9},
		{"speaker", "speaker", "ire", 1},
		{"strainer", "strainer", "ime", 5},
		{"ceiling", "ceiling", "", 1},
		{"chilled beam", "chilled beam", "re", 1},
		{"fire damper", "fire damper", "ime", 4},
	} {
		k, ok := KindWord(test.text)
		flags := ""
		for _, f := range []struct {
			on   bool
			sign string
		}{{k.Structure, "s"}, {k.Beam, "b"}, {k.Containment, "c"}, {k.Item, "i"}, {k.Recessed, "r"}, {k.Reach, "m"}, {k.EndsAt, "e"}} {
			if f.on {
				flags += f.sign
			}
		}
		if !ok || k.Word != test.word || flags != test.flags || k.Order != test.order {
			t.Errorf("KindWord(%q) = %q, flags %q, order %d, %v, want %q, %q, %d", test.text, k.Word, flags, k.Order, ok, test.word, test.flags, test.order)
		}
	}
}

func TestServiceWord(t *testing.T) {
	for _, test := range []struct{ text, want, groups string }{
		{"supply air", "supply air", ""},
		{"Supply", "supply air", ""},
		{"extract", "extract air", ""},
		{"Fresh Air", "fresh air", ""},
		{"exhaust", "exhaust air", ""},
		{"smoke extract", "smoke extract", ""},
		{"kitchen extract", "kitchen extract", ""},
		{"LTHW", "LTHW", "wet hot"},
		{"LTHW F&R", "LTHW", "wet hot"},
		{"heating flow", "LTHW", "wet hot"},
		{"MTHW", "MTHW", "wet hot"},
		{"steam", "steam", "wet hot"},
		{"condensate return", "steam condensate", "wet hot"},
		{"condensate", "condensate drain", "wet gravity"},
		{"CHW", "chilled water", "wet"},
		{"CWS", "cold water", "wet"},
		{"MCWS", "cold water", "wet"},
		{"BCWS", "cold water", "wet"},
		{"drinking water", "cold water", "wet"},
		{"HWS", "hot water", "wet hot"},
		{"DHW", "hot water", "wet hot"},
		{"sprinkler water", "sprinkler water", "wet"},
		{"hose reel", "hose reel", "wet"},
		{"wet riser", "hose reel", "wet"},
		{"gas", "gas", "gas"},
		{"compressed air", "compressed air", ""},
		{"medical gas", "medical gas", ""},
		{"refrigerant", "refrigerant", ""},
		{"soil", "soil", "wet gravity"},
		{"waste", "waste", "wet gravity"},
		{"RWP", "rainwater", "wet gravity"},
		{"pumped condensate", "pumped drain", "wet"},
		{"siphonic", "siphonic rainwater", "wet"},
		{"small power", "power", "electrical"},
		{"mains", "power", "electrical"},
		{"mains water", "cold water", "wet"},
		{"lighting", "lighting", "electrical"},
		{"ICT", "data", "electrical"},
		{"structured cabling", "data", "electrical"},
		{"fire alarm", "fire alarm", "electrical"},
		{"security", "security", "electrical"},
		{"BMS", "controls", "electrical"},
		{"emergency lighting", "emergency lighting", "electrical"},
	} {
		s, ok := ServiceWord(test.text)
		if got := strings.Join(s.Groups, " "); !ok || s.Word != test.want || got != test.groups {
			t.Errorf("ServiceWord(%q) = %q [%s], %v, want %q [%s]", test.text, s.Word, got, ok, test.want, test.groups)
		}
	}
}

func TestGroupsOf(t *testing.T) {
	for _, test := range []struct{ trade, service, kind, want string }{
		{"", "", "", ""},
		{"nobody", "nothing", "no kind", ""},
		{"pipework", "LTHW", "valve", "hot wet"},
		{"pipework", "", "valve", "wet"},
		{"pipework", "gas", "pipe", "gas"},
		{"pipework", "compressed air", "pipe", ""},
		{"pipework", "no such service", "pipe", "wet"},
		{"ductwork", "supply air", "duct", ""},
		{"ductwork", "", "", ""},
		{"containment", "", "tray", "electrical"},
		{"steel", "", "beam", "structure"},
		{"steel", "", "", "structure"},
		{"pipework", "LTHW", "beam", "structure"},
		{"ductwork", "supply air", "tray", "electrical"},
		{"lighting", "", "light fitting", "electrical"},
		{"drainage", "soil", "pipe", "gravity wet"},
		{"drainage", "", "", "gravity wet"},
		{"drainage", "pumped drain", "pipe", "wet"},
		{"sprinklers", "", "sprinkler head", "wet"},
		{"sprinklers", "sprinkler water", "sprinkler head", "wet"},
		{"ductwork", "chilled water", "fan coil", "wet"},
		{"ceilings", "", "ceiling", "ceiling"},
		{"partitions", "", "wall", "structure"},
		{"", "data", "", "electrical"},
	} {
		got := GroupsOf(test.trade, test.service, test.kind)
		if strings.Join(got, " ") != test.want {
			t.Errorf("GroupsOf(%q, %q, %q) = %v, want [%s]", test.trade, test.service, test.kind, got, test.want)
		}
	}
	// The answer is the caller's own.
	GroupsOf("steel", "", "beam")[0] = "spoilt"
	if got := GroupsOf("steel", "", "beam"); got[0] != Structure {
		t.Errorf("GroupsOf after a caller wrote into its answer = %v", got)
	}
}

func TestOrderOf(t *testing.T) {
	for _, test := range []struct {
		trade, service, kind string
		want                 int
		ok                   bool
	}{
		{"", "", "", 0, false},
		{"controls", "", "", 0, false},
		{"steel", "", "beam", 1, true},
		{"drainage", "", "", 2, true},
		{"pipework", "condensate drain", "pipe", 2, true},
		{"drainage", "pumped drain", "pipe", 5, true},
		{"ductwork", "", "terminal unit", 3, true},
		{"ductwork", "", "no such kind", 4, true},
		{"pipework", "LTHW", "pipe", 5, true},
		{"containment", "", "ladder", 6, true},
		{"containment", "", "", 7, true},
		{"ductwork", "", "flexible", 9, true},
		{"drainage", "", "hatch", 1, true},
	} {
		got, ok := OrderOf(test.trade, test.service, test.kind)
		if got != test.want || ok != test.ok {
			t.Errorf("OrderOf(%q, %q, %q) = %d, %v, want %d, %v", test.trade, test.service, test.kind, got, ok, test.want, test.ok)
		}
	}
}

func TestTradeOfFile(t *testing.T) {
	for _, test := range []struct {
		name, trade, kind, service string
	}{
		{"", "", "", ""},
		{"zones.csv", "", "", ""},
		{"03.csv", "", "", ""},
		{"ductwork.csv", "ductwork", "", ""},
		{"duct fittings.csv", "ductwork", "duct fitting", ""},
		{"terminal units.csv", "ductwork", "terminal unit", ""},
		{"beams.csv", "steel", "beam", ""},
		{"joists.csv", "steel", "joist", ""},
		{"columns.csv", "steel", "column", ""},
		{"tray.csv", "containment", "tray", ""},
		{"Cable_Trays.CSV", "containment", "tray", ""},
		{"02 ductwork L1.csv", "ductwork", "", ""},
		{"ductwork2.csv", "ductwork", "", ""},
		{`level 2\light fittings.csv`, "lighting", "light fitting", ""},
		{"level 2/sprinklers rev C.csv", "sprinklers", "", ""},
		{"sprinkler heads.csv", "sprinklers", "sprinkler head", ""},
		{"lighting.csv", "lighting", "", ""},
		{"ceilings.csv", "ceilings", "", ""},
		{"pipework valves.csv", "pipework", "valve", ""},
		{"LTHW pipes.csv", "pipework", "pipe", "LTHW"},
		{"LTHW.csv", "pipework", "", "LTHW"},
		{"compressed air.csv", "pipework", "", "compressed air"},
		{"data.csv", "containment", "", "data"},
		{"power tray.csv", "containment", "tray", "power"},
		{"drainage pipework.csv", "drainage", "pipe", ""},
		{"diffusers.csv", "ductwork", "diffuser", ""},
		{"steel beams L1.csv", "steel", "beam", ""},
		{"fire alarm.csv", "fire alarm", "", ""},
		{"mechanical ductwork.csv", "ductwork", "", ""},
		{"electrical containment 2nd floor.csv", "containment", "", ""},
	} {
		trade, kind, ok := TradeOfFile(test.name)
		if trade != test.trade || kind != test.kind || ok != (test.trade != "") {
			t.Errorf("TradeOfFile(%q) = %q, %q, %v, want %q, %q", test.name, trade, kind, ok, test.trade, test.kind)
		}
		service, ok := ServiceOfFile(test.name)
		if service != test.service || ok != (test.service != "") {
			t.Errorf("ServiceOfFile(%q) = %q, %v, want %q", test.name, service, ok, test.service)
		}
	}
}

func TestNearest(t *testing.T) {
	for _, test := range []struct {
		text  string
		among []string
		want  string
	}{
		{"", []string{"tray"}, ""},
		{"tray", nil, ""},
		{"ductwrok", []string{"pipework", "ductwork"}, "ductwork"}, // a swap is one
		{"dct", []string{"duct"}, "duct"},                          // 1 of 3
		{"dc", []string{"duct"}, ""},                               // 2 letters allow none
		{"Trays", []string{"try", "tray"}, "tray"},                 // a plural is none
		{"trap", []string{"tray", "tram"}, "tray"},                 // of equals the earlier
		{"trap", []string{"tram", "tray"}, "tram"},
		{"difuser", []string{"diffuser"}, "diffuser"},
		{"abcdefghijkl", []string{"abcdefghixyz"}, "abcdefghixyz"}, // 3 of 12
		{"abcdefghijkl", []string{"abcdefghwxyz"}, ""},             // 4 of 12: never over 3
		{"abcde", []string{"abcxy"}, ""},                           // 2 of 5
		{"xylophone", []string{"tray", "duct"}, ""},
	} {
		got, ok := Nearest(test.text, test.among)
		if got != test.want || ok != (test.want != "") {
			t.Errorf("Nearest(%q, %q) = %q, %v, want %q", test.text, test.among, got, ok, test.want)
		}
	}
	for _, test := range []struct {
		got  func(string) (string, bool)
		text string
		want string
	}{
		{NearestKind, "luminare", "luminaire"},
		{NearestKind, "terminal unti", "terminal unit"},
		{NearestService, "chiled water", "chilled water"},
		{NearestTrade, "ductwrk", "ductwork"},
		{NearestTrade, "contianment", "containment"},
	} {
		if got, _ := test.got(test.text); got != test.want {
			t.Errorf("nearest to %q = %q, want %q", test.text, got, test.want)
		}
	}
}

// The distance agrees with the plain recursive definition of it.
func TestDistance(t *testing.T) {
	var plain func(a, b string) int
	plain = func(a, b string) int {
		if a == "" || b == "" {
			return len(a) + len(b)
		}
		cost := 1
		if a[len(a)-1] == b[len(b)-1] {
			cost = 0
		}
		d := min(plain(a[:len(a)-1], b[:len(b)-1])+cost, plain(a[:len(a)-1], b)+1, plain(a, b[:len(b)-1])+1)
		if len(a) > 1 && len(b) > 1 && a[len(a)-1] == b[len(b)-2] && a[len(a)-2] == b[len(b)-1] {
			d = min(d, plain(a[:len(a)-2], b[:len(b)-2])+1)
		}
		return d
	}
	var all []string
	for n := 0; n <= 4; n++ {
		for bits := range 1 << n {
			s := ""
			for i := range n {
				s += string(rune('a' + bits>>i&1))
			}
			all = append(all, s, s+"c", "c"+s)
		}
	}
	for _, a := range all {
		for _, b := range all {
			if got, want := distance([]rune(a), []rune(b), 100), plain(a, b); got != want {
				t.Fatalf("distance(%q, %q) = %d, want %d", a, b, got, want)
			}
		}
	}
}

// Every trade and kind of the clinic (open building data; its source and licence stand beside it) is
// known, and its file names say the same as its rows.
func TestClinic(t *testing.T) {
	folder := filepath.Join(shared(t), "realdata", "clinic")
	files, err := filepath.Glob(filepath.Join(folder, "*.csv"))
	if err != nil || len(files) == 0 {
		need.Skip(t, "no tables of the clinic in %s", folder)
	}
	rows, kindsSeen := 0, map[string]bool{}
	for _, file := range files {
		f, err := os.Open(file)
		if err != nil {
			t.Fatal(err)
		}
		table, err := csv.NewReader(f).ReadAll()
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		tradeAt, kindAt := slices.Index(table[0], "trade"), slices.Index(table[0], "kind")
		if tradeAt < 0 || kindAt < 0 {
			continue // bays, levels, build-ups
		}
		fileTrade, fileKind, ok := TradeOfFile(file)
		if !ok {
			t.Errorf("TradeOfFile(%q): not known", filepath.Base(file))
		}
		if fileKind == "" {
			fileKind, _ = DefaultKind(fileTrade)
		}
		for i, row := range table[1:] {
			trade, okTrade := TradeWord(row[tradeAt])
			kind, okKind := KindWord(row[kindAt])
			if !okTrade || !okKind || trade.Word != row[tradeAt] || kind.Word != row[kindAt] || trade.Word != fileTrade || kind.Word != fileKind {
				t.Fatalf("%s:%d: trade %q is %q, kind %q is %q; the file name says %q, %q", filepath.Base(file), i+2,
					row[tradeAt], trade.Word, row[kindAt], kind.Word, fileTrade, fileKind)
			}
			kindsSeen[kind.Word] = true
			rows++
		}
	}
	for _, want := range []string{"duct", "duct fitting", "diffuser", "terminal unit", "light fitting", "pipe", "beam", "joist", "column"} {
		if !kindsSeen[want] {
			t.Errorf("no row of kind %q", want)
		}
	}
	t.Logf("%d rows of %d kinds", rows, len(kindsSeen))
}

// shared finds the folder of facts and data that stands beside the repository, and skips without it.
func shared(t *testing.T) string {
	t.Helper()
	at, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for range 6 {
		if _, err := os.Stat(filepath.Join(at, "go.mod")); err == nil {
			at = filepath.Join(at, "..", "shared")
			if _, err := os.Stat(at); err == nil {
				return at
			}
			break
		}
		at = filepath.Dir(at)
	}
	need.Skip(t, "the folder shared does not stand beside the repository")
	return ""
}

var sink []string

func BenchmarkGroupsOf(b *testing.B) {
	for range b.N {
		sink = GroupsOf("pipework", "LTHW flow", "Isolating Valves")
	}
}

func BenchmarkKindWord(b *testing.B) {
	for range b.N {
		k, _ := KindWord("Duct Fittings")
		if k.Word == "" {
			b.Fatal("not found")
		}
	}
}

func ExampleTradeOfFile() {
	trade, kind, ok := TradeOfFile("02 duct fittings L1.csv")
	fmt.Println(trade, "/", kind, "/", ok)
	// Output: ductwork / duct fitting / true
}
