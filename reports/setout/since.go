package setout

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"voidline/clash/finding"
	"voidline/clash/setout"
	"voidline/reports/words"
)

// Since returns in sentences what of the sheet in the file called name is no longer so: what is already drilled first.
func Since(s *setout.Since, name string) []string {
	if s.Holds() {
		return []string{words.Clean(name) + " still holds: nothing on it has changed."}
	}
	out := []string{"No longer as on " + words.Clean(name) + ":"}
	drilled := sinceOf(s, true)
	for _, w := range drilled {
		out = append(out, "Already drilled: "+w)
	}
	return append(out, sinceOf(s, false)...)
}

// sinceOf returns the sentences of what is drilled, or of all else.
func sinceOf(s *setout.Since, drilled bool) []string {
	var out []string
	tell := func(length, w string) {
		if length != "" {
			w = "Length " + length + ": " + w
		}
		out = append(out, words.Clean(w))
	}
	if !drilled {
		for _, x := range s.Starts {
			tell(x.Length, startSince(&x))
		}
	}
	for _, x := range s.Levels {
		if x.Drilled == drilled {
			tell(x.Length, levelSince(&x))
		}
	}
	for _, x := range s.Sets {
		if x.Drilled == drilled {
			tell(x.Length, setSince(&x))
		}
	}
	var lengths []string
	for _, x := range s.Supports {
		if !slices.Contains(lengths, x.Length) {
			lengths = append(lengths, x.Length)
		}
	}
	for _, l := range lengths {
		for _, w := range supportsSince(slices.DeleteFunc(slices.Clone(s.Supports), func(x setout.SupportSince) bool { return x.Length != l || x.Drilled != drilled })) {
			tell(l, w)
		}
	}
	if drilled {
		return out
	}
	var cuts []string
	for _, x := range s.Parts {
		if x.Cut {
			if !slices.Contains(cuts, x.Length) {
				cuts = append(cuts, x.Length)
			}
			continue
		}
		tell(x.Length, fmt.Sprintf("Parts: %s: %d, not %d.", x.Part, x.Now, x.Then))
	}
	for _, l := range cuts {
		tell(l, "The cutting list has changed.")
	}
	for _, x := range s.Notes {
		if x.Now {
			tell(x.Length, "Now "+x.Text+".")
		} else {
			tell(x.Length, "No longer so: "+x.Text+".")
		}
	}
	return out
}

func startSince(x *setout.StartSince) string {
	if x.Turned {
		return "Positions are now from the other end."
	}
	var ways []string
	if math.Abs(x.Along) >= 0.5 {
		ways = append(ways, words.Near(math.Abs(x.Along))+" along the run, "+towards(x.Along))
	}
	if x.Across > 0 {
		ways = append(ways, words.Near(x.Across)+" across it")
	}
	return "The start, from which positions are, moves " + strings.Join(ways, " and ") + "."
}

// towards says which way along a run.
func towards(by float64) string {
	if by < 0 {
		return "towards its start"
	}
	return "towards its end"
}

func levelSince(x *setout.LevelSince) string {
	w := fmt.Sprintf("Line from %s to %s: ", words.Near(x.From), words.Near(x.To))
	switch {
	case x.Now == nil:
		return w + "none now, was " + struckWords(x.Then, true) + "."
	case x.Then == nil:
		return w + struckWords(x.Now, true) + " now, there was none."
	}
	// To the FFL, unless that alone is as it was.
	ffl := math.Abs(x.Now.FFL-x.Then.FFL) > 0.05 || math.Abs(x.Now.Rise-x.Then.Rise) > 0.05 || math.Abs(x.Now.Datum-x.Then.Datum) <= 0.05
	w += struckWords(x.Now, ffl) + " now, was " + struckWords(x.Then, ffl)
	if x.Now.Rise == x.Then.Rise {
		if up := x.Now.Project - x.Then.Project; up > 0.05 {
			w += ": " + exact(up) + " higher"
		} else if up < -0.05 {
			w += ": " + exact(-up) + " lower"
		} else {
			w += ": at the same place above the project datum"
		}
	}
	return w + "."
}

func struckWords(z *setout.Struck, ffl bool) string {
	name, v := "datum", z.Datum
	if ffl {
		name, v = "FFL", z.FFL
	}
	w := name + signed(v)
	if z.Rise != 0 {
		w += " to " + name + signed(v+z.Rise)
	}
	return w
}

func setSince(x *setout.SetSince) string {
	say := func(s *setout.IssuedSet) string {
		return fmt.Sprintf("%s from %s to %s", setWords(&setout.Step{Rise: s.Rise}), words.Near(s.From), words.Near(s.To))
	}
	switch {
	case x.Then == nil:
		return "New: " + say(x.Now) + "."
	case x.Now == nil:
		return fmt.Sprintf("Set %d is gone (%s).", x.No, say(x.Then))
	}
	return fmt.Sprintf("Set %d: %s, was %s.", x.No, say(x.Now), say(x.Then))
}

// change is what became of a support; supports of one change are said in one sentence.
type change struct {
	is              changing
	many, one, rest string // otherwise: the sentence behind their numbers, of many and of one
	by              int    // renumbered: by how much
	length          string // and on the sheet of which length, "" of this
}

type changing uint8

const (
	otherwise changing = iota
	toTheSide
	toTheStart
	toTheEnd
	gone
	added
	longer
	shorter
	renumbered
)

// supportsSince says of the supports of one length what became of them, those alike in one sentence.
func supportsSince(list []setout.SupportSince) []string {
	var out []string
	var order []change // in which they first come
	by := map[change][]setout.SupportSince{}
	add := func(x setout.SupportSince, c change) {
		if by[c] == nil {
			order = append(order, c)
		}
		by[c] = append(by[c], x)
	}
	for _, x := range list {
		switch x.Is {
		case setout.SupportMoves:
			switch {
			case x.Across > 0:
				add(x, change{is: toTheSide})
			case x.Along < 0:
				add(x, change{is: toTheStart})
			default:
				add(x, change{is: toTheEnd})
			}
		case setout.SupportGone:
			add(x, change{is: gone})
		case setout.SupportNew:
			add(x, change{is: added})
		}
		if x.Rods != nil {
			if slices.Max(x.Rods) > -slices.Min(x.Rods) {
				add(x, change{is: longer})
			} else {
				add(x, change{is: shorter})
			}
		}
		if c := x.RodCount; c != nil {
			add(x, change{many: "have", one: "has", rest: fmt.Sprintf("%s now, %d before", words.Count(c.Now, "rod", "rods"), c.Then)})
		}
		if c := x.HangsFrom; c != nil {
			add(x, change{many: "hang", one: "hangs", rest: "from " + c.Now + " now, from " + c.Then + " before"})
		}
		if c := x.Channel; c != nil {
			add(x, change{many: "have", one: "has", rest: "a channel " + exact(c.Now) + " long now, " + exact(c.Then) + " before"})
		}
		if x.Is != setout.SupportGone && x.Is != setout.SupportNew && (x.Now != x.No || x.OtherLength != "") {
			add(x, change{is: renumbered, by: x.Now - x.No, length: x.OtherLength})
		}
	}
	for _, c := range order {
		xs := by[c]
		var nos, nows []int
		var amounts []float64
		for _, x := range xs {
			nos, nows = append(nos, x.No), append(nows, x.Now)
			switch c.is {
			case toTheSide:
				amounts = append(amounts, math.Hypot(x.Along, x.Across))
			case toTheStart, toTheEnd:
				amounts = append(amounts, math.Abs(x.Along))
			case longer:
				amounts = append(amounts, slices.Max(x.Rods))
			case shorter:
				amounts = append(amounts, -slices.Min(x.Rods))
			}
		}
		one := len(xs) == 1
		verb := func(many, single string) string {
			if one {
				return single
			}
			return many
		}
		who := verb("Supports ", "Support ") + numbers(nos)
		switch c.is {
		case toTheSide:
			out = append(out, who+verb(" move ", " moves ")+upTo(amounts)+" in plan, to the side.")
		case toTheStart:
			out = append(out, who+verb(" move ", " moves ")+upTo(amounts)+" along the run, towards its start.")
		case toTheEnd:
			out = append(out, who+verb(" move ", " moves ")+upTo(amounts)+" along the run, towards its end.")
		case gone:
			out = append(out, who+verb(" are", " is")+" gone.")
		case added:
			out = append(out, who+" of the sheet below "+verb("are", "is")+" new.")
		case longer:
			out = append(out, "Rods of "+numbers(nos)+" are "+upTo(amounts)+" longer.")
		case shorter:
			out = append(out, "Rods of "+numbers(nos)+" are "+upTo(amounts)+" shorter.")
		case renumbered:
			w := who + verb(" are", " is") + " numbered " + numbers(nows) + " now"
			if c.length != "" {
				w += ", on the sheet of length " + c.length
			}
			out = append(out, w+".")
		default:
			out = append(out, who+" "+verb(c.many, c.one)+" "+c.rest+".")
		}
	}
	return out
}

// upTo says amounts: 35 where all are alike, else up to 35.
func upTo(mm []float64) string {
	lo, hi := words.Near(slices.Min(mm)), words.Near(slices.Max(mm))
	if lo == hi {
		return hi
	}
	return "up to " + hi
}

// numbers lists numbers: 3, 4 and 7 to 11.
func numbers(nos []int) string {
	nos = slices.Compact(slices.Sorted(slices.Values(nos)))
	var out []string
	for i := 0; i < len(nos); {
		k := i
		for k+1 < len(nos) && nos[k+1] == nos[k]+1 {
			k++
		}
		switch {
		case k-i >= 2:
			out = append(out, fmt.Sprintf("%d to %d", nos[i], nos[k]))
		default:
			for _, n := range nos[i : k+1] {
				out = append(out, strconv.Itoa(n))
			}
		}
		i = k + 1
	}
	if n := len(out); n > 1 {
		return strings.Join(out[:n-1], ", ") + " and " + out[n-1]
	}
	return strings.Join(out, "")
}

// SinceText prints what of an issued sheet is no longer so; it stands before the sheet.
func SinceText(w io.Writer, s *setout.Since, name string, width int) error {
	if width == 0 {
		width = 80
	}
	p := newPage(w, width)
	lines := Since(s, name)
	p.para("", "  ", lines[0])
	for _, l := range lines[1:] {
		p.para("- ", "  ", l)
	}
	p.line("")
	return p.w.Flush()
}

// JSON writes the sheets of a run's lengths as one document: the rows of CSV, each an object of the cells that are not blank, figures as figures;
// and what of a sheet that was issued is no longer so, where that was asked for.
func JSON(w io.Writer, all []*Sheet, order *setout.Order, since *setout.Since) error {
	b := bufio.NewWriter(w)
	put := func(v any) error {
		text, err := json.Marshal(v)
		if err != nil {
			return err
		}
		_, err = b.Write(words.Spelled(text))
		return err
	}
	b.WriteString("{\n\"voidline\": ") // a bufio.Writer keeps its first error for Flush
	if err := put(finding.Version); err != nil {
		return err
	}
	b.WriteString(",\n\"run\": ")
	if err := put(words.Clean(strings.Join(runNames(all), ", "))); err != nil {
		return err
	}
	if since != nil {
		b.WriteString(",\n\"since\": ")
		if err := put(struct {
			Holds bool `json:"holds"`
			*setout.Since
		}{since.Holds(), since}); err != nil {
			return err
		}
	}
	b.WriteString(",\n\"rows\": [")
	cols := setout.SheetColumns()
	for i, r := range Table(all) {
		if i > 0 {
			b.WriteString(",")
		}
		b.WriteString("\n{")
		first := true
		for k, cell := range r {
			if cell == "" {
				continue
			}
			if !first {
				b.WriteString(",")
			}
			first = false
			var v any = cell
			if n, err := strconv.ParseFloat(cell, 64); err == nil && !slices.Contains(texts, cols[k]) {
				v = n
			}
			if err := put(cols[k]); err != nil {
				return err
			}
			b.WriteString(":")
			if err := put(v); err != nil {
				return err
			}
		}
		b.WriteString("}")
	}
	b.WriteString("]")
	if order != nil {
		b.WriteString(",\n\"order\": ")
		if err := put(orderRecord(order)); err != nil {
			return err
		}
	}
	b.WriteString("\n}\n")
	return b.Flush()
}

// record is what several runs want together, and what keeps them apart. Lengths are mm.
type record struct {
	Supports int         `json:"supports"` // one that several lengths share counts once
	Cut      []cutRecord `json:"cut"`      // from stock, all together
	Parts    []counted   `json:"parts"`
	Fittings []counted   `json:"fittings"`
	Between  []apart     `json:"between"` // runs that are not clear of each other when all are laid
}

type cutRecord struct {
	Of     string    `json:"of"`
	Stock  float64   `json:"stock"`
	Count  int       `json:"count"`
	Pieces []float64 `json:"pieces"` // of each
	Left   float64   `json:"left"`
}

type counted struct {
	Part  string `json:"part"`
	Count int    `json:"count"`
}

type apart struct {
	A    string  `json:"a"`
	B    string  `json:"b"`
	Kind string  `json:"kind"`
	By   float64 `json:"short"`
	Note string  `json:"note"`
}

func orderRecord(o *setout.Order) record {
	r := record{Supports: o.Counted(), Cut: []cutRecord{}, Parts: []counted{}, Fittings: []counted{}, Between: []apart{}}
	if u := o.Supports; u != nil {
		for _, x := range stocks(u) {
			for _, c := range x.Cuts {
				r.Cut = append(r.Cut, cutRecord{x.of, c.Stock, c.Times, c.Pieces, words.Tenth(c.Left)})
			}
		}
		for _, c := range u.Parts {
			r.Parts = append(r.Parts, counted{c.Part, c.N})
		}
	}
	for _, c := range o.Fittings {
		r.Fittings = append(r.Fittings, counted{c.Part, c.N})
	}
	for i := range o.Between {
		f := &o.Between[i]
		r.Between = append(r.Between, apart{f.A, *f.B, string(f.Kind), words.Tenth(f.Short), betweenWords(f)})
	}
	return r
}

// texts are the columns whose cells are texts even where they look like figures.
var texts = []string{"run", "length", "what", "place", "hangs from", "part", "note"}
