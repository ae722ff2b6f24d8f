package clash

import (
	"cmp"
	"crypto/sha256"
	"encoding/base32"
	"encoding/binary"
	"fmt"
	"math"
	"slices"
	"strings"

	"voidline/void"
	"voidline/void/cell"
)

// Version is what the program calls itself in its answers.
const Version = "0.1"

// Cautions end every report.
var cautions = []string{
	"This is a check of the data given, not a survey: levels are to be verified on site before anything is fixed.",
	"Openings and fixings in structure are the structural engineer's to allow.",
	"Hanger and anchor loads are not checked.",
	"Fire stopping, gas, electrical segregation and sprinkler coverage are for the licensed designer and the local code.",
	"Before drilling look out for asbestos, post-tensioned slabs and live services.",
}

// Cautions returns the cautions with which every report ends.
func Cautions() []string { return slices.Clone(cautions) }

var idLetters = base32.NewEncoding("abcdefghijklmnopqrstuvwxyz234567").WithPadding(base32.NoPadding)

// FindingID returns the id of a finding: 60 bits, 12 base-32 letters, over the two identities in sorted order,
// and for access its kind of access.
func FindingID(a, b, access string) string {
	if b < a {
		a, b = b, a
	}
	h := sha256.New()
	for _, s := range []string{a, b, access} {
		var n [8]byte
		binary.BigEndian.PutUint64(n[:], uint64(len(s)))
		h.Write(n[:])
		h.Write([]byte(s))
	}
	sum := h.Sum(nil)
	return idLetters.EncodeToString(sum)[:12]
}

// result sorts, names and counts what the run gathered, and applies the filters.
func (r *run) result() *Result {
	p := r.p
	res := &Result{
		Voidline: Version, Project: p.Name, RowsMissing: p.RowsMissing, Filter: r.filterWords(), Excused: r.excused, Cautions: Cautions(),
		Findings: []Finding{}, BuildersWork: []Hole{}, ToBeProtected: []Protection{},
		Warnings: Issues(p.Warnings), InputProblems: Issues(p.Problems), Unchecked: []Note{},
		Checked: Checked{
			Storeys: len(p.Storeys), Bays: len(p.Bays), Zones: p.Zones(), ByTrade: map[string]int{},
			Rules: len(r.rules.rules), Pairs: r.near,
		},
	}
	for i := range p.Zones() {
		res.Checked.ByTrade[r.char(int32(i)).Trade]++
	}
	for i := range r.findings {
		f := &r.findings[i]
		b := ""
		if f.B != nil {
			b = *f.B
		}
		kind := ""
		if f.Kind == Access {
			kind, _, _ = strings.Cut(f.Rule, " of ")
			kind, _, _ = strings.Cut(kind, " to ")
		}
		f.ID = FindingID(strings.ToLower(f.A), strings.ToLower(b), kind)
		f.round()
	}
	r.merge()
	for i := range r.findings {
		if f := &r.findings[i]; r.wants(f) {
			res.Findings = append(res.Findings, *f)
		}
	}
	order := map[string]int{}
	for i := range p.Storeys {
		order[p.Storeys[i].Name] = i
	}
	slices.SortFunc(res.Findings, func(a, b Finding) int { return compare(&a, &b, order) })
	problems := map[[4]string]bool{}
	for i := range res.Findings {
		f := &res.Findings[i]
		switch f.Kind {
		case Overlap:
			res.Counts.Overlap++
		case Tight:
			res.Counts.Tight++
		case Access:
			res.Counts.Access++
		}
		problems[f.problem()] = true
	}
	res.Problems = len(problems)
	for _, h := range r.holes {
		if r.wantsAt(h.Bay, r.tradeOf(h.Service), "") {
			res.BuildersWork = append(res.BuildersWork, h)
		}
	}
	slices.SortFunc(res.BuildersWork, func(a, b Hole) int {
		if c := strings.Compare(a.In, b.In); c != 0 {
			return c
		}
		return strings.Compare(a.Service, b.Service)
	})
	for _, t := range r.protected {
		if r.wantsAt(t.Bay, t.ofTrade, t.fromTrade) {
			res.ToBeProtected = append(res.ToBeProtected, t.Protection)
		}
	}
	for _, n := range p.Told {
		res.Unchecked = append(res.Unchecked, Note{Zone: n.Zone, Bay: n.Bay, Row: p.FileLine(n.Row), Text: n.Text})
	}
	res.Unchecked = append(res.Unchecked, r.notes...)
	slices.SortFunc(res.Unchecked, func(a, b Note) int {
		return cmp.Or(void.Natural(a.Bay, b.Bay), void.Natural(a.Zone, b.Zone), strings.Compare(a.Text, b.Text))
	})
	var warned []string
	for w := range r.warned {
		warned = append(warned, w)
	}
	slices.Sort(warned)
	for _, w := range warned {
		ids := r.warned[w]
		res.Unchecked = append(res.Unchecked, Note{Zone: ids[0], Text: fmt.Sprintf("%s (first met between %s and %s)", w, ids[0], ids[1])})
	}
	return res
}

// problem returns what makes findings one problem: run against run in one bay.
func (f *Finding) problem() [4]string {
	side := func(run, trade, id string) string {
		if run != "" {
			return "run " + run + " of " + trade
		}
		return "zone " + id
	}
	a, b := side(f.ARun, f.ATrade, f.A), ""
	if f.B != nil {
		b = side(f.BRun, f.BTrade, *f.B)
	}
	if b < a {
		a, b = b, a
	}
	bay := ""
	if f.Bay != nil {
		bay = *f.Bay
	}
	return [4]string{a, b, f.Storey, bay}
}

// Problem returns a key that is the same for all findings that people count as one problem: one run
// against one run in a bay.
func (f *Finding) Problem() string { p := f.problem(); return strings.Join(p[:], "\x00") }

// merge makes one finding of those of one id: the worst stays and names the rest. A pair may come of a
// rule between the two, of hand room along one of them, and of more than one storey's bays.
func (r *run) merge() {
	slices.SortStableFunc(r.findings, func(a, b Finding) int {
		if c := strings.Compare(a.ID, b.ID); c != 0 {
			return c
		}
		if a.Kind != b.Kind {
			return severity(a.Kind) - severity(b.Kind)
		}
		switch {
		case a.Short > b.Short:
			return -1
		case a.Short < b.Short:
			return 1
		}
		return strings.Compare(a.Rule+a.A, b.Rule+b.A)
	})
	out := r.findings[:0]
	for i := range r.findings {
		f := r.findings[i]
		if n := len(out); n > 0 && out[n-1].ID == f.ID {
			w := &out[n-1]
			more := append([]Also{{Rule: f.Rule, Side: f.Side, Gap: f.Gap, Asked: f.Asked, Short: f.Short, Basis: f.Basis}}, f.Also...)
			if f.A != w.A {
				for k := range more {
					more[k].Side = turned(more[k].Side) // as seen from the other
				}
			}
			w.Also = append(w.Also, more...)
			if w.Kind == Overlap && f.Kind == Tight && f.Asked > w.Asked && (w.BKind == "ceiling" || w.AKind == "ceiling") {
				// A ceiling asks by the greatest: what is in it must rise clear of it and of what its tiles ask.
				w.Short = tenth(w.Short + f.Asked - w.Asked)
				w.Asked = f.Asked
				for k := range w.Moves {
					w.Moves[k].By = w.Short
				}
			}
			continue
		}
		out = append(out, f)
	}
	r.findings = out
	for i := range r.findings {
		f := &r.findings[i]
		slices.SortStableFunc(f.Also, func(a, b Also) int {
			if c := strings.Compare(a.Rule, b.Rule); c != 0 {
				return c
			}
			return strings.Compare(a.Side, b.Side)
		})
		f.Also = slices.CompactFunc(f.Also, func(a, b Also) bool { return a == b })
		if f.Also == nil {
			f.Also = []Also{}
		}
		if f.Moves == nil {
			f.Moves = []Move{}
		}
	}
}

// swap tells a finding from the other of its two.
func (f *Finding) swap() {
	b := f.A
	f.A, f.B = *f.B, &b
	f.ATrade, f.BTrade = f.BTrade, f.ATrade
	f.ARow, f.BRow = f.BRow, f.ARow
	f.ARun, f.BRun = f.BRun, f.ARun
	f.AKind, f.BKind = f.BKind, f.AKind
	f.Side = turned(f.Side)
}

// turned returns a side as it is seen from the other of two.
func turned(side string) string {
	switch side {
	case cell.Above.String():
		return cell.Below.String()
	case cell.Below.String():
		return cell.Above.String()
	}
	return side
}

func severity(k Kind) int {
	switch k {
	case Overlap:
		return 0
	case Access:
		return 1
	}
	return 2
}

// compare orders findings: by storey, by bay (those outside every bay last), worst first.
func compare(a, b *Finding, storey map[string]int) int {
	if c := storey[a.Storey] - storey[b.Storey]; c != 0 {
		return c
	}
	if (a.Bay == nil) != (b.Bay == nil) {
		if a.Bay == nil {
			return 1
		}
		return -1
	}
	if a.Bay != nil {
		if c := void.Natural(*a.Bay, *b.Bay); c != 0 {
			return c
		}
	}
	if c := severity(a.Kind) - severity(b.Kind); c != 0 {
		return c
	}
	switch {
	case a.Short > b.Short:
		return -1
	case a.Short < b.Short:
		return 1
	}
	return strings.Compare(a.ID, b.ID)
}

// round takes every length to the nearest 0.1 mm, and never to a negative zero.
func (f *Finding) round() {
	for _, v := range []*float64{&f.At.X, &f.At.Y, &f.At.Z, &f.At.Level, &f.Gap, &f.Asked, &f.Short} {
		*v = tenth(*v)
	}
	if f.Depth != nil {
		f.Depth.Vertical = tenth(f.Depth.Vertical)
		if f.Depth.Sideways != nil {
			s := tenth(*f.Depth.Sideways)
			f.Depth.Sideways = &s
		}
	}
	for i := range f.Also {
		a := &f.Also[i]
		a.Gap, a.Asked, a.Short = tenth(a.Gap), tenth(a.Asked), tenth(a.Short)
	}
	for i := range f.Moves {
		// A move is rounded to the side that clears.
		f.Moves[i].By = math.Ceil(f.Moves[i].By*10-0.01) / 10
	}
}

func tenth(v float64) float64 {
	r := math.Round(v*10) / 10
	if r == 0 {
		return 0
	}
	return r
}

// Issues turns problems of the input into the record's form, sorted by file and line.
func Issues(ps []void.Problem) []Issue {
	out := make([]Issue, 0, len(ps))
	for _, p := range ps {
		q := p
		q.File, q.Line, q.Column = "", 0, 0
		out = append(out, Issue{File: p.File, Line: p.Line, Column: p.Column, Text: q.String()})
	}
	slices.SortStableFunc(out, func(a, b Issue) int {
		if c := strings.Compare(a.File, b.File); c != 0 {
			return c
		}
		if a.Line != b.Line {
			return a.Line - b.Line
		}
		return a.Column - b.Column
	})
	return slices.Compact(out)
}

// wants reports whether a finding passes the filters.
func (r *run) wants(f *Finding) bool {
	if len(r.opt.Only) > 0 && !slices.Contains(r.opt.Only, f.Kind) {
		return false
	}
	if r.opt.Firm && f.Kind == Access && f.Basis == string(Practice) {
		return false
	}
	return r.wantsAt(f.Bay, f.ATrade, f.BTrade)
}

func (r *run) wantsAt(bay *string, a, b string) bool {
	if len(r.opt.Bays) > 0 {
		if bay == nil {
			return false
		}
		if !slices.ContainsFunc(r.opt.Bays, func(s string) bool {
			// By its label, or by a name that several storeys may use.
			return strings.EqualFold(s, *bay) || len(*bay) > len(s)+1 && strings.EqualFold(s+", ", (*bay)[:len(s)+2])
		}) {
			return false
		}
	}
	if len(r.opt.Trades) > 0 && (a != "" || b != "") {
		return slices.Contains(r.opt.Trades, a) || slices.Contains(r.opt.Trades, b)
	}
	return true
}

func (r *run) tradeOf(id string) string {
	if i, ok := r.p.ZoneByID(id); ok {
		return r.char(int32(i)).Trade
	}
	return ""
}

// filterWords says in words what narrows the answer, "" for nothing.
func (r *run) filterWords() string {
	var w []string
	if len(r.opt.Bays) > 0 {
		w = append(w, "bay "+strings.Join(r.opt.Bays, ", "))
	}
	if len(r.opt.Trades) > 0 {
		w = append(w, "trade "+strings.Join(r.opt.Trades, ", "))
	}
	if len(r.opt.Only) > 0 {
		var k []string
		for _, o := range r.opt.Only {
			k = append(k, string(o))
		}
		w = append(w, "only "+strings.Join(k, ", "))
	}
	if r.opt.Firm {
		w = append(w, "firm: rules that rest on practice are left out")
	}
	return strings.Join(w, "; ")
}

// PairCounts counts findings by pair of trades, in alphabetical order.
func PairCounts(fs []Finding) []PairCount {
	type key struct{ a, b string }
	at := map[key]*PairCount{}
	probs := map[key]map[string]bool{}
	var keys []key
	for i := range fs {
		f := &fs[i]
		k := key{f.ATrade, f.BTrade}
		if k.b != "" && k.b < k.a {
			k.a, k.b = k.b, k.a
		}
		if at[k] == nil {
			at[k] = &PairCount{A: k.a, B: k.b}
			probs[k] = map[string]bool{}
			keys = append(keys, k)
		}
		switch f.Kind {
		case Overlap:
			at[k].Overlap++
		case Tight:
			at[k].Tight++
		case Access:
			at[k].Access++
		}
		probs[k][f.Problem()] = true
	}
	slices.SortFunc(keys, func(x, y key) int {
		if c := strings.Compare(x.a, y.a); c != 0 {
			return c
		}
		return strings.Compare(x.b, y.b)
	})
	out := make([]PairCount, len(keys))
	for i, k := range keys {
		out[i] = *at[k]
		out[i].Problems = len(probs[k])
	}
	return out
}

// Worst returns the finding of a bay (by its label) with the greatest shortfall, an overlap before any
// other kind; false where there is none.
func Worst(fs []Finding, bay string) (Finding, bool) {
	best, found := Finding{}, false
	for _, f := range fs {
		if f.Bay == nil || *f.Bay != bay {
			continue
		}
		if !found || severity(f.Kind) < severity(best.Kind) || f.Kind == best.Kind && f.Short > best.Short {
			best, found = f, true
		}
	}
	return best, found
}
