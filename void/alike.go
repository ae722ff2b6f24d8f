package void

import (
	"fmt"
	"math"
	"strings"

	"voidline/void/cell"
)

// alike is what many rows have in common: all but their ids, places, heights, falls and runs. A building of a
// million zones has a few thousand of it, so each is kept once and worked out once. It does not change but by
// resolving.
type alike struct {
	said
	p      *Project // whose words and grid lines these are
	Storey int32
	Bay    int32   // of the bay cell, -1 where blank
	Hanger int32   // index into Hangers, -1 for none
	Grow   float64 // joint and insulation outside the bare section, on every side, not on the ends

	web     float64      // thickness of a steel section's web, 0 where not known
	doubt   *unknownWord // what the size leaves in doubt; nil for nothing
	steel   bool         // a level hangs on the steel
	when    int          // the Resolve that it was resolved in; it is stale where it is not the last
	unfound []unfound
}

// unfound is why a storey, a bay or a hanger was not found.
type unfound struct {
	column string
	trouble
}

// said is what rows that are alike say. Words are indices into the project's words.
type said struct {
	Char                int32 // index into the project's characters
	raw                 int32 // of the words that the character comes from, as they are written
	file                int32 // index into Files
	storey, bay, hanger int32
	size                int32   // of a size by name (UB 406x178x60, DN50); 0 where it is in figures
	a, b, c             float64 // of the size, as cell.Size has them
	joint, cover        float64 // as written; of the two comes Grow
	Top                 float64 // lid or heaped cables above the section
	form                cell.SizeForm
	lowRef, highRef     cell.Ref
	face, says          cell.Facing // of the column and of the level
	overJoint           bool
	reach               flag // the cell, which Reach goes by kind without
	room                flag // the cell: whether the row is meant to be in the room under the ceiling

	Item     bool // a thing at a point
	Upright  bool // its level is a range: it stands through levels
	ByHeight bool // only its bay and heights are known
	Recessed bool
	Reach    bool
}

// facing returns the face that the level is to.
func (k *said) facing() cell.Facing {
	if k.says != cell.Unsaid {
		return k.says
	}
	return k.face
}

// hash returns a number that is the same for what is the same.
func (k *said) hash() uint64 {
	const m = 0x9e3779b97f4a7c15
	bit := func(on bool, n uint) uint64 {
		if on {
			return 1 << n
		}
		return 0
	}
	h := uint64(0)
	for _, v := range [...]uint64{
		uint64(uint32(k.raw)) | uint64(uint32(k.file))<<32,
		uint64(uint32(k.storey)) | uint64(uint32(k.bay))<<32,
		uint64(uint32(k.hanger)) | uint64(uint32(k.size))<<32,
		math.Float64bits(k.a), math.Float64bits(k.b), math.Float64bits(k.c),
		math.Float64bits(k.joint), math.Float64bits(k.cover), math.Float64bits(k.Top),
		uint64(k.form) | uint64(k.lowRef)<<8 | uint64(k.highRef)<<16 | uint64(k.face)<<24 | uint64(k.says)<<32 | uint64(k.reach)<<48 | uint64(k.room)<<52 |
			bit(k.overJoint, 40) | bit(k.Item, 42) | bit(k.Upright, 43) | bit(k.ByHeight, 44) | bit(k.Recessed, 45) | bit(k.Reach, 46),
	} {
		h = (h ^ v) * m
		h ^= h >> 29
	}
	return h
}

// alikes is what rows have in common, each once.
type alikes struct {
	list  []*alike
	slots []int32 // index into list + 1, 0 for a free place; a power of two of them
}

// find returns the one that says k, which is new where it is not there yet.
func (l *alikes) find(p *Project, k *said) (a *alike, found bool) {
	if 2*len(l.list) >= len(l.slots) {
		l.slots = make([]int32, max(64, 2*len(l.slots)))
		for n, a := range l.list {
			i := l.start(&a.said)
			for l.slots[i] != 0 {
				i = (i + 1) & (len(l.slots) - 1)
			}
			l.slots[i] = int32(n) + 1
		}
	}
	i := l.start(k)
	for ; l.slots[i] != 0; i = (i + 1) & (len(l.slots) - 1) {
		if a := l.list[l.slots[i]-1]; a.said == *k {
			return a, true
		}
	}
	a = &alike{said: *k, p: p, Bay: -1, Hanger: -1}
	l.list = append(l.list, a)
	l.slots[i] = int32(len(l.list))
	return a, false
}

// cut takes out what was added after the first n.
func (l *alikes) cut(n int) {
	for k := len(l.list) - 1; k >= n; k-- {
		// The last that came in stands behind all that it was in the way of.
		for i := l.start(&l.list[k].said); ; i = (i + 1) & (len(l.slots) - 1) {
			if l.slots[i] == int32(k)+1 {
				l.slots[i] = 0
				break
			}
		}
		l.list[k] = nil
	}
	l.list = l.list[:n]
}

func (l *alikes) start(k *said) int { return int(k.hash()>>32) & (len(l.slots) - 1) }

// wordList keeps texts that many rows say, in blocks that never move, so that a pointer to one stays good. The
// first is "".
type wordList struct {
	blocks []*[wordBlock]string
	n      int32
	of     map[string]int32
	recent [16]int32
}

const wordBlock = 256

func (l *wordList) at(i int32) *string { return &l.blocks[i/wordBlock][i%wordBlock] }

// index returns the index of a text, which is kept where it is new.
func (l *wordList) index(s string) int32 {
	if s == "" {
		return 0
	}
	recent := &l.recent[(len(s)+int(s[len(s)-1]))%len(l.recent)]
	if *recent > 0 && *l.at(*recent) == s {
		return *recent
	}
	if i, ok := l.of[s]; ok {
		*recent = i
		return i
	}
	if l.n == 0 {
		l.of = map[string]int32{}
		l.push("")
	}
	l.of[s] = l.n
	l.push(s)
	return l.n - 1
}

// keep is index for a text that does not live long.
func (l *wordList) keep(s string) int32 {
	if i, ok := l.of[s]; ok {
		return i
	}
	return l.index(strings.Clone(s))
}

func (l *wordList) push(s string) {
	if l.n%wordBlock == 0 {
		l.blocks = append(l.blocks, new([wordBlock]string))
	}
	l.n++
	*l.at(l.n - 1) = s
}

// word returns a word by its index.
func (p *Project) word(i int32) string {
	if i == 0 {
		return ""
	}
	return *p.words.at(i)
}

// resolveAlikes finds the storeys, bays and hangers that rows name. Those that hang on the steel come last, like
// the rows that say so.
func (p *Project) resolveAlikes() {
	list := p.alikes.list
	if p.edited { // then there may be some that no row has any more
		used := map[*alike]bool{}
		list = nil
		for i := range p.zones.n {
			if z := p.Zone(i); !used[z.alike] {
				used[z.alike] = true
				list = append(list, z.alike)
			}
		}
	}
	for _, a := range list {
		if a.steel = a.lowRef == cell.Steel || a.Upright && a.highRef == cell.Steel; !a.steel {
			p.resolveAlike(a)
		}
	}
	for _, a := range list {
		if a.steel {
			p.resolveAlike(a)
		}
	}
}

// resolveAlike finds the storey, the bay and the hanger that rows name, and says why not where they are not there.
func (p *Project) resolveAlike(a *alike) {
	a.Storey, a.Bay, a.Hanger, a.unfound, a.when = 0, -1, -1, nil, p.resolves
	a.steel = a.lowRef == cell.Steel || a.Upright && a.highRef == cell.Steel
	bad := func(column, what, want, hint string) {
		a.unfound = append(a.unfound, unfound{column, trouble{what: what, want: want, hint: hint}})
	}
	none := func(column, what, want string, near func() string) {
		a.unfound = append(a.unfound, unfound{column, trouble{what: what, want: want, guess: &guess{near}}})
	}
	storeyName, bayName, hangerName := p.word(a.storey), p.word(a.bay), p.word(a.hanger)
	if storeyName == "" && bayName != "" && len(p.Storeys) > 1 {
		hits := 0
		if b, there := p.bayNamed[fold(bayName)]; there {
			for ; b >= 0; b = p.Bays[b].next {
				a.Storey, a.Bay = int32(p.Bays[b].Storey), b
				hits++
			}
		}
		if hits == 0 && p.broken["bays"] {
			bad("bay", leans, "", "")
			return
		}
		if hits != 1 {
			bad("storey", fmt.Sprintf("blank, and bay %q is in %d storeys", bayName, hits), "the storey of the row", "")
			return
		}
	} else {
		s, what, hint := p.storey(storeyName)
		if what != "" {
			bad("storey", what, "a storey of levels.csv", hint)
			return
		}
		a.Storey = int32(s)
		if bayName != "" {
			b, there := p.bay(s, bayName)
			if !there && p.broken["bays"] {
				bad("bay", leans, "", "")
				return
			}
			if !there {
				none("bay", fmt.Sprintf("no bay %q in bays.csv", bayName), "a bay of the row's storey", func() string {
					var names []string
					for j := range p.Bays {
						if p.Bays[j].Storey == s {
							names = append(names, p.Bays[j].Name)
						}
					}
					return date(bayName, near(bayName, names))
				})
				return
			}
			a.Bay = int32(b)
		}
	}
	if hangerName != "" && fold(hangerName) != "none" {
		h, there := p.hanger(hangerName)
		if !there && p.broken["hangers"] || !p.isWhole("hangers", hangerName) {
			bad("hanger", leans, "", "")
		} else if !there {
			none("hanger", fmt.Sprintf("no hanger %q in hangers.csv or built in", hangerName), "the name of a hanger", func() string { return p.nearHanger(hangerName) })
		}
		a.Hanger = int32(h)
	}
}
