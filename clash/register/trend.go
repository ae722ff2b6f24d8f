package register

// Week is how the register stood at the end of a day.
type Week struct {
	End                         Date
	Open, Back, Agreed, Cleared int // in that state at the end of the day; cleared counts all that ever were
	New                         int // first seen in the seven days up to it
}

// Trend returns how the register stood at the end of each of the last weeks, oldest first; the last ends on
// until. A row whose history cannot be read counts from its first date on: open up to its last date,
// then in the state that it has. No weeks, or no date: nothing.
func Trend(entries []Entry, until Date, weeks int) []Week {
	if _, ok := ParseDate(string(until)); !ok || weeks <= 0 {
		return nil
	}
	out := make([]Week, weeks)
	for i := range out {
		w := &out[i]
		w.End = until.Add(-7 * (weeks - 1 - i))
		from := w.End.Add(-7)
		for j := range entries {
			e := &entries[j]
			events := e.events()
			if len(events) == 0 {
				continue
			}
			switch at(events, w.End) {
			case Open:
				w.Open++
			case Back:
				w.Back++
			case Agreed:
				w.Agreed++
			case Cleared:
				w.Cleared++
			}
			if on := events[0].On; on > from && on <= w.End {
				w.New++
			}
		}
	}
	return out
}
