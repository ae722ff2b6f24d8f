package void

// hashName returns a number that is the same for names that are the same to fold.
func hashName(s string) uint32 {
	h := uint64(0xcbf29ce484222325) // FNV-1a
	for i := 0; i < len(s); i++ {
		c := s[i]
		switch {
		case c >= 'A' && c <= 'Z':
			c |= 0x20
		case !plain(s, i):
			s = fold(s)
			h = 0xcbf29ce484222325
			for i := 0; i < len(s); i++ {
				h = (h ^ uint64(s[i])) * 0x100000001b3
			}
			return spread(h)
		}
		h = (h ^ uint64(c)) * 0x100000001b3
	}
	return spread(h)
}

// plain reports whether fold leaves byte i of s as it is, but for the case of a letter.
func plain(s string, i int) bool {
	c := s[i]
	return c > ' ' && c < 0x7f || c == ' ' && i > 0 && i < len(s)-1 && s[i-1] != ' '
}

// sameName reports whether two names are the same to fold.
func sameName(a, b string) bool {
	if len(a) == len(b) {
		i := 0
		for ; i < len(a); i++ {
			x, y := a[i], b[i]
			if x != y && (x|0x20 != y|0x20 || x|0x20 < 'a' || x|0x20 > 'z') || x >= 0x80 {
				break
			}
		}
		if i == len(a) {
			return true
		}
	}
	return fold(a) == fold(b)
}

// spread mixes all bits of a number into all of its bits.
func spread(h uint64) uint32 {
	h ^= h >> 32
	h *= 0x9e3779b97f4a7c15
	return uint32(h >> 32)
}

// idTable finds zones by their ids without keeping the ids again: open addressing over zone numbers. Of five places
// four are taken at the most.
type idTable struct {
	slots []idSlot
	taken int   // places that are not free, freed ones included
	seen  int32 // what warm saw, so that looking is not left out
}

// idSlot is a place of the table. Hashes come in the order of the places that they start at, so that a table
// grows by going along it.
type idSlot struct {
	hash uint32
	zone int32 // + 1; 0 for a free place, freed for one whose zone was taken out
}

const (
	freed     = -1
	idTableOf = 64 // places of the first table
)

// start returns where a hash is looked for first.
func (t *idTable) start(h uint32) int { return int(uint64(h) * uint64(len(t.slots)) >> 32) }

// find returns the zone of an id, false where there is none.
func (t *idTable) find(zones *zoneList, id string) (int32, bool) {
	at, ok := t.place(zones, id, hashName(id))
	if !ok {
		return 0, false
	}
	return t.slots[at].zone - 1, true
}

// place returns the place of an id, or false and the free place where it would stand; -1 where there is no table.
func (t *idTable) place(zones *zoneList, id string, h uint32) (int, bool) {
	if len(t.slots) == 0 {
		return -1, false
	}
	free := -1
	for i := t.start(h); ; i++ {
		if i == len(t.slots) {
			i = 0
		}
		switch s := &t.slots[i]; {
		case s.zone == 0 && free < 0:
			return i, false
		case s.zone == 0:
			return free, false
		case s.zone == freed && free < 0:
			free = i
		case s.hash == h && s.zone != freed && sameName(zones.at(int(s.zone-1)).ID, id):
			return i, true
		}
	}
}

// add takes in zone n. Where its id is there already it returns the zone that has it, and false.
func (t *idTable) add(zones *zoneList, n int32) (int32, bool) {
	if t.taken >= len(t.slots)/5*4 {
		t.grow()
	}
	id := zones.at(int(n)).ID
	h := hashName(id)
	i, there := t.place(zones, id, h)
	if there {
		return t.slots[i].zone - 1, false
	}
	if t.slots[i].zone != freed {
		t.taken++
	}
	t.slots[i] = idSlot{h, n + 1}
	return n, true
}

// warm looks at the places where the ids of rows would stand, all of them at about the same time: in a large table,
// that is quicker than waiting for memory row by row.
func (t *idTable) warm(rows []ZoneRow) {
	if len(t.slots) == 0 {
		return
	}
	var seen int32
	for i := range rows {
		seen |= t.slots[t.start(hashName(rows[i].ID.Text))].zone
	}
	t.seen = seen
}

// remove frees the id of a zone.
func (t *idTable) remove(zones *zoneList, id string) {
	if i, ok := t.place(zones, id, hashName(id)); ok {
		t.slots[i].zone = freed
	}
}

// grow makes the table larger by a half, or no larger where many places were freed.
func (t *idTable) grow() {
	live := 0
	for i := range t.slots {
		if t.slots[i].zone > 0 {
			live++
		}
	}
	size := len(t.slots)
	if live >= size/2 {
		size = max(idTableOf, size+size/2)
	}
	old := t.slots
	t.slots, t.taken = make([]idSlot, size), live
	for _, s := range old {
		if s.zone <= 0 {
			continue
		}
		i := t.start(s.hash)
		for t.slots[i].zone != 0 {
			if i++; i == size {
				i = 0
			}
		}
		t.slots[i] = s
	}
}

// renew takes in all zones again, after their numbers changed.
func (t *idTable) renew(zones *zoneList) {
	*t = idTable{}
	for k := range zones.n {
		if !zones.at(k).Gone {
			t.add(zones, int32(k))
		}
	}
}
