package void

// Limit is a length by which something is decided.
type Limit struct {
	Name   string
	MM     float64
	Why    string
	Source string
}

// NoSource is the source of what is common practice.
const NoSource = "common practice, no source"

// Practised sets the source of limits that name none.
func Practised(ls []Limit) []Limit {
	for i := range ls {
		if ls[i].Source == "" {
			ls[i].Source = NoSource
		}
	}
	return ls
}

// Limits returns the lengths by which it is decided how the tables are read.
func Limits() []Limit {
	return Practised([]Limit{
		{Name: "tiers of one frame, furthest aside", MM: tierAside, Why: "two rows that are further beside each other share no rods, and their levels are not compared"},
		{Name: "trough of a deck or a coffer, deepest", MM: troughMost, Why: "a coffer is a few hundred deep: more is a slip of the pen"},
		{Name: "bay, least side", MM: leastBay, Why: "what goes into a square of that was written in metres, or is a sliver that a program left"},
		{Name: "channel of a frame longer than its service is wide, where the hanger says no width", MM: hangWider, Why: "a rod 50 clear each side, and 30 of channel beyond it"},
		{Name: "readings of more than one place, apart at least", MM: SurveyApart, Why: "one reading never raises a soffit or a beam, and never lowers a ceiling: the next place may be otherwise"},
		{Name: "floor as found from FFL, furthest", MM: floorMost, Why: "more is another floor, or a slip"},
		{Name: "hatch, usual side", MM: HatchSize, Why: "where an access row says no size", Source: "access-panel handbook"},
	})
}

// Bound is how much is looked at before an answer says that no more was.
type Bound struct {
	Name   string
	Most   int
	Why    string // what it saves and why no real project comes to it
	Source string
}

// Bounds returns how much a project may hold.
func Bounds() []Bound {
	return []Bound{
		{"ways in which rows differ in trade, service, kind, class, circuits and recessed", mostCharacters, "rules look at every two of them, and a building has a few hundred; a row with one more is an error of the tables", "measured: 20,000 different numbers of circuits took 17 s of processor time and 970 MB"},
	}
}
