package cell

import "testing"

func TestParseSize(t *testing.T) {
	rectangle := func(a, b float64) Size { return Size{Form: Rectangle, A: a, B: b} }
	solid := func(a, b, c float64) Size { return Size{Form: Solid, A: a, B: b, C: c} }
	circle := func(a float64) Size { return Size{Form: Circle, A: a} }
	disc := func(a, b float64) Size { return Size{Form: Disc, A: a, B: b} }
	single := func(a float64) Size { return Size{Form: Single, A: a} }
	dn := func(a float64, standard string) Size { return Size{Form: NominalDN, A: a, Standard: standard} }
	steel := func(name string) Size { return Size{Form: SteelName, Name: name} }
	for _, test := range []struct {
		text string
		want Size
	}{
		{"600x300", rectangle(600, 300)},
		{"600 X 300", rectangle(600, 300)},
		{"600×300", rectangle(600, 300)},
		{"600 × 300", rectangle(600, 300)},
		{"600✕300", rectangle(600, 300)},
		{"600*300", rectangle(600, 300)},
		{"600 by 300", rectangle(600, 300)},
		{"600\u00a0x\u2009300", rectangle(600, 300)},
		{"152.9x455.2", rectangle(152.9, 455.2)},
		{"600x300 mm", rectangle(600, 300)},
		{"600mmx300mm", rectangle(600, 300)},
		{"600 mm x 300 mm", rectangle(600, 300)},
		{"0.6x0.3 m", rectangle(600, 300)},
		{"0.6mx0.3m", rectangle(600, 300)},
		{"0.6 m x 300 mm", rectangle(600, 300)},
		{"600x300.", rectangle(600, 300)},
		{"3x4", rectangle(3, 4)},
		{"+600x300", rectangle(600, 300)},
		{"600x600x100", solid(600, 600, 100)},
		{"0.6 x 0.6 x 0.1 m", solid(600, 600, 100)},
		{"ø250", circle(250)},
		{"Ø 250", circle(250)},
		{"⌀250", circle(250)},
		{"∅250", circle(250)},
		{"Φ250", circle(250)},
		{"dia 250", circle(250)},
		{"dia250", circle(250)},
		{"Dia. 250", circle(250)},
		{"diam 250", circle(250)},
		{"diameter 250", circle(250)},
		{"250 dia", circle(250)},
		{"250dia.", circle(250)},
		{"250ø", circle(250)},
		{"250 mm dia", circle(250)},
		{"250mm ø", circle(250)},
		{"250 dia mm", circle(250)},
		{"ø0.25 m", circle(250)},
		{"0.25 m dia", circle(250)},
		{"ø250x100", disc(250, 100)},
		{"250 dia x 100", disc(250, 100)},
		{"ø0.25x0.1 m", disc(250, 100)},
		{"150", single(150)},
		{"150 mm", single(150)},
		{"0.15 m", single(150)},
		{"'150", single(150)},
		{"DN50", dn(50, "")},
		{"DN 50", dn(50, "")},
		{"dn50", dn(50, "")},
		{"DN150 EN 10255", dn(150, "EN 10255")},
		{"DN150 EN10255", dn(150, "EN 10255")},
		{"DN 150 (EN 10255)", dn(150, "EN 10255")},
		{"DN150 to BS EN 10255:2004", dn(150, "EN 10255")},
		{"DN100 DIN EN 877", dn(100, "EN 877")},
		{"DN50 EN 1329-1", dn(50, "EN 1329-1")},
		{"15 EN 1057", dn(15, "EN 1057")},
		{"15 mm EN 1057", dn(15, "EN 1057")},
		{"66.7 en 1057", dn(66.7, "EN 1057")},
		{"UB 406x178x60.1", steel("UB 406x178x60.1")}, // no section of the tables: it is not taken for the nearest
		{"UB 406x178x60", steel("UB 406x178x60")},
		{"UB406x178x60", steel("UB 406x178x60")},
		{"ub 406×178×60", steel("UB 406x178x60")},
		{"406x178x60 UB", steel("UB 406x178x60")},
		{"406x178x60UB", steel("UB 406x178x60")},
		{"406 x 178 UB 60", steel("UB 406x178x60")},
		{"406x178UB60", steel("UB 406x178x60")},
		{"406x178x60.0 UB", steel("UB 406x178x60")},
		{"UC 203x203x46", steel("UC 203x203x46")},
		{"203 x 203 x 46 UC", steel("UC 203x203x46")},
		{"PFC 230x90x32", steel("PFC 230x90x32")},
		{"UBP 305x305x79", steel("UBP 305x305x79")},
		{"SHS 100x100x5", steel("SHS 100x100x5")},
		{"RHS 200x100x6.3", steel("RHS 200x100x6.3")},
		{"CHS 168.3x5", steel("CHS 168.3x5")},
		{"168.3 CHS 5", steel("CHS 168.3x5")},
		{"IPN 300", steel("IPN 300")},
		{"UPN 200", steel("UPN 200")},
		{"UPE 200", steel("UPE 200")},
		{"HEAA 200", steel("HE 200 AA")},
		{"HEA 200", steel("HE 200 A")},
		{"HEA200", steel("HE 200 A")},
		{"HE 200 A", steel("HE 200 A")},
		{"HE200A", steel("HE 200 A")},
		{"he 200a", steel("HE 200 A")},
		{"200 HEA", steel("HE 200 A")},
		{"200 HE A", steel("HE 200 A")},
		{"HEB 300", steel("HE 300 B")},
		{"HEM 300", steel("HE 300 M")},
		{"HE 300 AA", steel("HE 300 AA")},
		{"IPE 300", steel("IPE 300")},
		{"IPE300", steel("IPE 300")},
		{"300 IPE", steel("IPE 300")},
		{"10000000x1", rectangle(1e7, 1)},
		{"1x1", rectangle(1, 1)}, // the least
		{"0.001x1 m", rectangle(1, 1000)},
		{"120x40 m", rectangle(120e3, 40e3)},
		{"120x1 m", rectangle(120e3, 1e3)}, // long for a section, and yet a slab's edge
		{"40x0.03 m", rectangle(40e3, 30)},
		{"300x300x0.25 m", solid(300e3, 300e3, 250)},
	} {
		got := ParseSize(test.text)
		test.want.Text = clean(test.text)
		if got.Fault != nil || got != test.want {
			t.Errorf("ParseSize(%q) = %+v (%v), want %+v", test.text, got, got.Fault, test.want)
		}
	}
}

func TestParseSizeFaults(t *testing.T) {
	for _, test := range []struct{ text, hint string }{
		{"-", "leave the cell blank"},
		{"x", "a size, such as 600x300"},
		{"ø", "ø250"},
		{"mm", ""},
		{"600x", ""},
		{"x300", ""},
		{"600x300x", ""},
		{"600x300x100x50", "one, two or three numbers"},
		{"ø250x100x50", ""},
		{"600 300", "write an x"},
		{"600/300", "write an x"},
		{"600w x 300h", "across x high"},
		{"600 W x 300 H", "across x high"},
		{"0", "greater than zero"},
		{"600x0", "greater than zero"},
		{"0.6x0.3", "if it is metres, write 0.6x0.3 m"},
		{"ø0.25", "if it is metres, write ø0.25 m"},
		{"0.999", "too small for a size in millimetres"},
		{"600x0.5", "too small"},
		{"0.0004x0.3 m", "too small"},
		{"-600x300", "greater than zero"},
		{"600x-300", "greater than zero"},
		{"ø-250", "greater than zero"},
		{"600 mm x 0.3", "its unit"},
		{"0.6 m x 300", "its unit"},
		{"600x0.3 m", "its unit"},
		{"DN", ""},
		{"DN0", "greater than zero"},
		{"DN-50", ""},
		{"DN50 EN", ""},
		{"DN50 (EN 10255", ""},
		{"DN50 EN 10255:04", ""},
		{"600x300 EN 10255", ""},
		{"UB", "in full"},
		{"UB 406x178", "in full"},
		{"406x178 UB", "in full"},
		{"UB 406x178x60x1", ""},
		{"UB 0x178x60", "greater than zero"},
		{"HE 200", "which series"},
		{"HE 200 C", "which series"},
		{"600 mm x 300 UB 5", ""},
		{"1,200x600", "1200"},
		{"1 200x600", "1200"},
		{"62,5x30", "62.5"},
		{"1.2E+03x300", "scientific"},
		{"NaN", "a program wrote it"},
		{"£600", "currency"},
		{"６００x300", "another script or width"},
		{"12\"", "inches"},
		{"12 cm", "only mm and m"},
		{"10000001x1", "at most 10 km"},
		{"1x10001 m", "at most 10 km"},
		{"10001 m", "at most 10 km"},
		{"DN99999999", "at most 10 km"},
		{"UB 99999999x1x1", "at most 10 km"},
		{"600x300\x00", ""},
	} {
		got := ParseSize(test.text)
		wantFault(t, "Size", test.text, got.Fault, test.hint)
		got.Text, got.Fault = "", nil
		if got != (Size{}) {
			t.Errorf("ParseSize(%q) = %+v with a fault", test.text, got)
		}
	}
}
