package vocabulary

// RoomEntry is a kind that is usually in the room, under the ceiling: wholly under the finished face it is counted as in
// the room and is no finding. A row may say otherwise (column in room).
type RoomEntry struct {
	Kind string
	Why  string // common practice, no source
}

// NearFace is how near under the finished face, mm, anything else is taken for set to a wrong level: it was meant for the
// void. Further down it was meant for the room, unless its run is also in the void. Common practice, no source: sets and
// slips of a level are of a few hundred, and doors, windows and radiators begin further down.
const NearFace = 600.0

// rooms are in the order in which they are listed. Whatever stands through levels (a drop, a standpipe) is in the room as
// well where it ends under the face.
var rooms = []RoomEntry{
	{"radiator", "stands or hangs on a wall"},
	{"skirting trunking", "runs along a wall"},
	{"plastic trunking", "mini and dado trunking run along a wall"},
	{"light fitting", "surface luminaires, pendants, wall lights and exit signs hang under the face"},
	{"speaker", "sounders and beacons are fixed to a wall or the face"},
	{"detector", "fixed to the face or a wall"},
	{"camera", "fixed to the face or a wall"},
	{"access point", "fixed to the face or a wall"},
	{"sprinkler head", "stands out under the face, or at a wall"},
	{"grille", "set into the face or a wall"},
	{"diffuser", "set into the face or a wall"},
	{"radiant panel", "hangs free under a ceiling"},
	{"chilled beam", "hangs free under a ceiling"},
	{"distribution board", "stands or hangs on a wall"},
	{"air handling unit", "stands on the floor of a plant room"},
	{"pump", "stands on the floor of a plant room"},
	{"wall", "stands in the room; not all go up to the soffit"},
	{"column", "stands in the room; not all go up to the soffit"},
}

var roomIndex = index(rooms, func(e RoomEntry) []string { return []string{e.Kind} })

// UsuallyInRoom reports whether a kind, by its word, is usually in the room.
func UsuallyInRoom(kind string) bool {
	_, ok := roomIndex[fold(kind)]
	return ok
}

// RoomEntries returns the kinds that are usually in the room. They are not to be changed.
func RoomEntries() []RoomEntry { return rooms }
