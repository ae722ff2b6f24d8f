// Package book keeps what was measured, entry by entry, each with the zones it came of.
//
// In comes what a check measured: findings in words, hits (findings that are yet to be worded), and what is told beside them.
// Out go the entries, and after a change what of them does not hold any more: the entries that came of what changed are taken
// out (Stale), and it is said what hangs on entries that are gone and is to be worked out anew. A book on trial is taken from another
// to say what a change would come to, and leaves it as it is (Trial).
//
// It does not know how anything is measured, nor what lies where: zones, bays, spaces and parties are numbers to it. It puts nothing
// into words. It knows the record, the rules that entries name, and why pairs are excused (measure.Tie).
package book

import (
	"slices"

	"voidline/clash/finding"
	"voidline/clash/measure"
)

// A Book keeps what was measured. Findings of pairs, and of zones and ceilings or soffits, may be very many: of these it keeps no
// more than how they are to be counted and put in order; they are worded when somebody reads them. The zero value is empty.
type Book struct {
	Words    bool      // what is measured is wanted worded at once
	Hits     []Hit     // yet to be worded
	Findings []*Placed // worded at once: the few that are more than a pair
	Holes    []Hole    // builder's work
	Sides    []SideBlock
	Crossed  []Crossing
	Excused  []Excuse
	Joints   []Joint  // of runs, to put right
	Asked    []Asking // pairs that the table of connections does not know
	Warned   []Warning
	Serves   []Serving
	Notes    []Note
	Tiles    []OverTile
	Unsaid   []UnsaidCeiling
	Below    []UnderFace // wholly under a finished face
	Pierced  []ThroughCeiling
	Told     []Relation
	Measured int // pairs near enough for a rule to matter
	// Excuses are of a check that is asked once: how many for each reason, in place of Excused.
	Excuses [measure.Ties]int

	once     bool // of a check that is asked once
	pairwise bool // the pairs that are excused are wanted of a check that is asked once, too

	served map[int32]int32 // zone -> how many things set into the ceiling it meets
	// servedBefore is that of the book that a trial is taken from: served is then what has changed.
	servedBefore map[int32]int32

	OnTrial bool // see Trial
	from    *ByZone
	had     map[int32]bool // of from

	Found   int // findings that were measured, before filters, at the first asking
	Order   Order
	Groups  []Group // what is told, in order
	Grouped bool

	// What has come and gone since the book was last put in order.
	Touched map[uint64]bool   // ids of findings
	Related map[[2]int32]bool // parties whose relations did
}

// New returns an empty book: of a check that is asked once it only counts what is excused, unless the pairs are wanted.
func New(once, pairwise bool) *Book {
	return &Book{once: once, pairwise: pairwise, served: map[int32]int32{}}
}

// LetGo makes a book that of a check that is asked once.
func (b *Book) LetGo() {
	if b.once {
		return
	}
	b.once = true
	for i := range b.Excused {
		b.Excuses[b.Excused[i].Why]++
	}
	if !b.pairwise {
		b.Excused = nil
	}
}

// Excuse notes that a pair is excused.
func (b *Book) Excuse(of Origin, why measure.Tie, x, y int32) {
	if b.once {
		b.Excuses[why]++
		if !b.pairwise {
			return
		}
	}
	b.Excused = append(b.Excused, Excuse{of, why, x, y})
}

// Serve notes that a zone meets n more things that are set into the ceiling.
func (b *Book) Serve(zone, n int32) { b.served[zone] += n }

// ServedBy returns how many things that are set into the ceiling a zone meets.
func (b *Book) ServedBy(zone int32) int32 { return b.served[zone] + b.servedBefore[zone] }

// Add puts down a worded finding.
func (b *Book) Add(of Origin, x, y int32, key Along, f finding.Finding) {
	b.AddAccess(of, x, y, key, f, "")
}

// AddAccess puts down a worded finding with what kind of access it is about, "" for none.
func (b *Book) AddAccess(of Origin, x, y int32, key Along, f finding.Finding, access string) {
	f.Identify(access)
	f.Finish()
	b.Findings = append(b.Findings, &Placed{Of: of, A: x, B: y, Key: key, Finding: f})
}

// Take adds what other books have.
func (b *Book) Take(os ...*Book) {
	b.Hits = with(b.Hits, os, func(o *Book) []Hit { return o.Hits })
	b.Findings = with(b.Findings, os, func(o *Book) []*Placed { return o.Findings })
	b.Holes = with(b.Holes, os, func(o *Book) []Hole { return o.Holes })
	b.Sides = with(b.Sides, os, func(o *Book) []SideBlock { return o.Sides })
	b.Crossed = with(b.Crossed, os, func(o *Book) []Crossing { return o.Crossed })
	b.Excused = with(b.Excused, os, func(o *Book) []Excuse { return o.Excused })
	b.Joints = with(b.Joints, os, func(o *Book) []Joint { return o.Joints })
	b.Asked = with(b.Asked, os, func(o *Book) []Asking { return o.Asked })
	b.Warned = with(b.Warned, os, func(o *Book) []Warning { return o.Warned })
	b.Serves = with(b.Serves, os, func(o *Book) []Serving { return o.Serves })
	b.Notes = with(b.Notes, os, func(o *Book) []Note { return o.Notes })
	b.Tiles = with(b.Tiles, os, func(o *Book) []OverTile { return o.Tiles })
	b.Unsaid = with(b.Unsaid, os, func(o *Book) []UnsaidCeiling { return o.Unsaid })
	b.Below = with(b.Below, os, func(o *Book) []UnderFace { return o.Below })
	b.Pierced = with(b.Pierced, os, func(o *Book) []ThroughCeiling { return o.Pierced })
	b.Told = with(b.Told, os, func(o *Book) []Relation { return o.Told })
	for _, o := range os {
		b.Measured += o.Measured
		for k, n := range o.Excuses {
			b.Excuses[k] += n
		}
	}
}

// with appends what books have of one sort, all at once: growing bit by bit leaves as much again behind.
func with[T any](to []T, books []*Book, of func(*Book) []T) []T {
	n := 0
	for _, o := range books {
		n += len(of(o))
	}
	to = slices.Grow(to, n)
	for _, o := range books {
		to = append(to, of(o)...)
	}
	return to
}

// Parties says of the relations of a book whom their rows are counted with.
func (b *Book) Parties(party func(zone int32) int32) {
	for i := range b.Told {
		t := &b.Told[i]
		t.OfParty, t.FromParty = party(t.Of), party(t.From)
	}
}

// Keep takes what was measured anew into a book that was in order, and notes that it came.
func (b *Book) Keep(o *Book, party func(zone int32) int32) {
	for i := range o.Hits {
		b.Touched[o.Hits[i].ID] = true
	}
	for _, f := range o.Findings {
		b.Touched[f.Finding.IDNumber()] = true
	}
	o.Parties(party)
	for i := range o.Told {
		b.Related[[2]int32{o.Told[i].OfParty, o.Told[i].FromParty}] = true
	}
	b.Take(o)
}
