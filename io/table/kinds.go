package table

import (
	"reflect"
	"slices"
	"strings"
	"unicode"

	"voidline/void"
	"voidline/void/cell"
)

// kind is one kind of table: what its file is called and which columns it has.
type kind struct {
	file string       // "" for the tables of the trades
	row  reflect.Type // the struct of void whose csv tags name the columns
	need []need
	// key names the columns that no row leaves blank. What may be blank depending on other cells
	// (a size or a width and a height …) is for the building to say.
	key []string
	// about says what the table holds and when it is needed, for who has to fill it in.
	about string
}

// need is something that the header of a table must have in one of several ways.
type need struct {
	say string     // in words
	any [][]string // all columns of one of these
}

func column(names ...string) []need {
	var n []need
	for _, name := range names {
		n = append(n, need{name, [][]string{{name}}})
	}
	return n
}

// The fixed tables in the order in which they are read, and the tables of the trades.
var (
	origins = kind{
		"origin.csv", reflect.TypeFor[void.OriginRow](), column("x", "y"),
		[]string{"x", "y"},
		"a point near the building that is subtracted from every place; for survey coordinates",
	}
	levels   = kind{"levels.csv", reflect.TypeFor[void.LevelRow](), column("storey", "ffl"), []string{"ffl"}, "the storeys; needed when there is more than one"}
	grid     = kind{"grid.csv", reflect.TypeFor[void.GridRow](), column("axis", "label", "position"), []string{"axis", "label", "position"}, "the grid lines; needed where places are given by them"}
	buildups = kind{"buildups.csv", reflect.TypeFor[void.BuildUpRow](), column("buildup", "thickness"), []string{"buildup", "thickness"}, "the layers of the ceilings; needed where a bay names a build-up"}
	bays     = kind{
		"bays.csv", reflect.TypeFor[void.BayRow](),
		column("bay", "x1", "y1", "x2", "y2", "soffit", "ceiling"),
		[]string{"bay", "x1", "y1", "x2", "y2"},
		"the bays, each with its soffit and its ceiling; always needed",
	}
	gaps     = kind{"gaps.csv", reflect.TypeFor[void.GapRow](), column("of", "to", "gap"), []string{"of", "to", "gap"}, "what must stay clear; these rules go before the built-in ones (voidline rules)"}
	hangers  = kind{"hangers.csv", reflect.TypeFor[void.HangerRow](), column("hanger", "part", "height"), []string{"hanger", "part", "height"}, "hangers of the project's own, beside the built-in ones (voidline tables hangers)"}
	openings = kind{
		"openings.csv", reflect.TypeFor[void.OpeningRow](),
		append(column("in", "size"), need{"at, or x and y", [][]string{{"at"}, {"x", "y"}}}),
		[]string{"in", "size"},
		"ways through beams, walls, slabs, soffits and ceilings",
	}
	access   = kind{"access.csv", reflect.TypeFor[void.AccessRow](), column("for"), []string{"for"}, "what must stay free to reach a zone"}
	surveyed = kind{
		"surveyed.csv", reflect.TypeFor[void.SurveyRow](),
		append(column("what"), need{"reading or level", [][]string{{"reading"}, {"level"}}}),
		[]string{"what"},
		"what was found on site; found levels go before drawn ones (voidline levels DIR --form prints the form to fill in)",
	}
	supports = kind{
		"supports.csv", reflect.TypeFor[void.SupportRow](),
		append(column("along"), need{"run or row", [][]string{{"run"}, {"row"}}}),
		[]string{"along"},
		"where supports stand, in place of the usual places; a run with rows here takes only those (voidline setout --format supports writes it)",
	}
	zones = kind{"", reflect.TypeFor[void.ZoneRow](), []need{
		{"id", [][]string{{"id"}}},
		{"a place (x1 and y1, or bay)", [][]string{{"x1", "y1"}, {"bay"}}},
		{"a size (size, or width and height, or diameter)", [][]string{{"size"}, {"width"}, {"height"}, {"diameter"}}},
		{"level", [][]string{{"level"}}},
	}, []string{"id"}, "the zones of one trade, one row for each length or item; any file name that is not taken: the name is the trade"}
	sources = kind{
		"sources.csv", reflect.TypeFor[SourceRow](), column("file"),
		[]string{"file"},
		"which drawing each table was taken from",
	}
	fixed = []*kind{&origins, &levels, &grid, &buildups, &bays, &gaps, &hangers, &openings, &access, &surveyed, &supports}
)

// field is a column of a kind of table.
type field struct {
	name  string // the csv tag
	index int    // of the field in the row struct
	// text and fault are the indices of Text and Fault in the cell type.
	text, fault int
	// offset is where the cell is in the row struct, textAt and faultAt where its Text and Fault are in it; bytes.
	offset, textAt, faultAt uintptr
	// long: the column holds lengths, so that its heading may end in a unit.
	// numeric: it holds numbers, which may have decimal commas.
	long, numeric bool
}

// fields returns the columns of the kind in the order of the struct.
func (k *kind) fields() []field {
	var list []field
	for i := range k.row.NumField() {
		f := k.row.Field(i)
		tag := f.Tag.Get("csv")
		if tag == "-" {
			continue
		}
		text, _ := f.Type.FieldByName("Text")
		fault, _ := f.Type.FieldByName("Fault")
		col := field{
			name: tag, index: i, text: text.Index[0], fault: fault.Index[0],
			offset: f.Offset, textAt: text.Offset, faultAt: fault.Offset,
		}
		switch reflect.Zero(f.Type).Interface().(type) {
		case cell.Length, cell.Coordinate, cell.Place, cell.Size, cell.Level, cell.Covering, cell.Asked:
			col.long, col.numeric = true, true
		case cell.Fall, cell.Number:
			col.numeric = true
		}
		list = append(list, col)
	}
	return list
}

// plain writes a heading or a file name as it is compared: in lower case and without blanks,
// hyphens, underscores and brackets.
func plain(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || unicode.Is(unicode.Pd, r) || !unicode.IsPrint(r) || strings.ContainsRune("_()[]", r) {
			return -1
		}
		return unicode.ToLower(r)
	}, s)
}

// match finds the column of a heading among fields: its number, or -1, and whether the heading says
// metres.
func match(fields []field, heading string) (col int, metres bool) {
	name := plain(heading)
	if i := slices.IndexFunc(fields, func(f field) bool { return f.name == name }); i >= 0 {
		return i, false
	}
	for _, unit := range []string{"mm", "m"} {
		base, ok := strings.CutSuffix(name, unit)
		if !ok {
			continue
		}
		if i := slices.IndexFunc(fields, func(f field) bool { return f.long && f.name == base }); i >= 0 {
			return i, unit == "m"
		}
	}
	return -1, false
}

// hasAll reports whether has knows all the names.
func hasAll(names []string, has func(string) bool) bool {
	return !slices.ContainsFunc(names, func(name string) bool { return !has(name) })
}
