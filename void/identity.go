package void

import "strings"

// Own says what an identity is of that is no zone's. Findings name such things as they name zones, and no row may take such an id.
type Own uint8

// What has an identity and is no zone.
const (
	OwnZone     Own = iota // nothing of this: a zone, by the id of its row
	OwnCeiling             // the ceiling of a bay
	OwnSoffit              // the soffit of a bay
	OwnSupports            // what holds up a row
)

var ownWords = [...]string{OwnCeiling: "ceiling ", OwnSoffit: "soffit ", OwnSupports: "supports of "}

// Identity says what an id is of, and names that: the bay, as Bay.Label does, or the row whose supports they are; else the zone itself.
func Identity(id string) (is Own, of string) {
	for is := OwnCeiling; is <= OwnSupports; is++ {
		if of, its := strings.CutPrefix(id, ownWords[is]); its {
			return is, of
		}
	}
	return OwnZone, id
}

// GUIDOf returns the id in a building model of what an identity is of: of a row its own, of a bay's ceiling and soffit what bays.csv says;
// "" where that is blank. Supports have none.
func (p *Project) GUIDOf(id string) string {
	is, of := Identity(id)
	switch is {
	case OwnZone:
		if i, ok := p.ZoneByID(id); ok {
			return p.Zone(i).GUID()
		}
	case OwnCeiling, OwnSoffit:
		if j, ok := p.bayLabelled(fold(of)); ok {
			r := p.rows.bays.at(int(p.Bays[j].row))
			return p.word(r.overhead[is-OwnCeiling])
		}
	}
	return ""
}

// SupportsID returns the identity of what holds up a row.
func SupportsID(row string) string { return ownWords[OwnSupports] + row }

// CeilingID returns the identity of the bay's ceiling.
func (b *Bay) CeilingID() string { return ownWords[OwnCeiling] + b.Label }

// SoffitID returns the identity of the bay's soffit.
func (b *Bay) SoffitID() string { return ownWords[OwnSoffit] + b.Label }
