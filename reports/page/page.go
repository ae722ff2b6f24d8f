// Package page writes the meeting's report as a web page: one file that asks for nothing else. It opens without
// a network and is read without scripts; the one script filters and sorts. Its policy (Content-Security-Policy)
// allows that script and that style sheet by their digest and nothing besides, so that no name
// from a table could run or load anything even if it were not escaped.
package page

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"

	"voidline/clash/finding"
	"voidline/clash/register"
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
	Phone      template.HTML
	of         string        // of a section the id of the finding that it goes through
	again      template.HTML // shows it again elsewhere on the page, and phoneAgain the one for a narrow screen
	phoneAgain template.HTML
}

func svg(prefix string, d *draw.Drawing) (picture, error) {
	var b strings.Builder
	err := draw.SVG(&b, d, draw.SVGOptions{Prefix: prefix, Bare: true})
	name := words.Clean(d.Name)
	again := fmt.Sprintf(`<svg class="vl" role="img" aria-label="%s" viewBox="0 0 %.2f %.2f"><use href="#%s" width="%.2f" height="%.2f"/></svg>`, template.HTMLEscapeString(name), d.W, d.H, prefix, d.W, d.H)
	return picture{Name: name, Wide: d.W > 200, SVG: template.HTML(shorten(b.String())), again: template.HTML(again)}, err // draw escapes every text
}

// view is what the template is given.
type view struct {
	*meeting.Report
	Policy template.HTMLAttr
	Style  template.CSS
	Script template.JS
	Chart  *picture
	Alone  bool // page one alone
	Asked  []question
	// What there is to choose from in the filter.
	Trades, Kinds, States, OwnerNames []string
	Total                             int                // findings
	Listed                            []*meeting.Finding // those that have a row, by storey and bay
	Rows                              int                // findings that have a row and no more
}

// Words of the house that the page needs.
func (view) NeedSaid() string       { return meeting.NeedSaid }
func (view) OneProblem() string     { return words.OneProblem }
func (view) ClosingCaution() string { return words.ClosingCaution }

// question is a decision and the section through what is worst of it.
type question struct {
	Number  int
	Said    string
	Picture picture
}

// mostAsked is how many questions have their section with them.
const mostAsked = 12

// asked returns the sections through what the first questions are about. One that stands with its bay already is not drawn a second time: it is shown again.
func asked(r *meeting.Report, pictures map[int][]picture) ([]question, error) {
	there := map[string]picture{}
	for _, ps := range pictures {
		for _, p := range ps {
			if p.of != "" {
				p.SVG, p.Phone = p.again, p.phoneAgain
				there[p.of] = p
			}
		}
	}
	var out []question
	for i := range r.Decisions {
		f := r.Decisions[i].Worst
		p, ok := there[f.ID]
		if !ok && r.Section != nil && i < mostAsked {
			d := r.Section(f.Finding)
			if d.Paper == nil {
				continue
			}
			set := setOf([]meeting.Picture{d}, "question-"+strconv.Itoa(i+1), true)
			if set.err != nil {
				return nil, set.err
			}
			p, ok = set.paper[0], true
			p.Phone = set.phone[0].SVG
		}
		if ok && i < mostAsked {
			out = append(out, question{i + 1, f.Line(), p})
		}
	}
	return out, nil
}

// section is the heading of a section.
type section struct {
	meeting.Section
	Aside string
}

// ownersOf is a table of owners.
type ownersOf struct {
	Owners []register.Owner
	Weeks  []string
}

// movedTo is what became of findings.
type movedTo struct {
	Word string
	All  []*meeting.Finding
}

// Options say what is written.
type Options struct {
	// Summary is page one alone.
	Summary bool
}

// How much the page holds, so that it opens on a phone: bays of most need are said in full, with their pictures, until so many findings are;
// of so many there is a row.
const (
	mostDetailed = 400
	mostListed   = 5000
)

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
func Write(w io.Writer, r *meeting.Report, o Options) error {
	style, script := draw.Style()+tidy+"\n"+pageCSS, pageJS
	if o.Summary {
		script = ""
	}
	v := view{
		Report: r, Style: template.CSS(style), Script: template.JS(script), Alone: o.Summary,
		Policy: template.HTMLAttr(`content="` + policy(style, script) + `"`), // digests and words of ours alone
	}
	if r.Chart != nil {
		p, err := svg("trend", r.Chart)
		if err != nil {
			return err
		}
		v.Chart = &p
	}
	v.choices()
	detailed := v.detail()
	var pictures map[int][]picture
	if !o.Summary {
		var err error
		if pictures, err = drawn(r, detailed); err != nil {
			return err
		}
		if v.Asked, err = asked(r, pictures); err != nil {
			return err
		}
	}
	asides := map[string]string{
		meeting.Today: r.DecideAside(), meeting.Decide: r.DecideAside(), meeting.Joints: r.Joints.Aside, meeting.Work: r.Work.Aside,
		meeting.Protect: r.Protect.Aside, meeting.Fit: r.MayNotFit.Aside, meeting.All: words.Count(v.Total, "finding", "findings"),
		meeting.ByBay: words.Count(len(r.Bays), "bay", "bays"), meeting.Objections: words.Count(len(r.Closings), "bay", "bays"),
	}
	t, err := template.New("page").Funcs(template.FuncMap{
		"parts":    parts,
		"top":      func(id string) section { return section{r.Called(id), asides[id]} },
		"detailed": func(f *meeting.Finding) bool { return !o.Summary && detailed[f.Bay.Number] },
		"open":     func(b *meeting.Bay) bool { return detailed[b.Number] },
		"owners":   func(of []register.Owner) ownersOf { return ownersOf{of, r.OwnerWeeks} },
		"owner":    meeting.OwnerName,
		"overdue":  words.Overdue,
		"short":    meeting.Short,
		"moved": func(s meeting.Since) []movedTo {
			return slices.DeleteFunc([]movedTo{{"Back", s.Back}, {"Worse", s.Worsened}, {"New", s.New}}, func(m movedTo) bool { return len(m.All) == 0 })
		},
		"closings": closings,
		"pictures": func(b *meeting.Bay) []picture { return pictures[b.Number] },
		"left":     func(b *meeting.Bay) bool { return b.Drawn() && pictures[b.Number] == nil },
		"plural":   words.Count,
		"num":      num,
		"nb": func(name string) template.HTMLAttr {
			if len(name) <= 14 {
				return ` class="nb"` // a name so short stays in one piece
			}
			return ""
		},
		"whole":    unbroken,
		"up":       words.Up,
		"inc":      func(n int) int { return n + 1 },
		"inStorey": words.InStorey,
		"first": func(n int, bays []*meeting.Bay) []*meeting.Bay {
			return bays[:min(n, len(bays))]
		},
		"rest": func(n int, bays []*meeting.Bay) []*meeting.Bay {
			return bays[min(n, len(bays)):]
		},
		"firstF": func(n int, fs []*meeting.Finding) []*meeting.Finding { return fs[:min(n, len(fs))] },
		"firstG": func(n int, fs []meeting.Gone) []meeting.Gone { return fs[:min(n, len(fs))] },
		"less":   func(a, b int) int { return a - b },
		"join":   func(s []string) string { return strings.Join(s, ", ") },
		"tenth":  func(v float64) string { return strconv.FormatFloat(words.Tenth(v), 'f', 1, 64) },
	}).Parse(pageHTML)
	if err != nil {
		return err
	}
	return t.Execute(w, v)
}

// choices gathers what the filter offers, and which findings have a row: all of them, or the worst where there are very many.
func (v *view) choices() {
	add := func(to *[]string, s string) {
		if s != "" && !slices.Contains(*to, s) {
			*to = append(*to, s)
		}
	}
	seen := map[string]bool{}
	for i := range v.Bays {
		for _, f := range v.Bays[i].All {
			v.Listed = append(v.Listed, f)
			seen[string(f.Kind)], seen[f.Mark()] = true, true
			add(&v.Trades, f.Trade)
			add(&v.OwnerNames, f.Standing.Owner)
		}
	}
	v.Total = len(v.Listed)
	if v.Total > mostListed {
		worst := slices.Clone(v.Listed)
		slices.SortStableFunc(worst, func(a, b *meeting.Finding) int { return finding.Worse(a.Finding, b.Finding) })
		keep := map[*meeting.Finding]bool{}
		for _, f := range worst[:mostListed] {
			keep[f] = true
		}
		v.Listed = slices.DeleteFunc(v.Listed, func(f *meeting.Finding) bool { return !keep[f] })
	}
	slices.Sort(v.Trades)
	slices.Sort(v.OwnerNames)
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
}

// detail says which bays are said in full, by their number: those of most need.
func (v *view) detail() map[int]bool {
	in := map[int]bool{}
	n := 0
	for _, k := range v.Need {
		if n > 0 && n+len(k.All) > mostDetailed {
			v.Rows += len(k.All)
			continue
		}
		n += len(k.All)
		in[k.Number] = true
	}
	return in
}

// closings says of every bay what a check can say before its ceiling is closed, storey by storey.
func closings(cs []register.Closing) []struct {
	Title string
	Parts []table
} {
	var out []struct {
		Title string
		Parts []table
	}
	for _, s := range words.Closings(cs) {
		one := struct {
			Title string
			Parts []table
		}{Title: s.Title}
		for _, p := range parts("Before ceilings are closed: "+s.Title, s.Parts) {
			one.Parts = append(one.Parts, *p.Table)
		}
		out = append(out, one)
	}
	return out
}

// unbroken is a text in which no short name is broken at a hyphen or a stroke.
func unbroken(text string) template.HTML {
	const short = 20
	var b strings.Builder
	for i, w := range strings.Split(text, " ") {
		if i > 0 {
			b.WriteByte(' ')
		}
		if e := template.HTMLEscapeString(w); len(w) <= short && strings.ContainsAny(w, "-/") {
			b.WriteString(`<span class="nb">` + e + `</span>`)
		} else {
			b.WriteString(e)
		}
	}
	return template.HTML(b.String()) // every word is escaped
}

// num is a cell of a count; where there is nothing it is a dash, which a narrow screen leaves out.
func num(head string, n int) template.HTML {
	said, class := strconv.Itoa(n), "r"
	if n == 0 {
		said, class = "–", "r none"
	}
	return template.HTML(`<td role="cell" data-h="` + template.HTMLEscapeString(head) + `" class="` + class + `">` + said + `</td>`)
}

// mostPictures is how many bytes of pictures a page holds: with all its words it stays below 10 MB, which opens on a phone.
const mostPictures = 11 << 19

// Those for phones are added as long as all are below mostWithPhones, so that a phone does not load twice what it shows;
// those of the worst bays in any case.
const (
	mostWithPhones = 4 << 20
	worstBays      = 20
)

// drawn returns the pictures of the bays that are said in full, by their number. Where they are too many, those of least need go without, and
// are not drawn; those for phones have what room the others leave. As many bays are drawn at a time as there are processors; what has room
// goes by the order of need alone.
func drawn(r *meeting.Report, detailed map[int]bool) (map[int][]picture, error) {
	var bays []meeting.Need
	for _, n := range r.Need {
		if detailed[n.Number] && n.Drawn() {
			bays = append(bays, n)
		}
	}
	out, size, k := map[int][]picture{}, 0, 0
	for some := range slices.Chunk(bays, runtime.GOMAXPROCS(0)) {
		if size >= mostPictures {
			break
		}
		sets := make([]pictureSet, len(some))
		var all sync.WaitGroup
		for i, n := range some {
			all.Go(func() { sets[i] = setOf(n.Pictures(), n.Anchor, k+i < worstBays || size < mostWithPhones) })
		}
		all.Wait()
		for i, n := range some {
			set := &sets[i]
			if set.err != nil {
				return nil, set.err
			}
			more := 0
			for _, p := range set.paper {
				more += len(p.SVG)
			}
			if more == 0 || size+more > mostPictures {
				continue
			}
			size += more
			most := mostWithPhones
			if k+i < worstBays {
				most = mostPictures
			}
			for j, phone := range set.phone {
				if phone.SVG != "" && size+len(phone.SVG) <= most {
					set.paper[j].Phone, set.paper[j].phoneAgain = phone.SVG, phone.again
					size += len(phone.SVG)
				}
			}
			out[n.Number] = set.paper
		}
		k += len(some)
	}
	return out, nil
}

// pictureSet is the pictures of a bay, and the same for a phone where they were wanted.
type pictureSet struct {
	paper []picture
	phone []picture
	err   error
}

// setOf writes pictures, their ids beginning with a name.
func setOf(pictures []meeting.Picture, name string, phones bool) (set pictureSet) {
	for i, d := range pictures {
		p, err := svg(name+"-"+strconv.Itoa(i+1), d.Paper)
		if err != nil {
			set.err = err
			return set
		}
		p.of = d.Of
		var phone picture
		if phones && d.Phone != nil {
			if phone, err = svg(name+"-"+strconv.Itoa(i+1)+"n", d.Phone()); err != nil {
				set.err = err
				return set
			}
		}
		set.paper, set.phone = append(set.paper, p), append(set.phone, phone)
	}
	return set
}
