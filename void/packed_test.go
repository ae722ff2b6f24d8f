package void

import (
	"reflect"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"voidline/void/cell"
)

// forms are cells beside the example that each column has, by type: between them they fill every part of a cell.
var forms = map[reflect.Type][]string{
	reflect.TypeFor[cell.Place]():    {"1200", "-35.5", "B - 450"},
	reflect.TypeFor[cell.Size]():     {"ø250", "DN50", "UB 406x178x60", "150x150"},
	reflect.TypeFor[cell.Covering](): {"40 over joint"},
	reflect.TypeFor[cell.Level]():    {"2700", "soffit-60", "TOS 3100", "FFL+2400..soffit-10"},
	reflect.TypeFor[cell.Fall]():     {"12.5 mm/m"},
	reflect.TypeFor[cell.Names]():    {"T1; T2"},
	reflect.TypeFor[cell.Flag]():     {"yes", "no"},
}

// comesBack sets one column of a row after the other, to its example and to other forms, and reports those that are not
// there any more in what back makes of the row. not are the columns that are not kept as they are.
func comesBack[T any](t *testing.T, base T, not []string, back func(T) T) {
	t.Helper()
	for i := range reflect.TypeFor[T]().NumField() {
		f := reflect.TypeFor[T]().Field(i)
		name := f.Tag.Get("csv")
		if name == "-" || slices.Contains(not, name) {
			continue
		}
		for _, text := range append([]string{f.Tag.Get("like")}, forms[f.Type]...) {
			row := base
			c := reflect.ValueOf(&row).Elem().Field(i)
			if c.Addr().Interface().(interface{ UnmarshalCSV(string) error }).UnmarshalCSV(text); !c.FieldByName("Fault").IsNil() || c.FieldByName("Text").Len() == 0 {
				t.Fatalf("%s: %q is no good example", name, text)
			}
			made := back(row)
			got := reflect.ValueOf(&made).Elem().Field(i)
			if got.FieldByName("Text").Len() > 0 && f.Type != reflect.TypeFor[cell.Word]() {
				// Numbers and the like may be written in another way.
				got.FieldByName("Text").SetString("")
				c.FieldByName("Text").SetString("")
			}
			if diff := cmp.Diff(c.Interface(), got.Interface()); diff != "" {
				t.Errorf("%s: %q does not come back (-written +back):\n%s", name, text, diff)
			}
		}
	}
}

// TestEveryColumnComesBack holds that no column of a row, and no part of a cell, is forgotten where rows are packed.
func TestEveryColumnComesBack(t *testing.T) {
	t.Run("bays", func(t *testing.T) {
		// Of a level that bays have no use for, that is the upper end of a range and what face it is to, nothing is kept.
		plain := func(c *cell.Level) { c.High, c.Says = cell.Height{}, cell.Unsaid }
		p := New("", nil)
		comesBack(t, BayRow{At: At{File: 3, Line: 7}}, []string{"note", "guid", "soffit", "ceiling"}, func(r BayRow) BayRow {
			q := p.packBay(&r)
			p.rows.bays.add(q)
			got := p.bayRow(p.rows.bays.n - 1)
			if got.At != r.At {
				t.Errorf("the row is at %v, was at %v", got.At, r.At)
			}
			return got
		})
		for _, text := range append(forms[reflect.TypeFor[cell.Level]()], "FFL+3600", "none") {
			r := BayRow{Soffit: cell.ParseLevel(text), Ceiling: cell.ParseLevel(text)}
			p.AddBay(r)
			got := p.bayRow(p.rows.bays.n - 1)
			plain(&r.Soffit)
			plain(&r.Ceiling)
			if diff := cmp.Diff(r, got); diff != "" {
				t.Errorf("%q does not come back (-written +back):\n%s", text, diff)
			}
		}
	})
	t.Run("zones", func(t *testing.T) {
		base := ZoneRow{
			At: At{Line: 7}, ID: word("D1"), X1: cell.ParsePlace("0"), Y1: cell.ParsePlace("10"), X2: cell.ParsePlace("1000"), Y2: cell.ParsePlace("10"),
			Size: cell.ParseSize("600x300"), Level: cell.ParseLevel("2700"),
		}
		back := func(r ZoneRow) ZoneRow {
			p := New("", []string{"ductwork.csv"})
			p.AddZone("ductwork.csv", &r)
			if len(p.Problems) > 0 {
				t.Fatalf("%+v: %v", r, p.Problems)
			}
			return p.written(p.Zone(0))
		}
		// Width, height and diameter come back as a size.
		comesBack(t, base, []string{"width", "height", "diameter"}, back)
		for _, r := range []struct{ width, height, diameter, size string }{{"600", "300", "", "600x300"}, {"", "", "250", "ø250"}} {
			row := base
			row.Size, row.Width, row.Height, row.Diameter = cell.Size{}, cell.ParseLength(r.width), cell.ParseLength(r.height), cell.ParseLength(r.diameter)
			got, want := back(row).Size, cell.ParseSize(r.size)
			got.Text, want.Text = "", ""
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("%+v comes back as another size (-want +got):\n%s", r, diff)
			}
		}
	})
}
