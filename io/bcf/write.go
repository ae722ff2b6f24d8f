package bcf

import (
	"archive/zip"
	"bytes"
	"cmp"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/golang/geo/r3"

	"voidline/clash/register"
)

// Errors of Write.
var (
	ErrVersion = errors.New("no such version of the exchange format: 3.0 or 2.1")
	ErrTopic   = errors.New("no topic can be made")
)

var pngSign = []byte("\x89PNG\r\n\x1a\n")

// Write writes an exchange file. The same package gives the same bytes. Where a topic has no id of a finding,
// a date that is none, a place that is not finite or a snapshot that is no PNG, the error wraps ErrTopic
// and nothing has been written.
func Write(w io.Writer, p *Package, v Version) error {
	if v != V30 && v != V21 {
		return fmt.Errorf("%w, not %q", ErrVersion, v)
	}
	day, ok := moment(p.Date)
	if !ok {
		return fmt.Errorf("%w: date %q", ErrTopic, p.Date)
	}
	at, err := time.Parse(time.RFC3339, day)
	if err != nil {
		return err
	}
	var files []file
	add := func(name string, root tag) { files = append(files, file{name, root.document()}) }
	version := tag{name: "Version", attrs: attrs("VersionId", string(v))}
	if v == V21 {
		version.kids = []tag{leaf("DetailedVersion", string(v))}
	}
	add("bcf.version", version)
	project := tag{name: "Project", attrs: attrs("ProjectId", guid("project", p.Project)), kids: optional("Name", p.Project)}
	if v == V30 {
		add("project.bcfp", tag{name: "ProjectInfo", kids: []tag{project}})
		add("extensions.xml", extensions(p))
	} else {
		add("project.bcfp", tag{name: "ProjectExtension", kids: []tag{project, leaf("ExtensionSchema", "")}})
	}
	seen := map[string]bool{}
	for i := range p.Topics {
		t := &p.Topics[i]
		if !register.IsID(t.ID) || seen[t.ID] {
			return fmt.Errorf("%w of finding %q: that is no id, or is there twice", ErrTopic, t.ID)
		}
		seen[t.ID] = true
		if err := t.fit(); err != nil {
			return fmt.Errorf("%w of finding %s: %w", ErrTopic, t.ID, err)
		}
		folder := topicGUID(t.ID) + "/"
		add(folder+"markup.bcf", markup(p, t, v))
		if t.View == nil {
			continue
		}
		add(folder+"viewpoint.bcfv", viewpoint(t, v))
		if t.Snapshot != nil {
			files = append(files, file{folder + "snapshot.png", t.Snapshot})
		}
	}
	z := zip.NewWriter(w)
	for _, f := range files {
		h := &zip.FileHeader{Name: f.name, Method: zip.Deflate, Modified: at}
		if strings.HasSuffix(f.name, ".png") {
			h.Method = zip.Store // it is packed already
		}
		out, err := z.CreateHeader(h)
		if err != nil {
			return err
		}
		if _, err := out.Write(f.data); err != nil {
			return err
		}
	}
	return z.Close()
}

type file struct {
	name string
	data []byte
}

// fit says why a topic cannot be written.
func (t *Topic) fit() error {
	for _, d := range []register.Date{t.Created, t.Modified, t.Due} {
		if _, ok := moment(d); d != "" && !ok {
			return fmt.Errorf("date %q", d)
		}
	}
	for _, c := range t.Comments {
		if _, ok := moment(c.On); c.On != "" && !ok {
			return fmt.Errorf("a comment of %q: date %q", c.Author, c.On)
		}
	}
	if t.Snapshot != nil && !bytes.HasPrefix(t.Snapshot, pngSign) {
		return errors.New("the snapshot is no PNG")
	}
	if v := t.View; v != nil {
		for _, n := range []float64{v.At.X, v.At.Y, v.At.Z, v.Look.X, v.Look.Y, v.High, v.Wide, v.Deep} {
			if math.IsNaN(n) || math.IsInf(n, 0) {
				return errors.New("its place is not a finite number")
			}
		}
		if v.High <= 0 || v.Wide <= 0 || v.Deep <= 0 || math.Abs(v.Look.Norm()-1) > 1e-6 {
			return errors.New("its view has no size or no direction")
		}
	}
	return nil
}

// moment is the beginning of a day as the schemas have it.
func moment(d register.Date) (string, bool) {
	is, ok := register.ParseDate(string(d))
	if !ok || is != d {
		return "", false
	}
	return string(d) + "T00:00:00Z", true
}

// tag is an element to be written.
type tag struct {
	name  string
	attrs [][2]string
	text  string
	kids  []tag
}

func attrs(pairs ...string) [][2]string {
	var out [][2]string
	for i := 0; i+1 < len(pairs); i += 2 {
		out = append(out, [2]string{pairs[i], pairs[i+1]})
	}
	return out
}

func leaf(name, text string) tag { return tag{name: name, text: text} }

// optional returns an element, none where there is nothing in it: the schemas allow no blank texts.
func optional(name, text string) []tag {
	if strings.TrimSpace(text) == "" {
		return nil
	}
	return []tag{leaf(name, text)}
}

// document returns the element as an XML document.
func (t tag) document() []byte {
	var b bytes.Buffer
	b.WriteString(`<?xml version="1.0" encoding="UTF-8"?>` + "\n")
	t.write(&b, "")
	return b.Bytes()
}

func (t tag) write(b *bytes.Buffer, indent string) {
	b.WriteString(indent + "<" + t.name)
	for _, a := range t.attrs {
		b.WriteString(" " + a[0] + `="`)
		escape(b, a[1])
		b.WriteString(`"`)
	}
	switch {
	case len(t.kids) > 0:
		b.WriteString(">\n")
		for _, k := range t.kids {
			k.write(b, indent+"  ")
		}
		b.WriteString(indent)
	case t.text != "":
		b.WriteString(">")
		for i, l := range strings.Split(lineEnds.Replace(t.text), "\n") {
			if i > 0 {
				b.WriteByte('\n') // as it is: not every program turns an escape back
			}
			escape(b, l)
		}
	default:
		b.WriteString("/>\n")
		return
	}
	b.WriteString("</" + t.name + ">\n")
}

var lineEnds = strings.NewReplacer("\r\n", "\n", "\r", "\n")

// escape writes a text; what no XML document may hold becomes U+FFFD. The error is the buffer's, which has none.
func escape(b *bytes.Buffer, s string) { _ = xml.EscapeText(b, []byte(s)) }

// list returns an element that holds a list, each text once and in order of the alphabet.
func list(name, of string, texts []string) tag {
	slices.Sort(texts)
	t := tag{name: name}
	for _, s := range slices.Compact(texts) {
		t.kids = append(t.kids, optional(of, s)...)
	}
	return t
}

// extensions lists the words that the file uses (3.0).
func extensions(p *Package) tag {
	types := []string{"overlap", "tight gap", "access"}
	states := []string{string(register.Open), string(register.Agreed), string(register.Back), register.Closed}
	var labels []string
	users := []string{p.author()}
	for _, t := range p.Topics {
		types, states = append(types, t.Type), append(states, t.Status)
		labels = append(labels, t.Labels...)
		users = append(users, t.AssignedTo)
		for _, c := range t.Comments {
			users = append(users, or(c.Author, p.author()))
		}
	}
	return tag{name: "Extensions", kids: []tag{
		list("TopicTypes", "TopicType", types), list("TopicStatuses", "TopicStatus", states),
		list("TopicLabels", "TopicLabel", labels), list("Users", "User", users),
	}}
}

func (p *Package) author() string {
	if p.Author == "" {
		return "voidline"
	}
	return p.Author
}

// or returns the text, or another where it is blank.
func or(s, other string) string {
	if strings.TrimSpace(s) == "" {
		return other
	}
	return s
}

// markup is a topic with its comments and the name of its view.
func markup(p *Package, t *Topic, v Version) tag {
	created := t.Created
	if created == "" {
		created = p.Date
	}
	when := func(name string, d register.Date) []tag {
		m, ok := moment(d)
		if !ok {
			return nil
		}
		return []tag{leaf(name, m)}
	}
	topic := tag{name: "Topic", attrs: attrs("Guid", topicGUID(t.ID), "TopicType", or(t.Type, "finding"), "TopicStatus", or(t.Status, string(register.Open)))}
	add := func(kids ...tag) { topic.kids = append(topic.kids, kids...) }
	add(leaf("Title", or(t.Title, "finding "+t.ID)))
	switch labels := list("Labels", "Label", slices.Clone(t.Labels)); {
	case v == V30 && len(labels.kids) > 0:
		add(labels)
	case v == V21:
		for _, l := range labels.kids {
			add(leaf("Labels", l.text))
		}
	}
	add(when("CreationDate", created)...)
	add(leaf("CreationAuthor", p.author()))
	if t.Modified != "" {
		add(when("ModifiedDate", t.Modified)...)
		add(leaf("ModifiedAuthor", p.author()))
	}
	add(when("DueDate", t.Due)...)
	add(optional("AssignedTo", t.AssignedTo)...)
	add(optional("Description", t.Description)...)
	view := guid("viewpoint", t.ID)
	var comments []tag
	for _, c := range t.Comments {
		c.Author, c.Text = or(c.Author, p.author()), or(c.Text, "-")
		kids := when("Date", cmp.Or(c.On, p.Date)) // the schemas want one
		kids = append(kids, leaf("Author", c.Author), leaf("Comment", c.Text))
		comments = append(comments, tag{name: "Comment", attrs: attrs("Guid", c.guid(t.ID)), kids: kids})
	}
	var views []tag
	if t.View != nil {
		kids := []tag{leaf("Viewpoint", "viewpoint.bcfv")}
		if t.Snapshot != nil {
			kids = append(kids, leaf("Snapshot", "snapshot.png"))
		}
		name := "ViewPoint"
		if v == V21 {
			name = "Viewpoints"
		}
		views = append(views, tag{name: name, attrs: attrs("Guid", view), kids: kids})
	}
	if v == V21 {
		return tag{name: "Markup", kids: slices.Concat([]tag{topic}, comments, views)}
	}
	if len(comments) > 0 {
		add(tag{name: "Comments", kids: comments})
	}
	if len(views) > 0 {
		add(tag{name: "Viewpoints", kids: views})
	}
	return tag{name: "Markup", kids: []tag{topic}}
}

// viewpoint is a section: an orthogonal camera and two clipping planes.
//
//	camera --> | cut     behind |
//	           |<---  Deep ---->|
//
// A clipping plane's direction points to what is cut away, as the standard's documentation has it (from memory:
// the schema does not say). Lengths are metres.
func viewpoint(t *Topic, v Version) tag {
	s := t.View
	look := r3.Vector{X: s.Look.X, Y: s.Look.Y}
	back := look.Mul(-1)
	camera := tag{name: "OrthogonalCamera", kids: []tag{
		point("CameraViewPoint", s.At.Add(back.Mul(2*s.Deep)).Mul(0.001)),
		point("CameraDirection", look), point("CameraUpVector", r3.Vector{Z: 1}),
		leaf("ViewToWorldScale", decimal(s.High/1000)),
	}}
	if v == V30 {
		camera.kids = append(camera.kids, leaf("AspectRatio", decimal(s.Wide/s.High)))
	}
	var chosen []tag
	for _, c := range s.Components {
		chosen = append(chosen, tag{name: "Component", attrs: attrs("IfcGuid", c.IfcGUID), kids: optional("AuthoringToolId", c.Zone)})
	}
	components := tag{name: "Components"}
	if len(chosen) > 0 {
		components.kids = append(components.kids, tag{name: "Selection", kids: chosen})
	}
	components.kids = append(components.kids, tag{name: "Visibility", attrs: attrs("DefaultVisibility", "true")})
	plane := func(at, direction r3.Vector) tag {
		return tag{name: "ClippingPlane", kids: []tag{point("Location", at.Mul(0.001)), point("Direction", direction)}}
	}
	return tag{name: "VisualizationInfo", attrs: attrs("Guid", guid("viewpoint", t.ID)), kids: []tag{
		components, camera,
		{name: "ClippingPlanes", kids: []tag{plane(s.At, back), plane(s.At.Add(look.Mul(s.Deep)), look)}},
	}}
}

func point(name string, p r3.Vector) tag {
	return tag{name: name, kids: []tag{leaf("X", decimal(p.X)), leaf("Y", decimal(p.Y)), leaf("Z", decimal(p.Z))}}
}

// decimal writes a number to a millionth, never minus zero.
func decimal(v float64) string {
	return strconv.FormatFloat(math.Round(v*1e6)/1e6+0, 'f', -1, 64)
}
