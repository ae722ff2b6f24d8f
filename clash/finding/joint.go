package finding

// JointKind is how two pieces that ought to join do not.
type JointKind string

// The kinds of joint to put right.
const (
	StepUp      JointKind = "step up"                 // a drain begins above the invert of the piece that drains into it
	WrongWay    JointKind = "fall the wrong way"      // a drain falls against the flow
	UnderInvert JointKind = "enters under the invert" // a branch enters a drain below its invert
	LevelJump   JointKind = "level jump, no riser"    // ends meet in plan, at two levels
	EndsApart   JointKind = "ends apart"              // ends that look at each other lie apart, or an end stops short of a side
)

// Joint is a place where pieces of a run, or what a row names in joins, ought to join and do not. It is no overlap and no
// gap.
type Joint struct {
	Kind   JointKind `json:"kind"`
	A      string    `json:"a"` // zone id: of drains the piece that drains into the other
	B      string    `json:"b"`
	ATrade string    `json:"a_trade"`
	BTrade string    `json:"b_trade"`
	Run    string    `json:"run"`  // of a, "" for none
	Rows   []string  `json:"rows"` // file:line of a and b
	Bay    *string   `json:"bay"`
	Storey string    `json:"storey"`
	At     Spot      `json:"at"` // between the two
	By     float64   `json:"by"` // mm
	DX     float64   `json:"dx"` // from a's end to where b is
	DY     float64   `json:"dy"`
	DZ     float64   `json:"dz"`
	Note   string    `json:"note"`
}
