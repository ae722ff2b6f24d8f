package catalogue

import (
	"fmt"
	"slices"
	"strings"
)

// Pipe is one size of pipe: the outside diameter OD in mm of what is called DN under Standard.
//
// DN is the number by which the pipe is asked for. In EN 1057 (copper) that is the outside diameter
// itself; in EN 1329 and EN 1401 (plastic soil) nearly so; the 32, 40 and 50 of plastic waste are
// neither bore nor outside diameter.
type Pipe struct {
	DN                 float64
	Standard           string
	OD                 float64
	Material           string
	Source, Provenance string
}

// DefaultPipeStandard is taken where a DN is given without a standard: steel pipe, series 1. It
// differs from EN 10255 at DN150; see PipeConflict.
const DefaultPipeStandard = "EN 10220"

func en10220(dn, od float64) Pipe {
	return Pipe{dn, "EN 10220", od, "steel", "EN 10220:2002 series 1", "confirmed: public code table labelled EN 10220 series 1"}
}

func en10255(dn, od float64, provenance string) Pipe {
	return Pipe{dn, "EN 10255", od, "steel", "EN 10255:2004+A1:2007 Table 2", provenance}
}

func en1057(od float64) Pipe {
	return Pipe{od, "EN 1057", od, "copper", "EN 1057:2006+A1:2010, outside diameter series", "confirmed: summary leaflet of EN 1057 and a supplier's table of tubes"}
}

func waste(name float64, standard, material string, od float64) Pipe {
	return Pipe{name, standard, od, material, "EN 1455/EN 1566 (solvent), EN 1451 (push fit)", sizeChart}
}

const (
	millSheet = "confirmed: mill data sheet quoting EN 10255"
	sizeChart = "confirmed: plumbing supplier's size chart"
)

// pipes is the table, by standard and in each by name.
var pipes = []Pipe{
	en10220(15, 21.3), en10220(20, 26.9), en10220(25, 33.7), en10220(32, 42.4), en10220(40, 48.3),
	en10220(50, 60.3), en10220(65, 76.1), en10220(80, 88.9), en10220(100, 114.3), en10220(125, 139.7),
	en10220(150, 168.3), en10220(200, 219.1), en10220(250, 273), en10220(300, 323.9),

	en10255(15, 21.3, FromMemory), en10255(20, 26.9, FromMemory), en10255(25, 33.7, FromMemory),
	en10255(32, 42.4, FromMemory), en10255(40, 48.3, FromMemory), en10255(50, 60.3, FromMemory),
	en10255(65, 76.1, FromMemory), en10255(80, 88.9, FromMemory), en10255(100, 114.3, millSheet),
	en10255(125, 139.7, millSheet), en10255(150, 165.1, millSheet),

	en1057(15), en1057(22), en1057(28), en1057(35), en1057(42), en1057(54), en1057(66.7),
	en1057(76.1), en1057(108), en1057(133), en1057(159),

	{82, "EN 1329", 82.4, "plastic soil", "EN 1329-1", FromMemory},
	{110, "EN 1329", 110, "plastic soil", "EN 1329-1 / EN 1401", sizeChart},
	{160, "EN 1329", 160, "plastic soil", "EN 1329-1 / EN 1401", "confirmed: page of a pipe association"},
	{110, "EN 1401", 110, "plastic soil", "EN 1329-1 / EN 1401", sizeChart},
	{160, "EN 1401", 160, "plastic soil", "EN 1329-1 / EN 1401", "confirmed: page of a pipe association"},

	waste(32, "EN 1451", "plastic waste, push fit", 34),
	waste(40, "EN 1451", "plastic waste, push fit", 41),
	waste(50, "EN 1451", "plastic waste, push fit", 54),
	waste(32, "EN 1455", "plastic waste, solvent weld", 36),
	waste(40, "EN 1455", "plastic waste, solvent weld", 43),
	waste(50, "EN 1455", "plastic waste, solvent weld", 56),

	{100, "EN 877", 110, "cast iron soil", "EN 877", FromMemory},
}

// pipeStandards are the spellings of the standards: number alone, or the words a foreman would use.
// EN 1566 shares the solvent-weld sizes of EN 1455.
var pipeStandards = map[string]string{
	"":      DefaultPipeStandard,
	"10220": "EN 10220", "10255": "EN 10255", "1057": "EN 1057", "877": "EN 877",
	"1329": "EN 1329", "13291": "EN 1329", "1401": "EN 1401", "14011": "EN 1401",
	"1451": "EN 1451", "14511": "EN 1451", "1455": "EN 1455", "14551": "EN 1455",
	"1566": "EN 1455", "15661": "EN 1455",
	"copper": "EN 1057", "castiron": "EN 877", "soil": "EN 1329", "plasticsoil": "EN 1329",
	"pushfit": "EN 1451", "solvent": "EN 1455", "solventweld": "EN 1455",
}

type pipeKey struct {
	dn       float64
	standard string
}

var pipeByKey = func() map[pipeKey]int {
	m := make(map[pipeKey]int, len(pipes))
	for i, p := range pipes {
		m[pipeKey{p.DN, p.Standard}] = i
	}
	return m
}()

// PipeStandard returns the standard as the table writes it: "BS EN 10255:2004" gives "EN 10255".
// Case, blanks, hyphens, a leading BS, DIN, NF or EN and a year after a colon do not count; "copper",
// "cast iron", "soil", "push fit" and "solvent weld" are taken too. Empty gives DefaultPipeStandard.
func PipeStandard(standard string) (string, bool) {
	s, _, _ := strings.Cut(standard, ":")
	s = squeeze(s)
	for _, prefix := range []string{"bs", "din", "nf", "iso", "en"} {
		s = strings.TrimPrefix(s, prefix)
	}
	if s == "" && strings.TrimSpace(standard) != "" {
		return "", false // "EN" alone names nothing
	}
	name, ok := pipeStandards[s]
	return name, ok
}

// Standards returns the standards of the pipe tables, each once, in the order of the tables.
func Standards() []string {
	var out []string
	for _, p := range pipes {
		if !slices.Contains(out, p.Standard) {
			out = append(out, p.Standard)
		}
	}
	return out
}

// PipeByDN returns the pipe called dn under a standard, spelled as PipeStandard takes it; without one
// EN 10220 steel pipe. A DN that the standard's table does not hold is not found, even where
// another standard holds it: PipeStandards says which does.
func PipeByDN(dn float64, standard string) (Pipe, bool) {
	name, ok := PipeStandard(standard)
	if !ok {
		return Pipe{}, false
	}
	i, ok := pipeByKey[pipeKey{dn, name}]
	if !ok {
		return Pipe{}, false
	}
	return pipes[i], true
}

// Pipes returns a copy of the table, by standard and in each by DN.
func Pipes() []Pipe { return slices.Clone(pipes) }

// PipeStandards returns the standards that hold a pipe of the name dn, in the order of the table;
// none where no standard does.
func PipeStandards(dn float64) []string {
	var names []string
	for _, p := range pipes {
		if p.DN == dn {
			names = append(names, p.Standard)
		}
	}
	return names
}

// PipeConflict says for which DN the two steel standards give different outside diameters, so that a
// DN without a standard may have been meant otherwise: only DN150. Pipes of another material are
// no conflict, they are asked for by another name.
func PipeConflict(dn float64) (note string, ok bool) {
	a, okA := PipeByDN(dn, "EN 10220")
	b, okB := PipeByDN(dn, "EN 10255")
	if !okA || !okB || a.OD == b.OD {
		return "", false
	}
	return fmt.Sprintf("DN%g is %g outside by %s and %g by %s", dn, a.OD, a.Standard, b.OD, b.Standard), true
}
