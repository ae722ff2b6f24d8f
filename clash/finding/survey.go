package finding

import (
	"math"

	"voidline/void"
)

// Survey is what an answer says of what was found on site. Levels are above the storey's FFL, to the nearest 0.1 mm.
type Survey struct {
	Readings int      `json:"readings"` // rows of surveyed.csv with a level
	Blank    int      `json:"blank"`    // rows without one
	NotSeen  int      `json:"not_seen"` // of Blank, where nothing could be seen
	Days     []string `json:"days"`
	By       []string `json:"by"`
	Bays     int      `json:"bays"`     // bays whose soffit was read
	NotRead  []string `json:"not_read"` // the others: there what is drawn counts
	SetUps   []SetUp  `json:"set_ups"`
	// Differs is what was found elsewhere than drawn by more than its tolerance.
	Differs []Differs `json:"differs"`
	Follows []Follows `json:"follows"` // rows that follow what was found
	// Only is how many findings came only with the survey; nil where that was not asked.
	Only *int `json:"only_with_it,omitempty"`
}

// SetUp is a set-up of the instrument.
type SetUp struct {
	Name     string  `json:"name"`
	Storey   string  `json:"storey"`
	Checks   int     `json:"checks"`   // readings of the datum line
	Misclose float64 `json:"misclose"` // the highest of them less the lowest
}

// Differs is something that was found elsewhere than drawn.
type Differs struct {
	What      string  `json:"what"` // soffit, steel, ceiling, floor, zone
	Of        string  `json:"of"`   // the bay, or the id of the row
	Storey    string  `json:"storey"`
	Row       string  `json:"row"` // file:line of the reading
	Drawn     float64 `json:"drawn"`
	Found     float64 `json:"found"`
	Counts    float64 `json:"counts"` // what the check went by: Found, or Drawn where one reading cannot say that there is more room
	By        float64 `json:"by"`     // Found less Drawn
	Readings  int     `json:"readings"`
	Spread    float64 `json:"spread"` // of the readings, each against what is drawn at its place
	Tolerance float64 `json:"tolerance"`
}

// Follows is a row whose level is written relative to what was found elsewhere than drawn.
type Follows struct {
	Zone   string  `json:"zone"`
	Row    string  `json:"row"`
	Storey string  `json:"storey"`
	Level  string  `json:"level"` // as written
	By     float64 `json:"by"`    // the level now less as drawn; of a range its upper end where only that follows
	// Tolerance is how far off its level the row may be built: what it follows by no more than that is of no account.
	Tolerance float64 `json:"tolerance"`
}

// Tells reports whether the row follows by more than its tolerance.
func (f *Follows) Tells() bool { return math.Abs(f.By) > f.Tolerance+void.Hair }

// MiscloseMost is how much the checks of a set-up back to the datum line may differ, mm, before it is told.
const MiscloseMost = 3.0
