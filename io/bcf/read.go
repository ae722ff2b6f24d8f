package bcf

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"voidline/clash/register"
	"voidline/void"
)

// The bounds of what is read. What a file says of its own sizes is not believed.
const (
	maxFile  = 512 << 20
	maxNames = 100000
	maxXML   = 8 << 20   // of one document, unpacked
	maxAll   = 256 << 20 // of all documents together
	maxDepth = 64
	maxTags  = 200000 // of one document
	most     = 50     // problems that are told
)

// Open reads the exchange file of that name. What is wrong with it is the error, as void.Problems: then there is no package.
// Of what is told see Read.
func Open(name string) (p *Package, told []void.Problem, err error) {
	info, err := os.Stat(name)
	switch {
	case err == nil && info.IsDir():
		return nil, nil, fmt.Errorf("%s is a folder", name)
	case err == nil && !info.Mode().IsRegular():
		return nil, nil, fmt.Errorf("%s is no file", name)
	case err == nil && info.Size() > maxFile:
		return nil, nil, fmt.Errorf("%s is larger than 512 MiB: no exchange file", name)
	}
	var in *os.File
	if err == nil {
		in, err = os.Open(name)
	}
	if err != nil {
		var pe *fs.PathError
		if errors.As(err, &pe) {
			err = pe.Err
		}
		return nil, nil, fmt.Errorf("%s: %w", name, err)
	}
	defer in.Close()
	p, problems, told := Read(filepath.Base(name), in, info.Size())
	return p, told, void.Problems(problems).Err()
}

// Read reads an exchange file of a size; name is what problems call it. What is wrong with the file is in
// problems, at most 50 of them; then there is no package. What was in the file and is not taken over is
// told. Positions are lines and columns of the documents in it. Nothing is written to a disk, and no name in
// the file is ever taken for a name on one.
func Read(name string, in io.ReaderAt, size int64) (p *Package, problems, told []void.Problem) {
	r := &reader{name: name, left: maxAll, files: map[string]*zip.File{}, topics: map[string]bool{}}
	p = r.read(in, size)
	if len(r.problems) > 0 {
		return nil, r.problems, r.told
	}
	return p, nil, r.told
}

type reader struct {
	name           string
	left           int64 // bytes that may still be unpacked
	files          map[string]*zip.File
	names          []string        // in order
	topics         map[string]bool // by GUID
	problems, told []void.Problem
}

func (r *reader) problem(inside string, n *node, what, want, hint string) {
	if len(r.problems) < most {
		r.problems = append(r.problems, r.say(inside, n, what, want, hint))
	}
}

func (r *reader) tell(inside string, n *node, what string) {
	r.told = append(r.told, r.say(inside, n, what, "", ""))
}

func (r *reader) say(inside string, n *node, what, want, hint string) void.Problem {
	p := void.Problem{File: r.name, What: what, Want: want, Hint: hint}
	if inside != "" {
		p.File += "/" + register.Clean(inside)
	}
	if n != nil {
		p.Line, p.Column = n.line, n.column
	}
	return p
}

func (r *reader) read(in io.ReaderAt, size int64) *Package {
	z, err := zip.NewReader(in, size)
	if err != nil {
		r.problem("", nil, "not an exchange file: "+strings.TrimPrefix(err.Error(), "zip: "), "a zip file with the documents of BCF", "")
		return nil
	}
	if len(z.File) > maxNames {
		r.problem("", nil, fmt.Sprintf("holds %d files", len(z.File)), fmt.Sprintf("at most %d", maxNames), "")
		return nil
	}
	for _, f := range z.File {
		inside := strings.ReplaceAll(f.Name, `\`, "/") // some programs part folders so, against the rules of zip
		folder := strings.HasSuffix(inside, "/")
		clean := strings.TrimSuffix(inside, "/")
		switch {
		case clean == "" || !fs.ValidPath(clean) || strings.ContainsAny(clean, ":\x00") || path.Clean(clean) != clean:
			r.problem("", nil, fmt.Sprintf("a file in it is called %q", short(f.Name)), "a name inside the exchange file", "")
		case folder:
		case r.files[clean] != nil:
			r.problem("", nil, fmt.Sprintf("two files in it are called %q", short(f.Name)), "each name once", "")
		case f.Flags&1 != 0:
			r.problem("", nil, fmt.Sprintf("%q is locked with a password", short(f.Name)), "", "")
		default:
			r.files[clean] = f
			r.names = append(r.names, clean)
		}
	}
	if len(r.problems) > 0 {
		return nil
	}
	r.bare()
	slices.Sort(r.names)
	p := &Package{}
	if !r.version(p) {
		return nil
	}
	r.project(p)
	for _, name := range r.names {
		switch folder, base := path.Split(name); {
		case name == "bcf.version", name == "project.bcfp", name == "extensions.xml", name == "extensions.xsd", name == "documents.xml":
		case folder != "" && base == "markup.bcf":
			if n := r.document(name); n != nil {
				r.topic(p, name, n)
			}
		case folder != "" && slices.Contains([]string{".bcfv", ".png", ".jpg", ".jpeg"}, strings.ToLower(path.Ext(base))):
		default:
			r.tell(name, nil, "a file that is not taken over")
		}
	}
	return p
}

// bare takes a folder off all names that holds the whole exchange: somebody unpacked it and packed the folder again.
func (r *reader) bare() {
	top, in := "", 0
	for _, name := range r.names {
		if name == "bcf.version" {
			return
		}
		if folder, ok := strings.CutSuffix(name, "/bcf.version"); ok {
			top = folder + "/"
			in++
		}
	}
	if in != 1 {
		return
	}
	files, names := map[string]*zip.File{}, []string(nil)
	for _, name := range r.names {
		inside, ok := strings.CutPrefix(name, top)
		if !ok {
			r.tell(name, nil, "a file that is not taken over")
			continue
		}
		files[inside], names = r.files[name], append(names, inside)
	}
	r.files, r.names = files, names
}

func (r *reader) version(p *Package) bool {
	if r.files["bcf.version"] == nil {
		r.problem("", nil, "no bcf.version in it", "an exchange file of BCF 3.0 or 2.1", "")
		return false
	}
	n := r.document("bcf.version")
	if n == nil {
		return false
	}
	if n.name != "Version" {
		r.problem("bcf.version", n, "an element "+quoted(n.name), "Version", "")
		return false
	}
	v, _ := n.attr("VersionId")
	p.Version = Version(strings.TrimSpace(v))
	if p.Version != V30 && p.Version != V21 {
		r.problem("bcf.version", n, "version "+quoted(v), "3.0 or 2.1", "")
		return false
	}
	return true
}

func (r *reader) project(p *Package) {
	if r.files["project.bcfp"] == nil {
		return
	}
	n := r.document("project.bcfp")
	if n == nil {
		return
	}
	if pr := n.kid("Project"); pr != nil {
		if name := pr.kid("Name"); name != nil {
			p.Project = name.said()
		}
	}
}

// passed are elements of a topic that are read over: the register has its own, or has no use for them.
var passed = []string{"CreationAuthor", "ModifiedAuthor", "Index", "Viewpoints"}

// topic reads one markup document.
func (r *reader) topic(p *Package, name string, root *node) {
	if root.name != "Markup" {
		r.problem(name, root, "an element "+quoted(root.name), "Markup", "")
		return
	}
	n := root.kid("Topic")
	if n == nil {
		r.problem(name, root, "no Topic in it", "one", "")
		return
	}
	var t Topic
	g, _ := n.attr("Guid")
	t.GUID = strings.ToLower(strings.TrimSpace(g))
	folder := strings.ToLower(path.Dir(name))
	switch {
	case !isGUID(t.GUID) && isGUID(folder):
		r.tell(name, n, "Guid "+quoted(g)+" is not 32 hexadecimal digits with hyphens: the folder's name is taken for it")
		t.GUID = folder
	case !isGUID(t.GUID):
		r.tell(name, n, "Guid "+quoted(g)+" is not 32 hexadecimal digits with hyphens: of which finding the topic is cannot be known")
		t.GUID = ""
	case folder != t.GUID:
		r.tell(name, n, "the folder has another name than the topic")
	}
	if t.GUID != "" && r.topics[t.GUID] {
		r.problem(name, n, "a second topic "+t.GUID, "each topic once", "")
		return
	}
	r.topics[t.GUID] = true
	t.Type, _ = n.attr("TopicType")
	t.Status, _ = n.attr("TopicStatus")
	for _, a := range n.attrs {
		if !slices.Contains([]string{"Guid", "TopicType", "TopicStatus", "ServerAssignedId"}, a.Name.Local) {
			r.tell(name, n, "attribute "+quoted(a.Name.Local)+" is not known, and not taken over")
		}
	}
	titles := 0
	views := 0
	comments := func(list []*node) {
		for _, c := range list {
			if c.name == "Comment" {
				r.comment(&t, name, c)
			} else {
				r.tell(name, c, "element "+quoted(c.name)+" is not known, and not taken over")
			}
		}
	}
	date := func(k *node) register.Date {
		d, ok := register.ParseDate(k.said())
		if !ok && k.said() != "" {
			r.tell(name, k, k.name+" "+quoted(k.said())+" is no day, such as 2026-03-09T00:00:00Z: not taken over")
		}
		return d
	}
	for _, k := range n.kids {
		switch k.name {
		case "Title":
			t.Title = k.said()
			titles++
		case "Description":
			t.Description = k.said()
		case "Labels":
			if len(k.kids) == 0 && k.said() != "" {
				t.Labels = append(t.Labels, k.said()) // 2.1: an element a label
			}
			for _, l := range k.kids {
				t.Labels = append(t.Labels, l.said())
			}
		case "CreationDate":
			t.Created = date(k)
		case "ModifiedDate":
			t.Modified = date(k)
		case "DueDate":
			t.Due = date(k)
		case "AssignedTo":
			t.AssignedTo = k.said()
		case "Comments":
			comments(k.kids)
		case "Viewpoints":
			views += len(k.kids)
		default:
			if !slices.Contains(passed, k.name) && k.all() != "" {
				r.tell(name, k, fmt.Sprintf("%s %s is not taken over", k.name, quoted(k.all())))
			}
		}
	}
	for _, k := range root.kids {
		switch k.name {
		case "Topic", "Header":
		case "Comment":
			comments([]*node{k})
		case "Viewpoints":
			views++
		default:
			r.tell(name, k, "element "+quoted(k.name)+" is not known, and not taken over")
		}
	}
	if titles != 1 {
		r.problem(name, n, fmt.Sprintf("%d titles", titles), "one", "")
	}
	if views > 1 {
		r.tell(name, n, fmt.Sprintf("%d views: pictures and cameras are not taken over", views))
	}
	p.Topics = append(p.Topics, t)
}

func (r *reader) comment(t *Topic, name string, n *node) {
	var c Comment
	g, _ := n.attr("Guid")
	c.GUID = strings.ToLower(strings.TrimSpace(g))
	if !isGUID(c.GUID) {
		r.tell(name, n, "Guid "+quoted(g)+" of a comment is not 32 hexadecimal digits with hyphens; the comment is taken over")
	}
	for _, k := range n.kids {
		switch k.name {
		case "Date":
			d, ok := register.ParseDate(k.said())
			if !ok {
				r.tell(name, k, "Date "+quoted(k.said())+" is no day, such as 2026-03-09T00:00:00Z: the comment is taken over without one")
			}
			c.On = d
		case "Author":
			c.Author = k.said()
		case "Comment":
			c.Text = k.said()
		case "Viewpoint", "ModifiedDate", "ModifiedAuthor":
		default:
			r.tell(name, k, fmt.Sprintf("%s %s of a comment is not taken over", k.name, quoted(k.all())))
		}
	}
	t.Comments = append(t.Comments, c)
}

// mostTold is how many comments of a topic that is of nothing known are told.
const mostTold = 5

// Answers returns what the package says of findings, by topics whose GUID is that of one of the ids; comments
// that Write wrote are left out, and whom a topic is given to as long as that is as Write wrote it. Topics of nothing known
// are told, with what they say.
func (p *Package) Answers(name string, ids []string) (answers []register.Answer, told []void.Problem) {
	of := map[string]string{}
	for _, id := range ids {
		of[topicGUID(id)] = id
	}
	for i := range p.Topics {
		t := &p.Topics[i]
		id, ok := of[t.GUID]
		if !ok {
			what := "topic " + quoted(t.Title) + " (" + short(t.Status) + ") is of no finding that is known"
			for k, c := range t.Comments {
				if k == mostTold {
					what += fmt.Sprintf("; and %d more comments", len(t.Comments)-k)
					break
				}
				what += "; " + quoted(c.Author+": "+c.Text)
			}
			told = append(told, void.Problem{File: name + "/" + t.GUID, What: register.Clean(what)})
			continue
		}
		a := register.Answer{ID: id, Status: t.Status, Due: t.Due}
		if !slices.ContainsFunc(t.Labels, func(l string) bool { return strings.EqualFold(l, sentTo+t.AssignedTo) }) {
			a.Assigned = t.AssignedTo
			a.Unsure = a.Assigned != "" && !slices.ContainsFunc(t.Labels, func(l string) bool { return strings.HasPrefix(l, sentTo) })
		}
		for _, c := range t.Comments {
			if !c.ours(id) {
				a.Notes = append(a.Notes, register.Note{On: c.On, Author: c.Author, Text: c.Text})
			}
		}
		answers = append(answers, a)
	}
	return answers, told
}

// node is an element as read.
type node struct {
	name         string
	attrs        []xml.Attr
	text         strings.Builder
	kids         []*node
	line, column int
}

func (n *node) attr(name string) (string, bool) {
	for _, a := range n.attrs {
		if a.Name.Local == name {
			return a.Value, true
		}
	}
	return "", false
}

func (n *node) kid(name string) *node {
	for _, k := range n.kids {
		if k.name == name {
			return k
		}
	}
	return nil
}

func (n *node) said() string { return strings.TrimSpace(n.text.String()) }

// all is every text and attribute in an element.
func (n *node) all() string {
	var parts []string
	for _, a := range n.attrs {
		parts = append(parts, a.Value)
	}
	parts = append(parts, n.said())
	for _, k := range n.kids {
		parts = append(parts, k.all())
	}
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), " ")
}

// document unpacks and parses a document; nil where that cannot be done, which is told as a problem.
func (r *reader) document(name string) *node {
	f := r.files[name]
	in, err := f.Open()
	if err != nil {
		r.problem(name, nil, "cannot be unpacked: "+strings.TrimPrefix(err.Error(), "zip: "), "", "")
		return nil
	}
	defer in.Close()
	room := min(maxXML, r.left)
	data, err := io.ReadAll(io.LimitReader(in, room+1))
	r.left -= int64(len(data))
	switch {
	case int64(len(data)) > room:
		r.problem(name, nil, "is larger than what is read, unpacked", "at most 8 MiB a document and 256 MiB in all", "")
		return nil
	case err != nil:
		r.problem(name, nil, "cannot be unpacked: "+strings.TrimPrefix(err.Error(), "zip: "), "", "")
		return nil
	}
	return r.parse(name, data)
}

func (r *reader) parse(name string, data []byte) *node {
	data = utf8Of(data)
	dec := xml.NewDecoder(bytes.NewReader(data))
	dec.CharsetReader = letters
	var root *node
	var open []*node
	tags := 0
	fail := func(what, want string) *node {
		l, c := dec.InputPos()
		r.problem(name, &node{line: l, column: c}, what, want, "")
		return nil
	}
	for {
		l, c := dec.InputPos()
		t, err := dec.Token()
		if err == io.EOF {
			break
		} else if err != nil {
			msg := err.Error()
			var syntax *xml.SyntaxError
			if errors.As(err, &syntax) {
				msg = syntax.Msg
			}
			return fail("no XML: "+strings.TrimPrefix(msg, "xml: "), "")
		}
		switch t := t.(type) {
		case xml.Directive:
			return fail("a document type or entities of its own", "plain elements")
		case xml.StartElement:
			if tags++; tags > maxTags {
				return fail(fmt.Sprintf("more than %d elements", maxTags), "")
			}
			if len(open) >= maxDepth {
				return fail(fmt.Sprintf("elements in each other more than %d deep", maxDepth), "")
			}
			n := &node{name: t.Name.Local, line: l, column: c}
			for _, a := range t.Attr {
				if a.Name.Space != "xmlns" && a.Name.Local != "xmlns" && !strings.Contains(a.Name.Space, "XMLSchema-instance") && a.Name.Space != "xsi" {
					n.attrs = append(n.attrs, a)
				}
			}
			switch {
			case len(open) > 0:
				up := open[len(open)-1]
				up.kids = append(up.kids, n)
			case root != nil:
				return fail("a second document behind the first", "one")
			default:
				root = n
			}
			open = append(open, n)
		case xml.EndElement:
			open = open[:len(open)-1]
		case xml.CharData:
			if len(open) > 0 {
				open[len(open)-1].text.Write(t)
			} else if len(bytes.TrimSpace(t)) > 0 {
				return fail("text outside the document", "")
			}
		}
	}
	if root == nil {
		return fail("an empty document", "XML")
	}
	return root
}

// utf8Of returns a document of UTF-8 or UTF-16 as UTF-8, without a byte order mark. XML wants both to be read; UTF-16 is known
// by its mark or, without one, by the zero in the first sign.
func utf8Of(data []byte) []byte {
	order, mark := unicode.BigEndian, unicode.IgnoreBOM
	switch {
	case bytes.HasPrefix(data, []byte("\xef\xbb\xbf")):
		return data[3:]
	case bytes.HasPrefix(data, []byte("\xff\xfe")):
		data, order = data[2:], unicode.LittleEndian
	case bytes.HasPrefix(data, []byte("\xfe\xff")):
		data = data[2:]
	case bytes.HasPrefix(data, []byte("<\x00")):
		order = unicode.LittleEndian
	case bytes.HasPrefix(data, []byte("\x00<")):
	default:
		return data
	}
	out, err := unicode.UTF16(order, mark).NewDecoder().Bytes(data)
	if err != nil {
		return data // and then it is no XML
	}
	return out
}

// letters reads what a document says to be written in. UTF-16 is UTF-8 by now.
func letters(name string, in io.Reader) (io.Reader, error) {
	switch strings.ToLower(name) {
	case "utf-16", "utf-16le", "utf-16be", "us-ascii", "ascii":
		return in, nil
	case "iso-8859-1", "latin1", "windows-1252":
		return charmap.Windows1252.NewDecoder().Reader(in), nil
	}
	return nil, fmt.Errorf("the letters are in %s; expected UTF-8 or UTF-16", quoted(name))
}

func isGUID(s string) bool {
	if len(s) != 36 {
		return false
	}
	for i := range len(s) {
		c := s[i]
		if i == 8 || i == 13 || i == 18 || i == 23 {
			if c != '-' {
				return false
			}
		} else if (c < '0' || c > '9') && (c < 'a' || c > 'f') {
			return false
		}
	}
	return true
}

func short(s string) string {
	rs := []rune(s)
	if len(rs) > 60 {
		return string(rs[:60]) + "…"
	}
	return s
}

func quoted(s string) string { return `"` + short(register.Clean(s)) + `"` }
