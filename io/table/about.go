package table

import (
	"reflect"
	"slices"

	"voidline/void/cell"
)

// About says what a table takes, for who has to fill it in.
type About struct {
	Name    string   // its file name; Trades for the tables of the trades, which have any other
	What    string   // what it holds, and when it is needed
	Needs   []string // what its header must have, each need in words
	Columns []Column
}

// tradesTable is what the tables of the trades are called where all of them are meant.
const tradesTable = "zones.csv"

// Column is a column of a table.
type Column struct {
	Name   string // the heading as people write it
	What   string // what its cells hold, and what a blank one means
	Needed string // yes; one of, where others do in its place; "" where it may be left out
	Length bool   // in mm, or in metres where the heading ends in _m
	Plain  bool   // a length and nothing else: a number
	Like   string // a cell as an example
}

// Abouts describes the tables known to Read and ReadSources, in the order in which one would fill them in: bays and trades first.
func Abouts() []About {
	var out []About
	for _, k := range append([]*kind{&bays, &zones}, append(slices.DeleteFunc(slices.Clone(fixed), func(k *kind) bool { return k == &bays }), &sources, &mappings, &models)...) {
		out = append(out, k.tell())
	}
	return out
}

// tell describes the kind from what the reader itself goes by: the row's tags, what its header must have and what
// no row leaves blank.
func (k *kind) tell() About {
	a := About{Name: k.file, What: k.about}
	if a.Name == "" {
		a.Name = tradesTable
	}
	for _, f := range k.fields() {
		tag := k.row.Field(f.index).Tag
		c := Column{Name: tag.Get("head"), What: tag.Get("says"), Length: f.long, Plain: k.row.Field(f.index).Type == reflect.TypeFor[cell.Length](), Like: tag.Get("like")}
		if c.Name == "" {
			c.Name = f.name
		}
		for _, n := range k.need {
			switch {
			case !slices.ContainsFunc(n.any, func(all []string) bool { return slices.Contains(all, f.name) }):
			case len(n.any) == 1:
				c.Needed = "yes"
			default:
				c.Needed = "one of"
			}
		}
		a.Columns = append(a.Columns, c)
	}
	for _, n := range k.need {
		a.Needs = append(a.Needs, n.say)
	}
	return a
}
