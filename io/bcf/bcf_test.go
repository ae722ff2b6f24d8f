package bcf

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
	"github.com/google/go-cmp/cmp"

	"voidline/clash/finding"
	"voidline/clash/register"
	"voidline/void"
	"voidline/void/cell"
)

func to[T any](v T) *T { return &v }

const idA, idB = "abcdefghijkl", "zzzzzzz22222"

// png is the smallest thing that begins as one.
var png = append([]byte(nil), "\x89PNG\r\n\x1a\n...."...)

// example is a package with everything in it, and names that a writer must not trust.
func example() *Package {
	hard := finding.Finding{
		ID: idA, Kind: finding.Overlap, A: "<script>alert(1)</script>&\x01", B: to("Tŷ 管"), ATrade: "duct & co", BTrade: "=1+1", ARow: "d.csv:2", BRow: "p.csv:3",
		Bay: to("A-B/1-2"), Storey: "Łódź", At: finding.Spot{X: 1200, Y: -3500.5, Z: 6700, Level: 2700, Where: "B+1200, grid 2"}, Depth: &finding.Depth{Vertical: 35.9, Sideways: to(3.2)},
		Asked: 25, Short: 60.9, Side: cell.Around, Rule: "r\nr", Basis: "geometry", GivesWay: "Tŷ 管", Moves: []finding.Move{{Zone: "Tŷ 管", Direction: "up", By: 60.9}},
		Note: strings.Repeat("long ", 60), ByHeight: true,
	}
	plain := finding.Finding{ID: idB, Kind: finding.Access, A: "VD-1", ATrade: "ductwork", ARow: "d.csv:9", Rule: "hatch", Basis: "practice", Short: 340}
	p := &Package{Project: "Tŷ & Łódź", Date: "2026-03-09"}
	t := TopicOf(&hard, &register.Entry{State: register.Agreed, First: "2026-03-02", Last: "2026-03-09", Due: "2026-03-16", Owner: "J. Nowak", Reason: "a < b"})
	t.Comments = []Comment{{On: "2026-03-03", Author: "A. Bell", Text: "moved & up"}}
	t.View = &View{
		At: r3.Vector{X: 1200, Y: -3500.5, Z: 6700}, Look: r2.Point{X: 0.6, Y: 0.8}, High: 2000, Wide: 3000, Deep: 1000,
		Components: []Component{{Zone: "<&", IfcGUID: "0000000000000000000001"}, {IfcGUID: "3$_zzzzzzzzzzzzzzzzzzz"}},
	}
	t.Snapshot = png
	p.Topics = []Topic{t, TopicOf(&plain, nil)}
	return p
}

func written(t *testing.T, p *Package, v Version) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, p, v); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func files(t *testing.T, data []byte) map[string]string {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	for _, f := range z.File {
		in, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		b, err := io.ReadAll(in)
		if err != nil {
			t.Fatal(err)
		}
		out[f.Name] = string(b)
	}
	return out
}

// standards finds the schemas beside the repository; "" where they are not.
func standards() string {
	dir, err := filepath.Abs(".")
	if err != nil {
		return ""
	}
	for {
		s := filepath.Join(dir, "..", "shared", "standards")
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			if _, err := os.Stat(s); err == nil {
				return s
			}
			return ""
		}
		up := filepath.Dir(dir)
		if up == dir {
			return ""
		}
		dir = up
	}
}

// TestSchemas has every document judged by xmllint against the schemas of the standard (buildingSMART, BCF 3.0
// and 2.1), which stand beside the repository.
func TestSchemas(t *testing.T) {
	skip := t.Skipf
	if os.Getenv("VOIDLINE_REQUIRE") == "1" {
		skip = t.Fatalf
	}
	dir := standards()
	if dir == "" {
		skip("../shared/standards is not there: the documents are not judged by the schemas")
	}
	lint, err := exec.LookPath("xmllint")
	if err != nil {
		skip("xmllint is not there (Debian: libxml2-utils): the documents are not judged by the schemas")
	}
	bare := &Package{Date: "2026-03-09", Topics: []Topic{{ID: idA}}}
	n := 0
	for _, p := range []*Package{example(), bare, {Date: "2026-03-09", Project: "empty"}} {
		for _, v := range []Version{V30, V21} {
			for name, text := range files(t, written(t, p, v)) {
				schema := map[string]string{
					"bcf.version": "version.xsd", "project.bcfp": "project.xsd", "extensions.xml": "extensions.xsd",
					"markup.bcf": "markup.xsd", "viewpoint.bcfv": "visinfo.xsd", "snapshot.png": "-",
				}[filepath.Base(name)]
				if schema == "" {
					t.Errorf("%s: no schema for it", name)
				}
				if schema == "" || schema == "-" {
					continue
				}
				cmd := exec.Command(lint, "--noout", "--nonet", "--schema", filepath.Join(dir, "bcf-"+string(v), schema), "-")
				cmd.Stdin = strings.NewReader(text)
				if out, err := cmd.CombinedOutput(); err != nil {
					t.Errorf("%s, %s: %v\n%s\n%s", v, name, err, out, text)
				}
				n++
			}
		}
	}
	t.Logf("%d documents are valid", n)
	// The judge must be able to say no.
	cmd := exec.Command(lint, "--noout", "--nonet", "--schema", filepath.Join(dir, "bcf-3.0", "markup.xsd"), "-")
	cmd.Stdin = strings.NewReader(`<Markup><Topic Guid="x"/></Markup>`)
	if err := cmd.Run(); err == nil {
		t.Error("xmllint takes a document that is none")
	}
}

// TestVersion: a file says its version, in 2.1 at length, too.
func TestVersion(t *testing.T) {
	for v, want := range map[Version]string{V30: `<Version VersionId="3.0"/>`, V21: `<DetailedVersion>2.1</DetailedVersion>`} {
		if text := files(t, written(t, example(), v))["bcf.version"]; !strings.Contains(text, want) {
			t.Errorf("%s: %s, want %s in it", v, text, want)
		}
	}
}

func TestSameBytes(t *testing.T) {
	for _, v := range []Version{V30, V21} {
		if !bytes.Equal(written(t, example(), v), written(t, example(), v)) {
			t.Errorf("%s: two files of one package differ", v)
		}
	}
}

// The schemas allow no blank text: what is blank, or blanks alone, is left out.
func TestNothingBlankIsWritten(t *testing.T) {
	blank := regexp.MustCompile(`<(\w+)[^<>/]*>\s*</(\w+)>`)
	for _, v := range []Version{V30, V21} {
		for _, text := range []string{"", " ", "\t \n"} {
			p := example()
			p.Project = text
			for i := range p.Topics {
				p.Topics[i].AssignedTo, p.Topics[i].Description = text, text
			}
			for name, doc := range files(t, written(t, p, v)) {
				if m := blank.FindString(doc); strings.Contains(name, ".") && !strings.HasSuffix(name, ".png") && m != "" {
					t.Errorf("%v with %q, %s: %s", v, text, name, m)
				}
			}
		}
	}
}

func TestNames(t *testing.T) {
	folder := topicGUID(idA) + "/"
	want := []string{"bcf.version", "extensions.xml", folder + "markup.bcf", folder + "snapshot.png", folder + "viewpoint.bcfv", "project.bcfp", topicGUID(idB) + "/markup.bcf"}
	var got []string
	for name := range files(t, written(t, example(), V30)) {
		got = append(got, name)
	}
	slices.Sort(got)
	slices.Sort(want)
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("files (-want +got):\n%s", d)
	}
}

// TestGUID takes the example of RFC 9562, appendix A.4: the name www.example.com in the namespace of DNS.
func TestGUID(t *testing.T) {
	dns := [16]byte{0x6b, 0xa7, 0xb8, 0x10, 0x9d, 0xad, 0x11, 0xd1, 0x80, 0xb4, 0x00, 0xc0, 0x4f, 0xd4, 0x30, 0xc8}
	if got, want := text(uuid5(dns, "www.example.com")), "2ed6657d-e927-568b-95e1-2665a8aea6a2"; got != want {
		t.Errorf("uuid5 = %s, want %s", got, want)
	}
	// A topic's GUID must stay what it is from version to version: files are out with it.
	if got, want := topicGUID(idA), "0ab07fc2-fea5-5859-a26e-3a7b9279ff49"; got != want {
		t.Errorf("TopicGUID(%s) = %s, want %s", idA, got, want)
	}
	if topicGUID(idA) == topicGUID(idB) || topicGUID(idA) == guid("viewpoint", idA) {
		t.Error("two things have one GUID")
	}
}

// A topic's guid is 32 digits in small letters with hyphens behind the 8th, 12th, 16th and 20th.
func TestIsGUID(t *testing.T) {
	const good = "09afbc1d-0123-4567-89ab-cdef01234567"
	if !isGUID(good) {
		t.Errorf("%s is one", good)
	}
	for i := range good {
		for _, sign := range "/:`gF-0" {
			text := good[:i] + string(sign) + good[i+1:]
			if hyphen := good[i] == '-'; isGUID(text) != (hyphen && sign == '-' || !hyphen && sign == '0') {
				t.Errorf("isGUID(%s) = %v", text, isGUID(text))
			}
		}
	}
	for _, text := range []string{"", good[1:], good + "0"} {
		if isGUID(text) {
			t.Errorf("%q is none", text)
		}
	}
}

// TestStrangeGUIDs: of four rows the second and the fourth name something that is no GUID; the first has none, the third a good one.
func TestStrangeGUIDs(t *testing.T) {
	p := void.New("p", []string{"bays.csv", "containment.csv"})
	set := func(c interface{ UnmarshalCSV(string) error }, text string) {
		if err := c.UnmarshalCSV(text); err != nil {
			t.Fatal(err)
		}
	}
	var b void.BayRow
	set(&b.Bay, "B1")
	set(&b.X1, "0")
	set(&b.Y1, "0")
	set(&b.X2, "9000")
	set(&b.Y2, "9000")
	set(&b.Soffit, "3600")
	set(&b.Ceiling, "2700")
	set(&b.CeilingGUID, "tiles")
	set(&b.SoffitGUID, "0000000000000000000001")
	b.At.Line = 2
	p.AddBay(b)
	for i, guid := range []string{"", "my own", "00000000-0000-0000-0000-000000000001", "7"} {
		var z void.ZoneRow
		z.At = void.At{File: 1, Line: int32(i + 2)}
		set(&z.ID, fmt.Sprint("T-", i))
		set(&z.GUID, guid)
		set(&z.X1, "1000")
		set(&z.Y1, "1000")
		set(&z.X2, "8000")
		set(&z.Y2, "1000")
		set(&z.Size, "300x60")
		set(&z.Level, fmt.Sprint(2800+100*i))
		p.AddZone("containment.csv", &z)
	}
	p.Resolve()
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	var got []string
	for _, n := range StrangeGUIDs(p) {
		got = append(got, fmt.Sprintf("%s:%d %s", n.File, n.Line, n.What))
	}
	want := []string{
		`bays.csv:2 guid of ceiling B1: "tiles" is no GUID: it is left out of the exchange file`,
		`containment.csv:3 guid of T-1: "my own" is no GUID: it is left out of the exchange file`,
		`containment.csv:5 guid of T-3: "7" is no GUID: it is left out of the exchange file`,
	}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestIfcGUID(t *testing.T) {
	for _, test := range []struct {
		text, want string
	}{
		{"0000000000000000000001", "0000000000000000000001"},
		{" 3$_zzzzzzzzzzzzzzzzzzz ", "3$_zzzzzzzzzzzzzzzzzzz"},
		{"4000000000000000000000", ""}, // more than 128 bits
		{"00000000-0000-0000-0000-000000000001", "0000000000000000000001"},
		{"{FFFFFFFF-FFFF-FFFF-FFFF-FFFFFFFFFFFF}", "3$$$$$$$$$$$$$$$$$$$$$"},
		{"00000000-0000-0000-0000-00000000003f", "000000000000000000000$"},
		{"01000000000000000000000000000000", "01" + strings.Repeat("0", 20)}, // its first byte is 2 bits and 6
		{"", ""},
		{"0", ""},
		{"000000000000000000000-", ""},
		{"g0000000-0000-0000-0000-000000000000", ""},
		{"0123456789abcdef0123456789abcdef0123", ""}, // 36 digits without a hyphen are 18 bytes
		{"0000000000000000-0000000000000001", ""},    // 32 digits and one hyphen
		{"000000000000000000000000000000g0", ""},     // 15 bytes, then no digit
	} {
		if got, ok := ifcGUID(test.text); got != test.want || ok != (test.want != "") {
			t.Errorf("IfcGUID(%q) = %q, %v, want %q", test.text, got, ok, test.want)
		}
	}
}

// TestView reads the numbers of the view back: metres, the section at the place, the camera on the side that is
// cut away.
func TestView(t *testing.T) {
	text := files(t, written(t, example(), V30))[topicGUID(idA)+"/viewpoint.bcfv"]
	r := &reader{}
	n := r.parse("v", []byte(text))
	point := func(path ...string) [3]string {
		at := n
		for _, p := range path {
			k := 0
			if p == "ClippingPlane 2" {
				p, k = "ClippingPlane", 1
			}
			for _, c := range at.kids {
				if c.name == p {
					if k == 0 {
						at = c
						break
					}
					k--
				}
			}
		}
		return [3]string{at.kid("X").said(), at.kid("Y").said(), at.kid("Z").said()}
	}
	for _, test := range []struct {
		path []string
		want [3]string
	}{
		{[]string{"OrthogonalCamera", "CameraViewPoint"}, [3]string{"0", "-5.1005", "6.7"}}, // 1.2 - 0.6 x 2, -3.5005 - 0.8 x 2
		{[]string{"OrthogonalCamera", "CameraDirection"}, [3]string{"0.6", "0.8", "0"}},
		{[]string{"OrthogonalCamera", "CameraUpVector"}, [3]string{"0", "0", "1"}},
		{[]string{"ClippingPlanes", "ClippingPlane", "Location"}, [3]string{"1.2", "-3.5005", "6.7"}},
		{[]string{"ClippingPlanes", "ClippingPlane", "Direction"}, [3]string{"-0.6", "-0.8", "0"}},
		{[]string{"ClippingPlanes", "ClippingPlane 2", "Location"}, [3]string{"1.8", "-2.7005", "6.7"}}, // 1 m behind
		{[]string{"ClippingPlanes", "ClippingPlane 2", "Direction"}, [3]string{"0.6", "0.8", "0"}},
	} {
		if got := point(test.path...); got != test.want {
			t.Errorf("%v is %v, want %v", test.path, got, test.want)
		}
	}
	camera := n.kid("OrthogonalCamera")
	if h, a := camera.kid("ViewToWorldScale").said(), camera.kid("AspectRatio").said(); h != "2" || a != "1.5" {
		t.Errorf("high %s, wide to high %s, want 2 and 1.5", h, a)
	}
	var chosen []string
	for _, c := range n.kid("Components").kid("Selection").kids {
		g, _ := c.attr("IfcGuid")
		chosen = append(chosen, g)
	}
	if want := []string{"0000000000000000000001", "3$_zzzzzzzzzzzzzzzzzzz"}; !slices.Equal(chosen, want) {
		t.Errorf("components %v, want %v", chosen, want)
	}
}

func TestViewOf(t *testing.T) {
	p := void.New("p", []string{"bays.csv", "t.csv"})
	word := func(s string) cell.Word { return cell.Word{Text: s} }
	place := func(mm float64) cell.Place { return cell.Place{Text: "x", MM: mm} }
	var bay void.BayRow
	bay.Bay, bay.X1, bay.Y1, bay.X2, bay.Y2 = word("B1"), place(0), place(0), place(9000), place(9000)
	bay.GUID, bay.CeilingGUID, bay.SoffitGUID = word("0000000000000000000r01"), word("0000000000000000000c01"), word("0000000000000000000x01")
	var err error
	if err = bay.Soffit.UnmarshalCSV("3600"); err != nil {
		t.Fatal(err)
	}
	if err = bay.Ceiling.UnmarshalCSV("2700"); err != nil {
		t.Fatal(err)
	}
	p.AddBay(bay)
	row := func(id, guid string, x1, y1, x2, y2 float64) {
		var z void.ZoneRow
		z.At.File = 1
		z.ID, z.GUID = word(id), word(guid)
		z.X1, z.Y1, z.X2, z.Y2 = place(x1), place(y1), place(x2), place(y2)
		for c, text := range map[interface{ UnmarshalCSV(string) error }]string{&z.Size: "300x60", &z.Level: "3000"} {
			if err := c.UnmarshalCSV(text); err != nil {
				t.Fatal(err)
			}
		}
		p.AddZone("containment.csv", &z)
	}
	row("T-1", "00000000-0000-0000-0000-000000000001", 8000, 4000, 1000, 4000) // westwards
	row("T-2", "my own", 4000, 8000, 4000, 1000)                               // southwards
	// A column 10 m high is five times what is seen at the least: it sets the size of no picture.
	var c void.ZoneRow
	c.At.File = 1
	c.ID, c.Kind = word("C-1"), word("column")
	c.X1, c.Y1 = place(6000), place(6000)
	for cell, text := range map[interface{ UnmarshalCSV(string) error }]string{&c.Size: "200x200", &c.Level: "0..10001"} {
		if err := cell.UnmarshalCSV(text); err != nil {
			t.Fatal(err)
		}
	}
	p.AddZone("steel.csv", &c)
	p.Resolve()
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	at := finding.Spot{X: 4000, Y: 4000, Z: 3030}
	for _, test := range []struct {
		a    string
		b    *string
		look r2.Point
		n    int
	}{
		{"T-1", to("T-2"), r2.Point{X: 1}, 1},        // east: square to the first
		{"T-2", to("T-1"), r2.Point{Y: 1}, 1},        // north
		{"ceiling B1", to("T-1"), r2.Point{X: 1}, 2}, // what bays.csv names as its ceiling
		{"ceiling B1", nil, r2.Point{Y: 1}, 1},
		{"T-2", to("ceiling B1"), r2.Point{Y: 1}, 1},
		{"T-2", to("soffit B1"), r2.Point{Y: 1}, 1},
		{"T-2", to("ceiling B2"), r2.Point{Y: 1}, 0},
		{"C-1", to("T-1"), r2.Point{X: 1}, 1},
	} {
		v := ViewOf(p, &finding.Finding{ID: idA, Kind: finding.Tight, A: test.a, B: test.b, At: at})
		if v.Look.Sub(test.look).Norm() > 1e-9 || len(v.Components) != test.n || v.High != least || v.At != (r3.Vector{X: 4000, Y: 4000, Z: 3030}) {
			t.Errorf("ViewOf(%s) = %+v, want to look %v with %d components", test.a, v, test.look, test.n)
		}
		for _, c := range v.Components {
			if want := map[string]string{"T-1": "0000000000000000000001", "ceiling B1": "0000000000000000000c01", "soffit B1": "0000000000000000000x01"}[c.Zone]; c.IfcGUID != want {
				t.Errorf("ViewOf(%s): %s is %s, want %s", test.a, c.Zone, c.IfcGUID, want)
			}
		}
	}
}

func TestWriteRefuses(t *testing.T) {
	for _, test := range []struct {
		name string
		do   func(p *Package)
		v    Version
		want error
	}{
		{"version", func(*Package) {}, "2.0", ErrVersion},
		{"no date", func(p *Package) { p.Date = "" }, V30, ErrTopic},
		{"no id", func(p *Package) { p.Topics[0].ID = "M-1" }, V30, ErrTopic},
		{"one id twice", func(p *Package) { p.Topics[1].ID = idA }, V30, ErrTopic},
		{"due", func(p *Package) { p.Topics[0].Due = "soon" }, V30, ErrTopic},
		{"comment on no day", func(p *Package) { p.Topics[0].Comments[0].On = "soon" }, V30, ErrTopic},
		{"picture", func(p *Package) { p.Topics[0].Snapshot = []byte("GIF89a") }, V21, ErrTopic},
		{"no size", func(p *Package) { p.Topics[0].View.High = 0 }, V30, ErrTopic},
		{"no direction", func(p *Package) { p.Topics[0].View.Look = r2.Point{} }, V30, ErrTopic},
	} {
		p := example()
		test.do(p)
		var b bytes.Buffer
		if err := Write(&b, p, test.v); !errors.Is(err, test.want) || b.Len() > 0 {
			t.Errorf("%s: %v, %d bytes written", test.name, err, b.Len())
		}
	}
}

func TestReadBack(t *testing.T) {
	for _, v := range []Version{V30, V21} {
		data := written(t, example(), v)
		p, problems, told := Read("week.bcf", bytes.NewReader(data), int64(len(data)))
		if len(problems)+len(told) > 0 {
			t.Errorf("%s: %v, told %v", v, problems, told)
			continue
		}
		want := example()
		for i := range want.Topics {
			w := &want.Topics[i]
			w.GUID, w.ID, w.View, w.Snapshot = topicGUID(w.ID), "", nil, nil
			if w.Created == "" {
				w.Created = want.Date
			}
			for j := range w.Comments {
				w.Comments[j].GUID = w.Comments[j].guid(idA)
			}
			if w.AssignedTo == "" {
				t.Fatal("nobody assigned")
			}
		}
		want.Version = v
		want.Date = ""
		slices.SortFunc(want.Topics, func(a, b Topic) int { return strings.Compare(a.GUID, b.GUID) })
		if d := cmp.Diff(want, p); d != "" {
			t.Errorf("%s (-want +got):\n%s", v, d)
		}
		answers, strange := p.Answers("week.bcf", []string{idA, idB})
		if len(strange) > 0 || len(answers) != 2 {
			t.Errorf("%s: answers %v, told %v", v, answers, strange)
		}
		for _, a := range answers {
			if len(a.Notes) > 0 {
				t.Errorf("%s: a comment of our own came home: %v", v, a)
			}
		}
	}
}

// packed makes a zip of names and texts.
func packed(t *testing.T, pairs ...string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := 0; i+1 < len(pairs); i += 2 {
		w, err := z.Create(pairs[i])
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.WriteString(w, pairs[i+1]); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

const is30 = `<Version VersionId="3.0"/>`

// markupOf is a topic as another program may write it.
func markupOf(inside string) string {
	return `<?xml version="1.0"?><Markup xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"><Topic Guid="` + strings.ToUpper(topicGUID(idA)) +
		`" TopicType="x" TopicStatus="Closed">` + inside + `</Topic></Markup>`
}

// zip64 packs files, stored, with every size and place in the 64-bit fields (APPNOTE of the zip format, 4.3.14, 4.3.15 and
// 4.5.3), as programs do that do not know beforehand how large a file will be.
func zip64(pairs ...string) []byte {
	var b, dir bytes.Buffer
	le := binary.LittleEndian
	put := func(w *bytes.Buffer, vs ...any) {
		for _, v := range vs {
			_ = binary.Write(w, le, v) // a bytes.Buffer takes all
		}
	}
	n := uint64(0)
	for i := 0; i+1 < len(pairs); i += 2 {
		name, data := pairs[i], pairs[i+1]
		at, size, sum := uint64(b.Len()), uint64(len(data)), crc32.ChecksumIEEE([]byte(data))
		put(&b, uint32(0x04034b50), uint16(45), uint16(0), uint16(0), uint32(0x21<<16), sum, uint32(0xffffffff), uint32(0xffffffff),
			uint16(len(name)), uint16(20), []byte(name), uint16(1), uint16(16), size, size, []byte(data))
		put(&dir, uint32(0x02014b50), uint16(45), uint16(45), uint16(0), uint16(0), uint32(0x21<<16), sum, uint32(0xffffffff), uint32(0xffffffff),
			uint16(len(name)), uint16(28), uint16(0), uint16(0), uint16(0), uint32(0), uint32(0xffffffff), []byte(name), uint16(1), uint16(24), size, size, at)
		n++
	}
	at, size := uint64(b.Len()), uint64(dir.Len())
	b.Write(dir.Bytes())
	end := uint64(b.Len())
	put(&b, uint32(0x06064b50), uint64(44), uint16(45), uint16(45), uint32(0), uint32(0), n, n, size, at)
	put(&b, uint32(0x07064b50), uint32(0), end, uint32(1))
	put(&b, uint32(0x06054b50), uint16(0), uint16(0), uint16(0xffff), uint16(0xffff), uint32(0xffffffff), uint32(0xffffffff), uint16(0))
	return b.Bytes()
}

// wide writes a text as UTF-16.
func wide(s string, order binary.ByteOrder, mark bool) string {
	var b bytes.Buffer
	if mark {
		s = "\ufeff" + s
	}
	_ = binary.Write(&b, order, utf16.Encode([]rune(s))) // a bytes.Buffer takes all
	return b.String()
}

// TestOtherWriters reads one answer, a state and two comments, as programs may write it that are not ours.
func TestOtherWriters(t *testing.T) {
	folder := topicGUID(idA)
	const (
		v3 = `<Comments><Comment Guid="11111111-2222-3333-4444-555555555555"><Date>2026-03-10T08:30:00.1234567+01:00</Date><Author>Zoë</Author><Comment>Zażółć 風管</Comment><Viewpoint Guid="91111111-2222-3333-4444-555555555555"/></Comment>` +
			`<Comment Guid="21111111-2222-3333-4444-555555555555"><Date>2026-03-11T08:30:00Z</Date><Author>B</Author><Comment>two</Comment></Comment></Comments>`
		views = `<Viewpoints><ViewPoint Guid="91111111-2222-3333-4444-555555555555"><Viewpoint>a b.bcfv</Viewpoint></ViewPoint><ViewPoint Guid="a1111111-2222-3333-4444-555555555555"><Snapshot>s.png</Snapshot></ViewPoint></Viewpoints>`
	)
	topic := func(in string) string { return markupOf("<Title>Tŷ</Title>" + in) }
	utf8 := topic(v3 + views)
	said := strings.Replace(utf8, `version="1.0"`, `version="1.0" encoding="utf-16"`, 1)
	// 2.1 has comments and views beside the topic.
	flat := strings.NewReplacer("<Comments>", "", "</Comments>", "").Replace(v3)
	v21 := `<?xml version="1.0" encoding="UTF-8" standalone="yes"?><Markup><Header><File IfcProject="0000000000000000000001" isExternal="false"><Filename>a.ifc</Filename></File></Header><Topic Guid="` + folder +
		`" TopicStatus="Closed"><ReferenceLink>x</ReferenceLink><Title>Tŷ</Title><Priority>high</Priority><Labels>a</Labels><Labels>b</Labels></Topic>` + flat +
		`<Viewpoints Guid="91111111-2222-3333-4444-555555555555"><Viewpoint>v.bcfv</Viewpoint></Viewpoints><Viewpoints Guid="92111111-2222-3333-4444-555555555555"/></Markup>`
	prefixed := regexp.MustCompile(`<(/?)([A-Z])`).ReplaceAllString(strings.TrimPrefix(utf8, `<?xml version="1.0"?>`), "<${1}b:$2")
	prefixed = strings.Replace(prefixed, "<b:Markup ", `<!-- by another --><?proc x?><b:Markup xmlns:b="urn:x" xmlns:x="urn:y" x:of="1" `, 1)
	name := folder + "/markup.bcf"
	for _, test := range []struct {
		name string
		data []byte
		told []string // each is in what is told
	}{
		{"plain", packed(t, "bcf.version", is30, name, utf8), []string{"2 views"}},
		{"prefixes, comments, instructions", packed(t, "bcf.version", `<v:Version xmlns:v="urn:x" VersionId="3.0"/>`, name, prefixed), []string{"2 views"}},
		{"byte order mark", packed(t, "bcf.version", "\ufeff"+is30, name, "\ufeff"+utf8), nil},
		{"UTF-16, marked", packed(t, "bcf.version", wide(is30, binary.LittleEndian, true), name, wide(said, binary.BigEndian, true)), nil},
		{"UTF-16, not marked", packed(t, "bcf.version", is30, name, wide(said, binary.LittleEndian, false)), nil},
		{"UTF-16, not marked, the other way", packed(t, "bcf.version", is30, name, wide(said, binary.BigEndian, false)), nil},
		{"backslashes", packed(t, "bcf.version", is30, folder+`\markup.bcf`, utf8, folder+`\snapshot.png`, "x"), nil},
		{"folders told", packed(t, "bcf.version", is30, folder+"/", "", name, utf8), nil},
		{"packed with its folder", packed(t, "out/bcf.version", is30, "out/"+name, utf8, "__MACOSX/out/._x", "x"), []string{"__MACOSX/out/._x: a file that is not taken over"}},
		{"a stray file first", packed(t, "__MACOSX/out/._x", "x", "out/bcf.version", is30, "out/"+name, utf8), []string{"__MACOSX/out/._x: a file that is not taken over"}},
		{"zip64", zip64("bcf.version", is30, name, utf8), nil},
		{"2.1, comments and views beside", packed(t, "bcf.version", `<Version VersionId="2.1"><DetailedVersion>2.1</DetailedVersion></Version>`, name, v21), []string{`ReferenceLink "x" is not taken over`, `Priority "high" is not taken over`, "2 views"}},
		{
			"more in it", packed(t, "bcf.version", is30, "project.bcfp", `<ProjectInfo><Project ProjectId="1"/></ProjectInfo>`, "documents.xml", "<x/>", "Documents/a.pdf", "x", folder+"/v2.bcfv", "x", folder+"/my notes.txt", "x", name,
				strings.Replace(utf8, "<Title>", "<Stage>two</Stage><Colour><Deep>red</Deep></Colour><ReferenceLinks/><Title>", 1)),
			[]string{"Documents/a.pdf: a file that is not taken over", "my notes.txt: a file that is not taken over", `Stage "two" is not taken over`, `Colour "red" is not taken over`},
		},
	} {
		p, problems, told := Read("h.bcf", bytes.NewReader(test.data), int64(len(test.data)))
		if p == nil {
			t.Errorf("%s: %v", test.name, problems)
			continue
		}
		answers, strange := p.Answers("h.bcf", []string{idA})
		want := []register.Answer{{ID: idA, Status: "Closed", Notes: []register.Note{
			{On: "2026-03-10", Author: "Zoë", Text: "Zażółć 風管"}, {On: "2026-03-11", Author: "B", Text: "two"},
		}}}
		if d := cmp.Diff(want, answers); d != "" || len(strange) > 0 {
			t.Errorf("%s: %v; answers (-want +got):\n%s", test.name, strange, d)
		}
		all := ""
		for _, l := range told {
			all += l.String() + "\n"
		}
		for _, w := range test.told {
			if !strings.Contains(all, w) {
				t.Errorf("%s: it is not told: %s\n%s", test.name, w, all)
			}
		}
		if strings.Contains(all, "ReferenceLinks") {
			t.Errorf("%s: an empty element is told:\n%s", test.name, all)
		}
	}
	// Another 8-bit set of letters is read, too; what no 8-bit set has, is not in it.
	latin := strings.NewReplacer("Zażółć 風管", "caf\xe9", "ŷ", "y", `version="1.0"`, `version="1.0" encoding="ISO-8859-1"`, "ë", "\xeb").Replace(utf8)
	data := packed(t, "bcf.version", is30, name, latin)
	if p, problems, _ := Read("h.bcf", bytes.NewReader(data), int64(len(data))); p == nil || p.Topics[0].Comments[0].Text != "café" {
		t.Errorf("ISO-8859-1: %+v, %v", p, problems)
	}
}

func TestFromElsewhere(t *testing.T) {
	name := topicGUID(idA) + "/markup.bcf"
	other := "11111111-2222-3333-4444-555555555555"
	data := packed(t, "bcf.version", is30, name, markupOf(`<ReferenceLinks><ReferenceLink>http://x</ReferenceLink></ReferenceLinks><Title>t</Title>
<Priority>high</Priority><DueDate>2026-03-23T17:00:00+01:00</DueDate><Odd a="1">what</Odd>
<Comments><Comment Guid="`+other+`"><Date>2026-03-10T08:00:00Z</Date><Author>j@example.org</Author><Comment> moved 50 </Comment><Mood>good</Mood></Comment></Comments>`),
		other+"/markup.bcf", strings.Replace(strings.Replace(markupOf("<Title>theirs</Title>"), strings.ToUpper(topicGUID(idA)), other, 1), "Closed", "agreed", 1),
		"documents/plan.pdf", "x")
	p, problems, told := Read("home.bcf", bytes.NewReader(data), int64(len(data)))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	answers, strange := p.Answers("home.bcf", []string{idA})
	want := []register.Answer{{ID: idA, Status: "Closed", Due: "2026-03-23", Notes: []register.Note{{On: "2026-03-10", Author: "j@example.org", Text: "moved 50"}}}}
	if d := cmp.Diff(want, answers); d != "" {
		t.Errorf("answers (-want +got):\n%s", d)
	}
	var got []string
	for _, n := range append(told, strange...) {
		got = append(got, n.String())
	}
	wantTold := []string{
		`home.bcf/documents/plan.pdf: a file that is not taken over`,
		`home.bcf/` + name + `:1:170: ReferenceLinks "http://x" is not taken over`,
		`home.bcf/` + name + `:2:1: Priority "high" is not taken over`,
		`home.bcf/` + name + `:2:70: Odd "1 what" is not taken over`,
		`home.bcf/` + name + `:3:156: Mood "good" of a comment is not taken over`,
		`home.bcf/` + other + `: topic "theirs" (agreed) is of no finding that is known`,
	}
	slices.Sort(got)
	slices.Sort(wantTold)
	if d := cmp.Diff(wantTold, got); d != "" {
		t.Errorf("told (-want +got):\n%s", d)
	}
}

// TestReadTells: one bad day or GUID does not keep the rest of a file from coming home, and each is told.
func TestReadTells(t *testing.T) {
	name := topicGUID(idA) + "/markup.bcf"
	comment := func(guid, date, text string) string {
		return `<Comment Guid="` + guid + `"><Date>` + date + `</Date><Author>B</Author><Comment>` + text + `</Comment></Comment>`
	}
	const good = "21111111-2222-3333-4444-555555555555"
	data := packed(
		t, "bcf.version", is30,
		name, markupOf("<Title>t</Title><DueDate>soon</DueDate><Comments>"+comment("7", "2026-03-10T00:00:00Z", "one")+comment(good, "last week", "two\r\nlines")+"</Comments>"),
		topicGUID(idB)+"/markup.bcf", `<Markup><Topic Guid="1"><Title>by its folder</Title></Topic></Markup>`,
		"x/markup.bcf", `<Markup><Topic Guid="2"><Title>lost</Title></Topic></Markup>`,
		"y/markup.bcf", `<Markup><Topic Guid="3"><Title>lost, too</Title></Topic></Markup>`,
	)
	p, problems, told := Read("h.bcf", bytes.NewReader(data), int64(len(data)))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	answers, strange := p.Answers("h.bcf", []string{idA, idB})
	want := map[string]register.Answer{
		idA: {ID: idA, Status: "Closed", Notes: []register.Note{{On: "2026-03-10", Author: "B", Text: "one"}, {Author: "B", Text: "two\nlines"}}},
		idB: {ID: idB},
	}
	for _, a := range answers {
		if d := cmp.Diff(want[a.ID], a); d != "" {
			t.Errorf("%s (-want +got):\n%s", a.ID, d)
		}
		delete(want, a.ID)
	}
	if len(want) > 0 {
		t.Errorf("not come home: %v", want)
	}
	all := ""
	for _, l := range append(told, strange...) {
		all += l.String() + "\n"
	}
	for _, w := range []string{
		`DueDate "soon" is no day`, `Date "last week" is no day`, `Guid "7" of a comment`, `Guid "1" is not 32`, `Guid "2" is not 32`, `Guid "3" is not 32`,
		`topic "lost" () is of no finding`, `topic "lost, too" () is of no finding`,
	} {
		if strings.Count(all, w) != 1 {
			t.Errorf("not told once: %s\n%s", w, all)
		}
	}
}

// TestGivenTo: who a topic is given to comes home only where that was changed.
func TestGivenTo(t *testing.T) {
	for _, test := range []struct {
		name, to     string
		labels, want string
		unsure       bool
	}{
		{"as it was sent", "containment", "sent to containment", "", false},
		{"to another trade", "ductwork", "sent to containment", "ductwork", false},
		{"to a person", "Zoë", "sent to containment", "Zoë", false},
		{"to nobody", "", "sent to containment", "", false},
		{"without labels", "ductwork", "", "ductwork", true},
	} {
		p := &Package{Topics: []Topic{{GUID: topicGUID(idA), AssignedTo: test.to, Labels: []string{"duct", test.labels}}}}
		got, _ := p.Answers("h.bcf", []string{idA})
		if len(got) != 1 || got[0].Assigned != test.want || got[0].Unsure != test.unsure {
			t.Errorf("%s: %+v, want %q, unsure %v", test.name, got, test.want, test.unsure)
		}
	}
}

// TestRepliesGoOut: what came home goes out again, as comments that are known for ours next time, and so does one without a day; line
// breaks are written as they are.
func TestRepliesGoOut(t *testing.T) {
	f := finding.Finding{ID: idA, Kind: finding.Tight, A: "T-1", ATrade: "containment", Short: 40, At: finding.Spot{X: 1}}
	e := &register.Entry{
		ID: idA, State: register.Open, First: "2026-03-02", Last: "2026-03-09", Owner: "Zoë", Proposed: true,
		Answers: "2026-03-03 J. Nowak: moved up 50: done; A. Bell: when?; just so; status agreed; status Waiting",
	}
	topic := TopicOf(&f, e)
	want := []Comment{{On: "2026-03-03", Author: "J. Nowak", Text: "moved up 50: done"}, {Author: "A. Bell", Text: "when?"}, {Text: "just so"}}
	if d := cmp.Diff(want, topic.Comments); d != "" {
		t.Errorf("comments (-want +got):\n%s", d)
	}
	if topic.AssignedTo != "Zoë" || !slices.Contains(topic.Labels, "sent to Zoë") || !strings.Contains(topic.Description, "proposed as agreed") {
		t.Errorf("%+v", topic)
	}
	e.State, e.History = register.Cleared, []register.Event{{On: "2026-03-02", To: register.Open}, {On: "2026-03-09", To: register.Cleared}}
	closed := ClosedTopic(&f, e)
	if closed.Status != "closed" || closed.Modified != "2026-03-09" || closed.Title != topic.Title || len(closed.Comments) != 3 {
		t.Errorf("cleared: %+v", closed)
	}
	if !strings.HasPrefix(closed.Description, "cleared: not found on 2026-03-09 any more\n") {
		t.Errorf("cleared: %q", closed.Description)
	}
	// A row of a register that somebody wrote by hand has no history; and of what was never in a register there is no row.
	for _, without := range []*register.Entry{{First: "2026-03-02"}, nil} {
		if closed := ClosedTopic(&f, without); !strings.HasPrefix(closed.Description, "cleared: not found any more\n") || closed.Modified != "" {
			t.Errorf("cleared, of %+v: %+v", without, closed)
		}
	}
	for _, v := range []Version{V30, V21} {
		for _, date := range []register.Date{"2026-03-09", "2026-03-16"} {
			data := written(t, &Package{Project: "x", Date: date, Topics: []Topic{topic}}, v)
			in, problems, told := Read("h.bcf", bytes.NewReader(data), int64(len(data)))
			if len(problems)+len(told) > 0 {
				t.Fatal(problems, told)
			}
			if len(in.Topics[0].Comments) != 3 {
				t.Errorf("%s: %+v", v, in.Topics[0].Comments)
			}
			answers, _ := in.Answers("h.bcf", []string{idA})
			if len(answers) != 1 || len(answers[0].Notes) > 0 || answers[0].Assigned != "" {
				t.Errorf("%s of %s: our own came home: %+v", v, date, answers)
			}
		}
		z, err := zip.NewReader(bytes.NewReader(written(t, &Package{Project: "x", Date: "2026-03-09", Topics: []Topic{topic}}, v)), int64(len(written(t, &Package{Project: "x", Date: "2026-03-09", Topics: []Topic{topic}}, v))))
		if err != nil {
			t.Fatal(err)
		}
		m, err := z.Open(topicGUID(idA) + "/markup.bcf")
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(m)
		if err != nil || strings.Contains(string(text), "&#x") || !strings.Contains(string(text), "\nfinding "+idA) {
			t.Errorf("%s: line breaks: %v\n%s", v, err, text)
		}
	}
}

func TestReadRefuses(t *testing.T) {
	name := topicGUID(idA) + "/markup.bcf"
	good := markupOf("<Title>t</Title>")
	bomb := strings.Repeat(" ", maxXML+10)
	for _, test := range []struct {
		name string
		data []byte
		want string
	}{
		{"no zip", []byte("hello"), "h.bcf: not an exchange file: not a valid zip file"},
		{"empty zip", packed(t), "h.bcf: no bcf.version in it"},
		{"version 2.0", packed(t, "bcf.version", `<Version VersionId="2.0"/>`), `h.bcf/bcf.version:1:1: version "2.0"; give 3.0 or 2.1`},
		{"no version", packed(t, "bcf.version", `<V/>`), `h.bcf/bcf.version:1:1: an element "V"; give Version`},
		{"path upwards", packed(t, "bcf.version", is30, "../../etc/markup.bcf", good), `a file in it is called "../../etc/markup.bcf"; give a name inside the exchange file`},
		{"absolute path", packed(t, "bcf.version", is30, "/etc/markup.bcf", good), `a file in it is called "/etc/markup.bcf"`},
		{"backslashes", packed(t, "bcf.version", is30, `..\markup.bcf`, good), `a file in it is called "..\\markup.bcf"`},
		{"drive", packed(t, "bcf.version", is30, "C:/markup.bcf", good), `a file in it is called "C:/markup.bcf"`},
		{"long name", packed(t, "bcf.version", is30, "/"+strings.Repeat("x", 60), good), `a file in it is called "/` + strings.Repeat("x", 59) + `…"`},
		{"name twice", packed(t, "bcf.version", is30, name, good, name, good), "two files in it are called"},
		{"bomb", packed(t, "bcf.version", is30, name, good[:20]+bomb+good[20:]), "is larger than what is read, unpacked; give at most 8 MiB"},
		{"entities", packed(t, "bcf.version", is30, name, `<?xml version="1.0"?><!DOCTYPE m [<!ENTITY x SYSTEM "file:///etc/passwd">]>`+good[21:]), "a document type or entities of its own; give plain elements"},
		{"unknown entity", packed(t, "bcf.version", is30, name, markupOf("<Title>&x;</Title>")), "no XML: invalid character entity &x;"},
		{"broken off", packed(t, "bcf.version", is30, name, good[:len(good)-9]), "no XML: unexpected EOF"},
		{"wrong end", packed(t, "bcf.version", is30, name, markupOf("<Title>t</Titel>")), "no XML: element <Title> closed by </Titel>"},
		{"two documents", packed(t, "bcf.version", is30, name, good+"<Markup/>"), "a second document behind the first"},
		{"empty document", packed(t, "bcf.version", is30, name, ""), "an empty document"},
		{"other letters", packed(t, "bcf.version", is30, name, strings.Replace(good, `?>`, ` encoding="koi8-r"?>`, 1)), "koi8-r"},
		{"deep", packed(t, "bcf.version", is30, name, markupOf(strings.Repeat("<a>", 100)+strings.Repeat("</a>", 100))), "elements in each other more than 64 deep"},
		{"many", packed(t, "bcf.version", is30, name, markupOf(strings.Repeat("<a/>", maxTags))), "more than 200000 elements"},
		{"no title", packed(t, "bcf.version", is30, name, markupOf("")), "0 titles; give one"},
		{"no topic", packed(t, "bcf.version", is30, name, "<Markup/>"), "no Topic in it"},
		{"topic twice", packed(t, "bcf.version", is30, name, good, "b/markup.bcf", good), "a second topic"},
	} {
		p, problems, _ := Read("h.bcf", bytes.NewReader(test.data), int64(len(test.data)))
		if p != nil || len(problems) == 0 {
			t.Errorf("%s: no problem", test.name)
		} else if got := problems[0].String(); !strings.Contains(got, test.want) {
			t.Errorf("%s: %s\nwant %s", test.name, got, test.want)
		}
	}
}

// TestReadAtItsLimits: as many elements, and as many in each other, as may be are read, one more is not. Markup, Topic and Title are three, two of
// them round what is inside.
func TestReadAtItsLimits(t *testing.T) {
	is30 := `<Version VersionId="3.0"/>`
	for _, test := range []struct {
		name, inside, want string
	}{
		{"elements", strings.Repeat("<a/>", maxTags-3), ""},
		{"one more", strings.Repeat("<a/>", maxTags-2), "more than 200000 elements"},
		{"in each other", strings.Repeat("<a>", maxDepth-2) + strings.Repeat("</a>", maxDepth-2), ""},
		{"one deeper", strings.Repeat("<a>", maxDepth-1) + strings.Repeat("</a>", maxDepth-1), "elements in each other more than 64 deep"},
	} {
		data := packed(t, "bcf.version", is30, topicGUID(idA)+"/markup.bcf", markupOf("<Title>t</Title>"+test.inside))
		_, problems, _ := Read("h.bcf", bytes.NewReader(data), int64(len(data)))
		got := ""
		for _, pr := range problems {
			if strings.Contains(pr.String(), "elements") {
				got += pr.String()
			}
		}
		if !strings.Contains(got, test.want) || (got == "") != (test.want == "") {
			t.Errorf("%s: %q, want %q", test.name, got, test.want)
		}
	}
}

// TestReadRefusesOnce: where the version is not read, nothing else in the file is told to be wrong.
func TestReadRefusesOnce(t *testing.T) {
	for _, version := range []string{`<V/>`, `<Version VersionId="2.0"/>`, ``, `<Version`} {
		data := packed(t, "bcf.version", version, topicGUID(idA)+"/markup.bcf", "<no")
		if p, problems, _ := Read("h.bcf", bytes.NewReader(data), int64(len(data))); p != nil || len(problems) != 1 {
			t.Errorf("%q: %v", version, problems)
		}
	}
}

// TestReadLocked: a file that is locked with a password is said to be, not called broken.
func TestReadLocked(t *testing.T) {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	name := topicGUID(idA) + "/markup.bcf"
	for n, text := range map[string]string{"bcf.version": is30, name: markupOf("<Title>t</Title>")} {
		h := &zip.FileHeader{Name: n}
		if n == name {
			h.Flags = 1 // bit 0: encrypted (APPNOTE of the zip format, 4.4.4)
		}
		w, err := z.CreateHeader(h)
		if err == nil {
			_, err = io.WriteString(w, text)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	p, problems, _ := Read("h.bcf", bytes.NewReader(b.Bytes()), int64(b.Len()))
	if p != nil || len(problems) != 1 || problems[0].String() != fmt.Sprintf("h.bcf: %q is locked with a password", name) {
		t.Errorf("%v", problems)
	}
}

func TestOpen(t *testing.T) {
	dir := t.TempDir()
	if _, _, err := Open(dir); err == nil || !strings.Contains(err.Error(), "is a folder") {
		t.Errorf("a folder: %v", err)
	}
	if _, _, err := Open(filepath.Join(dir, "no.bcf")); err == nil || !strings.Contains(err.Error(), "no.bcf: no such file") {
		t.Errorf("not there: %v", err)
	}
	name := filepath.Join(dir, "a.bcf")
	if err := os.WriteFile(name, written(t, example(), V21), 0o644); err != nil {
		t.Fatal(err)
	}
	p, _, err := Open(name)
	if err != nil || len(p.Topics) != 2 || p.Project != "Tŷ & Łódź" {
		t.Errorf("Open = %+v, %v", p, err)
	}
	if err := os.WriteFile(name, []byte("no zip"), 0o644); err != nil {
		t.Fatal(err)
	}
	var bad void.Problems
	if p, _, err := Open(name); p != nil || !errors.As(err, &bad) || len(bad) != 1 {
		t.Errorf("no exchange file: Open = %+v, %v, want one problem", p, err)
	}
}

// FuzzRead wants no panic and no hanging, and that what is taken is sound.
func FuzzRead(f *testing.F) {
	for _, v := range []Version{V30, V21} {
		var b bytes.Buffer
		if err := Write(&b, example(), v); err != nil {
			f.Fatal(err)
		}
		f.Add(b.Bytes(), []byte(nil))
	}
	f.Add([]byte(nil), []byte(markupOf(`<Title>t</Title><Comments><Comment Guid="11111111-2222-3333-4444-555555555555"><Date>2026-03-10</Date></Comment></Comments>`)))
	f.Add([]byte(nil), []byte(`<Markup><Topic Guid="11111111-2222-3333-4444-555555555555" TopicStatus="x"><Title>t</Title><Labels>a</Labels></Topic><Comment/></Markup>`))
	f.Fuzz(func(t *testing.T, data, markup []byte) {
		if markup != nil { // a zip is hard to come by through chance: its inside by itself
			data = packed(t, "bcf.version", is30, "a/markup.bcf", string(markup))
		}
		p, problems, _ := Read("f", bytes.NewReader(data), int64(len(data)))
		if (p == nil) != (len(problems) > 0) {
			t.Fatalf("package %v, problems %v", p != nil, problems)
		}
		if p == nil {
			return
		}
		for _, topic := range p.Topics {
			if topic.GUID != "" && !isGUID(topic.GUID) {
				t.Fatal(topic.GUID)
			}
			for _, d := range []register.Date{topic.Created, topic.Modified, topic.Due} {
				if is, ok := register.ParseDate(string(d)); d != "" && (!ok || is != d) {
					t.Fatal(d)
				}
			}
		}
		p.Answers("f", []string{idA})
	})
}

// A viewpoint stands in the axes of the model: origin.csv says that the tables are less (100 000, 200 000) and were turned back by 30
// degrees. A place at (1000, 0) of the project is (101 000, 200 000) of the tables; turned by 30 degrees about the model's
// origin that is x 101 cos 30 - 200 sin 30 = 87.468566 - 100 = -12.531434 m, y 101 sin 30 + 200 cos 30 = 50.5 + 173.205081 = 223.705081 m. North is
// turned to (-1/2, cos 30).
func TestViewInTheModel(t *testing.T) {
	p := void.New("", nil)
	p.AddOrigin(void.OriginRow{X: cell.ParseCoordinate("100000"), Y: cell.ParseCoordinate("200000"), Turn: cell.ParseNumber("30")})
	v := ViewOf(p, &finding.Finding{A: "none", At: finding.Spot{X: 1000, Y: 0, Z: 2700}})
	if want := (r3.Vector{X: -12531.434, Y: 223705.081, Z: 2700}); v.At.Sub(want).Norm() > 0.01 {
		t.Errorf("At %v, want %v", v.At, want)
	}
	if want := (r2.Point{X: -0.5, Y: math.Sqrt(3) / 2}); v.Look.Sub(want).Norm() > 1e-9 {
		t.Errorf("Look %v, want %v", v.Look, want)
	}
}
