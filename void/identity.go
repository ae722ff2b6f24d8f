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

// SupportsID returns the identity of what holds up a row.
func SupportsID(row string) string { return ownWords[OwnSupports] + row }

// CeilingID returns the identity of the bay's ceiling.
func (b *Bay) CeilingID() string { return ownWords[OwnCeiling] + b.Label }

// SoffitID returns the identity of the bay's soffit.
func (b *Bay) SoffitID() string { return ownWords[OwnSoffit] + b.Label }
