package cell

import "testing"

// What is said of a level and of a place that cannot be read, whole: what it is, and what to write.
func TestWhatIsSaidOfALevel(t *testing.T) {
	const (
		isNone  = " is not a level"
		small   = " is too small for a level in millimetres"
		example = "a level, such as 2700, FFL+2700, datum+1650, ceiling+20, soffit-60 or 2.7 m"
	)
	for _, test := range []struct{ text, what, want, hint string }{
		{"2.7", small, example, "2.7 is surely metres: write 2700 or 2.7 m; if it is millimetres, 2.7 mm"},
		{"FFL+2.7", small, example, "2.7 is surely metres: write 2700 or 2.7 m; if it is millimetres, 2.7 mm"},
		{"1..2", small, example, "1 is surely metres: write 1000 or 1 m; if it is millimetres, 1 mm"},
		{"99999999", " is more than 10 km", "at most 10 km", ""},
		{"ceiling 20", isNone, example, "write + for above and - for below, as in ceiling+20 or soffit-60"},
		{"top of steel", isNone, example, "soffit and steel are measured from their underside, the ceiling from its finished face"},
		{"underside of build-up", isNone, example, "the underside of the build-up is the finished face: write ceiling; its top is build-up"},
		{"FFL+3000..FFL+2000", " has its upper end first", "the lower end first", ""},
		{"3000..3000", " has no height", "two different ends", ""},
		{"centre 2800..3000", isNone, example, "a range is from the bottom to the top and needs no other face"},
		{"2.7 ft", isNone, example, "only mm and m are read as units: turn feet and inches into millimetres"},
		{"2700-3000", isNone, example, "a range is written 2700..3000"},
		{"2700 - 3000", isNone, example, "a range is written 2700..3000"},
		{"2.7 m - 3 m", isNone, example, "a range is written 2.7 m..3 m"},
		{"2700 \u2013 3000", isNone, example, "a range is written 2700..3000"},
		{"slab", isNone, example, "say soffit for its underside, SSL for its top"},
		{"abc", isNone, example, ""},
	} {
		f := ParseLevel(test.text).Fault
		if want := (Fault{What: quote(test.text) + test.what, Want: test.want, Hint: test.hint}); f == nil || *f != want {
			t.Errorf("%q: %+v, want %+v", test.text, f, want)
		}
	}
}

func TestWhatIsSaidOfAPlace(t *testing.T) {
	const scientific = "a spreadsheet has put it into scientific form and digits may be lost: format the column as plain numbers and write it again"
	for _, test := range []struct{ text, hint string }{
		{"3-450", "a grid line whose label is a number is written grid 3-450"},
		{"3 + 450", "a grid line whose label is a number is written grid 3 + 450"},
		{"3-0.45 m", "a grid line whose label is a number is written grid 3-0.45 m"},
		{"grid", "the label of the grid line is missing"},
		{"3E+12", scientific + "; a grid line is written grid 3E+12"},
		{"1.2E+03", scientific},
		{"B 1200", "write B+1200 for an offset, grid B 1200 for a label with a blank in it"},
		{"B 1.2 m", "write B+1.2 m for an offset, grid B 1.2 m for a label with a blank in it"},
		{"A-1+1200", "where the label is A-1, write grid A-1+1200"},
		{"?+5", "where the label is ?, write grid ?+5"},
		{"B+", "the offset is missing"},
		{"B7x+", "the offset is missing"},
		{"1200 east", ""},
		{"12cm", "only mm and m are read as units"},
	} {
		f := ParsePlace(test.text).Fault
		if want := (Fault{What: quote(test.text) + " is not a place", Want: wantPlace, Hint: test.hint}); f == nil || *f != want {
			t.Errorf("%q: %+v, want %+v", test.text, f, want)
		}
	}
}
