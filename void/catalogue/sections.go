package catalogue

import (
	"math"
	"slices"
	"strconv"
	"strings"
)

// Section is a rolled steel section with two flanges.
//
// H is the true depth and B the true width over the flanges, which for UB, UC and HE A sections is not
// the number in the name. Tw is the thickness of the web, Tf of a flange, R the radius between them,
// all in mm. Mass is in kg/m, as the standard prints it.
type Section struct {
	Name               string
	H, B, Tw, Tf, R    float64
	Mass               float64
	Source, Provenance string
}

func ub(name string, h, b, tw, tf, r, mass float64) Section {
	return Section{name, h, b, tw, tf, r, mass, "EN 10365:2017 UB table (formerly BS 4-1:2005)", "confirmed: two tables of an open data set agree"}
}

func uc(name string, h, b, tw, tf, r, mass float64) Section {
	return Section{name, h, b, tw, tf, r, mass, "EN 10365:2017 UC table (formerly BS 4-1:2005)", "confirmed: two tables of an open data set agree"}
}

func ipe(name string, h, b, tw, tf, r, mass float64) Section {
	return Section{name, h, b, tw, tf, r, mass, "EN 10365:2017 IPE table (dimensions as Euronorm 19-57)", "confirmed: two open data sets agree"}
}

func he(name string, h, b, tw, tf, r, mass float64) Section {
	return Section{name, h, b, tw, tf, r, mass, "EN 10365:2017 HE table (dimensions as Euronorm 53-62)", "confirmed: two open data sets agree"}
}

// sections is the table, by family and in each by size. Depth and width of UB and UC are given to
// 0.1 mm: some published lists round them to whole millimetres.
var sections = []Section{
	he("HE 100 A", 96, 100, 5, 8, 12, 16.7),
	he("HE 120 A", 114, 120, 5, 8, 12, 19.9),
	he("HE 140 A", 133, 140, 5.5, 8.5, 12, 24.7),
	he("HE 160 A", 152, 160, 6, 9, 15, 30.4),
	he("HE 180 A", 171, 180, 6, 9.5, 15, 35.5),
	he("HE 200 A", 190, 200, 6.5, 10, 18, 42.3),
	he("HE 220 A", 210, 220, 7, 11, 18, 50.5),
	he("HE 240 A", 230, 240, 7.5, 12, 21, 60.3),
	he("HE 260 A", 250, 260, 7.5, 12.5, 24, 68.2),
	he("HE 280 A", 270, 280, 8, 13, 24, 76.4),
	he("HE 300 A", 290, 300, 8.5, 14, 27, 88.3),
	he("HE 320 A", 310, 300, 9, 15.5, 27, 97.6),
	he("HE 340 A", 330, 300, 9.5, 16.5, 27, 105),
	he("HE 360 A", 350, 300, 10, 17.5, 27, 112),
	he("HE 400 A", 390, 300, 11, 19, 27, 125),
	he("HE 100 B", 100, 100, 6, 10, 12, 20.4),
	he("HE 120 B", 120, 120, 6.5, 11, 12, 26.7),
	he("HE 140 B", 140, 140, 7, 12, 12, 33.7),
	he("HE 160 B", 160, 160, 8, 13, 15, 42.6),
	he("HE 180 B", 180, 180, 8.5, 14, 15, 51.2),
	he("HE 200 B", 200, 200, 9, 15, 18, 61.3),
	he("HE 220 B", 220, 220, 9.5, 16, 18, 71.5),
	he("HE 240 B", 240, 240, 10, 17, 21, 83.2),
	he("HE 260 B", 260, 260, 10, 17.5, 24, 93),
	he("HE 280 B", 280, 280, 10.5, 18, 24, 103),
	he("HE 300 B", 300, 300, 11, 19, 27, 117),
	he("HE 320 B", 320, 300, 11.5, 20.5, 27, 127),
	he("HE 340 B", 340, 300, 12, 21.5, 27, 134),
	he("HE 360 B", 360, 300, 12.5, 22.5, 27, 142),
	he("HE 400 B", 400, 300, 13.5, 24, 27, 155),
	ipe("IPE 100", 100, 55, 4.1, 5.7, 7, 8.1),
	ipe("IPE 120", 120, 64, 4.4, 6.3, 7, 10.4),
	ipe("IPE 140", 140, 73, 4.7, 6.9, 7, 12.9),
	ipe("IPE 160", 160, 82, 5, 7.4, 9, 15.8),
	ipe("IPE 180", 180, 91, 5.3, 8, 9, 18.8),
	ipe("IPE 200", 200, 100, 5.6, 8.5, 12, 22.4),
	ipe("IPE 220", 220, 110, 5.9, 9.2, 12, 26.2),
	ipe("IPE 240", 240, 120, 6.2, 9.8, 15, 30.7),
	ipe("IPE 270", 270, 135, 6.6, 10.2, 15, 36.1),
	ipe("IPE 300", 300, 150, 7.1, 10.7, 15, 42.2),
	ipe("IPE 330", 330, 160, 7.5, 11.5, 18, 49.1),
	ipe("IPE 360", 360, 170, 8, 12.7, 18, 57.1),
	ipe("IPE 400", 400, 180, 8.6, 13.5, 21, 66.3),
	ipe("IPE 450", 450, 190, 9.4, 14.6, 21, 77.6),
	ipe("IPE 500", 500, 200, 10.2, 16, 21, 90.7),
	ipe("IPE 550", 550, 210, 11.1, 17.2, 24, 106),
	ipe("IPE 600", 600, 220, 12, 19, 24, 122),
	ub("UB 203x102x23", 203.2, 101.8, 5.4, 9.3, 7.6, 23.1),
	ub("UB 203x133x25", 203.2, 133.2, 5.7, 7.8, 7.6, 25.1),
	ub("UB 203x133x30", 206.8, 133.9, 6.4, 9.6, 7.6, 30),
	ub("UB 254x102x22", 254, 101.6, 5.7, 6.8, 7.6, 22),
	ub("UB 254x102x25", 257.2, 101.9, 6, 8.4, 7.6, 25.2),
	ub("UB 254x146x31", 251.4, 146.1, 6, 8.6, 7.6, 31.1),
	ub("UB 254x146x37", 256, 146.4, 6.3, 10.9, 7.6, 37),
	ub("UB 305x102x25", 305.1, 101.6, 5.8, 7, 7.6, 24.8),
	ub("UB 305x102x28", 308.7, 101.8, 6, 8.8, 7.6, 28.2),
	ub("UB 305x127x37", 304.4, 123.4, 7.1, 10.7, 8.9, 37),
	ub("UB 305x165x40", 303.4, 165, 6, 10.2, 8.9, 40.3),
	ub("UB 305x165x46", 306.6, 165.7, 6.7, 11.8, 8.9, 46.1),
	ub("UB 305x165x54", 310.4, 166.9, 7.9, 13.7, 8.9, 54),
	ub("UB 356x127x33", 349, 125.4, 6, 8.5, 10.2, 33.1),
	ub("UB 356x171x45", 351.4, 171.1, 7, 9.7, 10.2, 45),
	ub("UB 356x171x51", 355, 171.5, 7.4, 11.5, 10.2, 51),
	ub("UB 356x171x67", 363.4, 173.2, 9.1, 15.7, 10.2, 67.1),
	ub("UB 406x140x39", 398, 141.8, 6.4, 8.6, 10.2, 39),
	ub("UB 406x140x46", 403.2, 142.2, 6.8, 11.2, 10.2, 46),
	ub("UB 406x178x54", 402.6, 177.7, 7.7, 10.9, 10.2, 54.1),
	ub("UB 406x178x60", 406.4, 177.9, 7.9, 12.8, 10.2, 60.1),
	ub("UB 406x178x74", 412.8, 179.5, 9.5, 16, 10.2, 74.2),
	ub("UB 457x152x52", 449.8, 152.4, 7.6, 10.9, 10.2, 52.3),
	ub("UB 457x152x60", 454.6, 152.9, 8.1, 13.3, 10.2, 59.8),
	ub("UB 457x191x67", 453.4, 189.9, 8.5, 12.7, 10.2, 67.1),
	ub("UB 457x191x74", 457, 190.4, 9, 14.5, 10.2, 74.3),
	ub("UB 457x191x82", 460, 191.3, 9.9, 16, 10.2, 82),
	ub("UB 457x191x98", 467.2, 192.8, 11.4, 19.6, 10.2, 98.3),
	ub("UB 533x210x82", 528.3, 208.8, 9.6, 13.2, 12.7, 82.2),
	ub("UB 533x210x92", 533.1, 209.3, 10.1, 15.6, 12.7, 92.1),
	ub("UB 533x210x101", 536.7, 210, 10.8, 17.4, 12.7, 101),
	ub("UB 533x210x122", 544.5, 211.9, 12.7, 21.3, 12.7, 122),
	ub("UB 610x229x101", 602.6, 227.6, 10.5, 14.8, 12.7, 101.2),
	ub("UB 610x229x113", 607.6, 228.2, 11.1, 17.3, 12.7, 113),
	ub("UB 610x229x125", 612.2, 229, 11.9, 19.6, 12.7, 125.1),
	ub("UB 610x305x149", 612.4, 304.8, 11.8, 19.7, 16.5, 149.2),
	ub("UB 610x305x179", 620.2, 307.1, 14.1, 23.6, 16.5, 179),
	ub("UB 686x254x125", 677.9, 253, 11.7, 16.2, 15.2, 125.2),
	ub("UB 762x267x147", 754, 265.2, 12.8, 17.5, 16.5, 146.9),
	ub("UB 838x292x176", 834.9, 291.7, 14, 18.8, 17.8, 175.9),
	ub("UB 914x305x201", 903, 303.3, 15.1, 20.2, 19.1, 200.9),
	uc("UC 152x152x23", 152.4, 152.2, 5.8, 6.8, 7.6, 23),
	uc("UC 152x152x30", 157.6, 152.9, 6.5, 9.4, 7.6, 30),
	uc("UC 152x152x37", 161.8, 154.4, 8, 11.5, 7.6, 37),
	uc("UC 203x203x46", 203.2, 203.6, 7.2, 11, 10.2, 46.1),
	uc("UC 203x203x52", 206.2, 204.3, 7.9, 12.5, 10.2, 52),
	uc("UC 203x203x60", 209.6, 205.8, 9.4, 14.2, 10.2, 60),
	uc("UC 203x203x71", 215.8, 206.4, 10, 17.3, 10.2, 71),
	uc("UC 203x203x86", 222.2, 209.1, 12.7, 20.5, 10.2, 86.1),
	uc("UC 254x254x73", 254.1, 254.6, 8.6, 14.2, 12.7, 73.1),
	uc("UC 254x254x89", 260.3, 256.3, 10.3, 17.3, 12.7, 88.9),
	uc("UC 254x254x107", 266.7, 258.8, 12.8, 20.5, 12.7, 107.1),
	uc("UC 254x254x132", 276.3, 261.3, 15.3, 25.3, 12.7, 132),
	uc("UC 305x305x97", 307.9, 305.3, 9.9, 15.4, 15.2, 96.9),
	uc("UC 305x305x118", 314.5, 307.4, 12, 18.7, 15.2, 117.9),
	uc("UC 305x305x137", 320.5, 309.2, 13.8, 21.7, 15.2, 136.9),
	uc("UC 305x305x158", 327.1, 311.2, 15.8, 25, 15.2, 158.1),
	uc("UC 356x368x129", 355.6, 368.6, 10.4, 17.5, 15.2, 129),
}

// sectionByKey finds a section by the key of its name.
var sectionByKey = func() map[string]int {
	m := make(map[string]int, len(sections))
	for i, s := range sections {
		key, _ := sectionKey(s.Name)
		m[key.String()] = i
	}
	return m
}()

// Sections returns a copy of the table, by family (HE A, HE B, IPE, UB, UC) and in each by size.
func Sections() []Section { return slices.Clone(sections) }

// SectionByName finds a section by its name as drawings write it: "UB 406x178x60", "UB406x178x60",
// "406x178x60UB", "406 x 178 UB 60", "HEA 200", "HE 200 A", "HE200A", "IPE-300". The family must be
// there: 203x203x46 alone is a size like any other.
func SectionByName(name string) (Section, bool) {
	key, ok := sectionKey(name)
	if !ok {
		return Section{}, false
	}
	i, ok := sectionByKey[key.String()]
	if !ok {
		return Section{}, false
	}
	return sections[i], true
}

// NearestSection returns the name of the section that was probably meant by a name that the table
// does not hold, for a hint. Of the same family and serial size the nearest in mass; of a family
// that goes by depth alone the nearest within a quarter; else the nearest spelling. It returns
// false where nothing is near.
func NearestSection(name string) (string, bool) {
	key, ok := sectionKey(name)
	if ok {
		best, least := -1, math.Inf(1)
		for i, s := range sections {
			k, _ := sectionKey(s.Name)
			if k.family != key.family || !slices.Equal(k.serial(), key.serial()) {
				continue
			}
			d := math.Abs(k.last() - key.last())
			if len(k.numbers) == 1 && d > k.last()/4 {
				continue
			}
			if d < least {
				best, least = i, d
			}
		}
		if best >= 0 {
			return sections[best].Name, true
		}
	}
	names := make([]string, len(sections))
	for i, s := range sections {
		k, _ := sectionKey(s.Name)
		names[i] = k.String()
	}
	i, ok := nearest(squeeze(name), names)
	if !ok {
		return "", false
	}
	return sections[i].Name, true
}

// key is a section's name taken apart: its family and the numbers in their order.
type key struct {
	family  string
	numbers []int
}

// String returns the one way of writing the key, "ub406x178x60".
func (k key) String() string {
	var b strings.Builder
	b.WriteString(k.family)
	for i, n := range k.numbers {
		if i > 0 {
			b.WriteByte('x')
		}
		b.WriteString(strconv.Itoa(n))
	}
	return b.String()
}

func (k key) serial() []int { return k.numbers[:len(k.numbers)-1] }
func (k key) last() float64 { return float64(k.numbers[len(k.numbers)-1]) }

// families are the spellings of the families in the table and how many numbers a name of each has.
// UKB and UKC stand on newer British drawings for the same shapes.
var families = map[string]struct {
	is      string
	numbers int
}{
	"ub": {"ub", 3}, "ukb": {"ub", 3}, "universalbeam": {"ub", 3},
	"uc": {"uc", 3}, "ukc": {"uc", 3}, "universalcolumn": {"uc", 3},
	"ipe": {"ipe", 1},
	"hea": {"hea", 1}, "heb": {"heb", 1},
}

// sectionKey takes a name apart: its letters, wherever they stand, make the family; an x, a cross or a
// star between numbers parts them; blanks, hyphens and underscores say nothing, except that digits
// on either side of one are two numbers. A trailing "kg" or "kg/m" is dropped.
func sectionKey(name string) (key, bool) {
	s := strings.ToLower(strings.TrimSpace(name))
	s = strings.TrimSpace(strings.TrimSuffix(s, "/m"))
	s = strings.TrimSpace(strings.TrimSuffix(s, "kg"))
	var letters strings.Builder
	var k key
	number, inNumber, cross := 0, false, false
	end := func() {
		if inNumber {
			k.numbers = append(k.numbers, number)
		}
		number, inNumber = 0, false
	}
	for _, r := range s {
		switch {
		case r >= '0' && r <= '9':
			number, inNumber, cross = number*10+int(r-'0'), true, false
			if number > 1e6 {
				return key{}, false
			}
		case r == ' ' || r == '-' || r == '_' || r == '\t' || r == '\u00a0':
			end()
		case r == 'x' || r == '×' || r == '*':
			end()
			if cross || len(k.numbers) == 0 {
				return key{}, false
			}
			cross = true
		case r >= 'a' && r <= 'z':
			end()
			letters.WriteRune(r)
		default:
			return key{}, false
		}
	}
	end()
	f, ok := families[letters.String()]
	if !ok || cross || len(k.numbers) != f.numbers {
		return key{}, false
	}
	k.family = f.is
	return k, true
}
