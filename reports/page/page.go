// Package page writes the meeting's report as a web page: one file that asks for nothing else. It opens without
// a network and is read without scripts; the one script filters and sorts. Its policy (Content-Security-Policy)
// allows that script and that style sheet by their digest and nothing besides, so that no name
// from a table could run or load anything even if it were not escaped.
package page

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"html/template"
	"io"
	"slices"
	"strconv"
	"strings"

	"voidline/reports/draw"
	"voidline/reports/meeting"
	"voidline/reports/words"
)

var (
	//go:embed page.html
	pageHTML string
	//go:embed page.css
	pageCSS string
	//go:embed page.js
	pageJS string
)

// part is one of the parts of words, as the template takes it.
type part struct {
	Para  string
	List  []string
	Table *table
}

type table struct {
	Caption string
	Columns []words.Column
	Rows    [][]cell
	Foot    []string
}

type cell struct {
	Head  string
	Right bool
	Lines []string
}

// parts turns parts into what the template takes; caption is what a table is called where it has no other name.
func parts(caption string, ps []words.Part) []part {
	var out []part
	for _, p := range ps {
		switch p := p.(type) {
		case words.Para:
			out = append(out, part{Para: string(p)})
		case words.List:
			out = append(out, part{List: p})
		case words.Table:
			t := &table{Caption: caption, Columns: p.Columns, Foot: p.Foot}
			for _, r := range p.Rows {
				var cells []cell
				for i, c := range r {
					cells = append(cells, cell{p.Columns[i].Head, p.Columns[i].Right, strings.Split(c, "\n")})
				}
				t.Rows = append(t.Rows, cells)
			}
			out = append(out, part{Table: t})
		}
	}
	return out
}

// picture is a drawing as it stands in the page.
type picture struct {
	Name string
	Wide bool // a section, which is wider than a plan
	SVG  template.HTML
	// Phone is the same for a narrow screen; "" where there is none: then the other slides sideways there.
	Phone template.HTML
}

func svg(prefix string, d *draw.Drawing) (picture, error) {
	var b strings.Builder
	err := draw.SVG(&b, d, draw.SVGOptions{Prefix: prefix, Bare: true})
	return picture{Name: words.Clean(d.Name), Wide: d.W > 200, SVG: template.HTML(shorten(b.String()))}, err // draw escapes every text
}

// view is what the template is given.
type view struct {
	*meeting.Report
	Policy template.HTMLAttr
	Style  template.CSS
	Script template.JS
	Chart  *picture
	// What there is to choose from in the filter.
	Trades, Kinds, States, Storeys []string
	Total                          int
}

// Link returns a page whose links to the files beside it lead to a folder beside it.
func Link(page []byte, names []string, folder string) []byte {
	for _, n := range names {
		page = bytes.Replace(page, []byte(`<a href="`+n+`">`), []byte(`<a href="`+folder+"/"+n+`">`), 1)
	}
	return page
}

// policy allows the two by their digest, and nothing from anywhere.
func policy(style, script string) string {
	digest := func(s string) string {
		h := sha256.Sum256([]byte(s))
		return "'sha256-" + base64.StdEncoding.EncodeToString(h[:]) + "'"
	}
	return "default-src 'none'; style-src " + digest(style) + "; script-src " + digest(script) + "; base-uri 'none'; form-action 'none'"
}

// Write writes the report.
func Write(w io.Writer, r *meeting.Report) error {
	style := draw.Style() + tidy + "\n" + pageCSS
	v := view{
		Report: r, Style: template.CSS(style), Script: template.JS(pageJS),
		Policy: template.HTMLAttr(`content="` + policy(style, pageJS) + `"`), // digests and words of ours alone
	}
	if r.Chart != nil {
		p, err := svg("trend", r.Chart)
		if err != nil {
			return err
		}
		v.Chart = &p
	}
	add := func(to *[]string, s string) {
		if s != "" && !slices.Contains(*to, s) {
			*to = append(*to, s)
		}
	}
	seen := map[string]bool{}
	for i := range r.Bays {
		b := &r.Bays[i]
		add(&v.Storeys, b.Storey)
		for _, f := range b.All {
			v.Total++
			seen[string(f.Kind)], seen[f.Mark()] = true, true
			add(&v.Trades, f.Trade)
		}
	}
	slices.Sort(v.Trades)
	for _, k := range []string{"overlap", "tight", "access"} {
		if seen[k] {
			v.Kinds = append(v.Kinds, k)
		}
	}
	for _, m := range meeting.Marks() {
		if seen[m] {
			v.States = append(v.States, m)
		}
	}
	pictures, err := drawn(r)
	if err != nil {
		return err
	}
	t, err := template.New("page").Funcs(template.FuncMap{
		"parts":    parts,
		"pictures": func(b meeting.Bay) []picture { return pictures[b.Number] },
		"left":     func(b meeting.Bay) bool { return len(b.Pictures) > 0 && pictures[b.Number] == nil },
		"plural":   words.Count,
		"num":      num,
		"nb": func(name string) template.HTMLAttr {
			if len(name) <= 14 {
				return ` class="nb"` // a name so short stays in one piece
			}
			return ""
		},
		"up":  words.Up,
		"inc": func(n int) int { return n + 1 },
		"first": func(n int, bays []*meeting.Bay) []*meeting.Bay {
			return bays[:min(n, len(bays))]
		},
		"rest": func(n int, bays []*meeting.Bay) []*meeting.Bay {
			return bays[min(n, len(bays)):]
		},
		"firstF": func(n int, fs []*meeting.Finding) []*meeting.Finding { return fs[:min(n, len(fs))] },
		"firstG": func(n int, fs []meeting.Gone) []meeting.Gone { return fs[:min(n, len(fs))] },
		"add":    func(a, b int) int { return a + b },
		"less":   func(a, b int) int { return a - b },
		"join":   func(s []string) string { return strings.Join(s, ", ") },
		"tenth":  func(v float64) string { return strconv.FormatFloat(words.Tenth(v), 'f', 1, 64) },
	}).Parse(pageHTML)
	if err != nil {
		return err
	}
	return t.Execute(w, v)
}

// num is a cell of a count; where there is nothing it is a dash, which a narrow screen leaves out.
func num(head string, n int) template.HTML {
	said, class := strconv.Itoa(n), "r"
	if n == 0 {
		said, class = "–", "r none"
	}
	return template.HTML(`<td role="cell" data-h="` + template.HTMLEscapeString(head) + `" class="` + class + `">` + said + `</td>`)
}

// mostPictures is how many bytes of pictures a page holds: with all its words it stays below 30 MB, which opens
// on a phone.
const mostPictures = 22 << 20

// Those for phones are added as long as all are below mostWithPhones, so that a phone does not load twice what it shows;
// those of the worst bays in any case.
const (
	mostWithPhones = 15 << 20
	worstBays      = 20
)

// drawn returns the pictures of the bays, by their number. Where they are too many, those with the fewest open
// problems go without; those for phones have what room the others leave.
func drawn(r *meeting.Report) (map[int][]picture, error) {
	order := make([]*meeting.Bay, len(r.Bays))
	for i := range r.Bays {
		order[i] = &r.Bays[i]
	}
	slices.SortStableFunc(order, func(a, b *meeting.Bay) int { return cmp.Compare(b.Open, a.Open) })
	out, size := map[int][]picture{}, 0
	for _, b := range order {
		var ps []picture
		more := 0
		for i, d := range b.Pictures {
			p, err := svg(b.Anchor+"-"+strconv.Itoa(i+1), d.Paper)
			if err != nil {
				return nil, err
			}
			ps = append(ps, p)
			more += len(p.SVG)
		}
		if size+more <= mostPictures {
			out[b.Number] = ps
			size += more
		}
	}
	for k, b := range order {
		most := mostWithPhones
		if k < worstBays {
			most = mostPictures
		}
		for i := range out[b.Number] {
			d := b.Pictures[i]
			if d.Phone == nil || size >= most {
				continue
			}
			p, err := svg(b.Anchor+"-"+strconv.Itoa(i+1)+"n", d.Phone())
			if err != nil {
				return nil, err
			}
			if n := len(p.SVG); size+n <= most {
				out[b.Number][i].Phone = p.SVG
				size += n
			}
		}
	}
	return out, nil
}
