package words

import (
	"math"
	"strconv"
	"strings"

	"voidline/clash/finding"
	"voidline/void"
)

// onlySurveyed says of a finding that it came only with the survey.
const onlySurveyed = "Only as found: as drawn it is not there (surveyed.csv)"

// Found says of a finding that it came only with the survey; "" where it did not.
func Found(f *finding.Finding) string {
	if !f.Surveyed {
		return ""
	}
	return onlySurveyed
}

// SoffitFound says whether the soffit of a bay was surveyed, and of a storey, where bay is below 0, how many were; "" where nothing was surveyed.
func SoffitFound(p *void.Project, storey, bay int) string {
	if !p.HasSurvey() {
		return ""
	}
	read := SoffitsRead(p)
	switch {
	case bay >= 0 && read[bay]:
		return "soffit surveyed"
	case bay >= 0:
		return "soffit not surveyed: as drawn"
	}
	n, of := 0, 0
	for j := range p.Bays {
		if p.Bays[j].Storey == storey {
			if of++; read[j] {
				n++
			}
		}
	}
	if n == of {
		return "all soffits surveyed"
	}
	return "soffits surveyed: " + strconv.Itoa(n) + " of " + Count(of, "bay", "bays") + "; the others are as drawn"
}

// SoffitsRead returns the bays whose soffit was surveyed.
func SoffitsRead(p *void.Project) map[int]bool {
	read := map[int]bool{}
	if v := p.Survey(); v != nil {
		for i := range v.Found {
			if v.Found[i].What == void.SurveyedSoffit {
				read[v.Found[i].Bay] = true
			}
		}
	}
	return read
}

// Note says what a reader must know of a finding, in one cell.
func Note(f *finding.Finding) string {
	if !f.Surveyed {
		return f.Note
	}
	if f.Note == "" {
		return onlySurveyed
	}
	return f.Note + "; " + onlySurveyed
}

// surveyLine says in one line what was surveyed and what was not.
func surveyLine(s *finding.Survey) string {
	line := "Surveyed: " + Count(s.Readings, "reading", "readings")
	if len(s.Days) > 0 {
		line += " of " + Name(s.Days[0])
		if n := len(s.Days); n > 1 {
			line += " to " + Name(s.Days[n-1])
		}
	}
	line += ", the soffits of " + strconv.Itoa(s.Bays) + " of " + Count(s.Bays+len(s.NotRead), "bay", "bays")
	if s.Blank > 0 {
		line += "; " + Count(s.Blank, "row of surveyed.csv is", "rows of surveyed.csv are") + " not surveyed"
		if s.NotSeen > 0 {
			line += ", " + strconv.Itoa(s.NotSeen) + " of them not seen"
		}
	}
	line += ". What was found goes before what is drawn."
	if s.Only != nil {
		line += " " + onlyWithIt(*s.Only) + "."
	}
	return line
}

func onlyWithIt(n int) string {
	switch n {
	case 0:
		return "No finding came only with the survey"
	case 1:
		return "1 finding came only with the survey"
	}
	return strconv.Itoa(n) + " findings came only with the survey"
}

// follow says which rows follow what was found by more than they may be off their level, and how many by less; "" for none.
func follow(rows []finding.Follows) string {
	var l []string
	told, less := 0, 0
	for i := range rows {
		f := &rows[i]
		if !f.Tells() {
			less++
			continue
		}
		if told++; told > mostNotes {
			continue
		}
		way := " up "
		if f.By < 0 {
			way = " down "
		}
		l = append(l, Name(f.Zone)+" ("+Clean(f.Level)+")"+way+Near(math.Abs(f.By)))
	}
	if more := told - len(l); more > 0 {
		l = append(l, strconv.Itoa(more)+" more; the JSON result has them all")
	}
	const why = "for their levels are written relative to it"
	switch {
	case told == 0 && less == 0:
		return ""
	case told == 0:
		return Count(less, "row follows", "rows follow") + " what was found, none by more than its tolerance."
	case less == 0:
		return "Follow what was found, " + why + ": " + strings.Join(l, ", ") + "."
	}
	return "Follow what was found, " + why + ": " + strings.Join(l, ", ") + ". " + Count(less, "more row follows", "more rows follow") + " by no more than the tolerance."
}

// surveyed says what was found elsewhere than drawn, what follows it, where a set-up did not close, and what was not surveyed.
func surveyed(r *finding.Result, most int) Section {
	v := r.Survey
	if v == nil {
		return Section{}
	}
	s := Section{Level: 1, Title: "As found"}
	for _, u := range v.SetUps {
		if u.Misclose > finding.MiscloseMost {
			s.Parts = append(s.Parts, Para("Set-up "+Name(u.Name)+": "+Count(u.Checks, "check", "checks")+" back to the datum line differ by "+Up(u.Misclose)+
				", more than "+Near(finding.MiscloseMost)+" (common practice, no source). Read it again before you rely on its levels."))
		}
	}
	switch {
	case len(v.Differs) == 0 && v.Readings == 0:
		s.Parts = append(s.Parts, Para("Nothing was read yet."))
	case len(v.Differs) == 0:
		s.Parts = append(s.Parts, Para("Nothing was found elsewhere than drawn by more than its tolerance."))
	default:
		s.Aside = Count(len(v.Differs), "difference", "differences")
		s.Parts = append(s.Parts, Para("Found elsewhere than drawn by more than the tolerance; in mm above FFL. One reading alone never makes room: then what is drawn counts."))
		t := Table{Columns: []Column{{"What", false}, {"Drawn", true}, {"Found", true}, {"Difference", true}, {"Counts", true}, {"Readings", true}, {"Row", false}}}
		for i, d := range v.Differs {
			if i == most {
				break
			}
			of := d.Of
			switch d.What {
			case "soffit", "ceiling", "floor":
				of = d.What + " " + d.Of
			}
			t.Rows = append(t.Rows, []string{Name(of), Above(d.Drawn), Above(d.Found), Above(d.By), Above(d.Counts), strconv.Itoa(d.Readings), Name(d.Row)})
		}
		s.Parts = append(s.Parts, t)
		if n := len(v.Differs) - most; n > 0 {
			s.Parts = append(s.Parts, Para("And "+strconv.Itoa(n)+" more; the JSON result has them all."))
		}
	}
	if p := follow(v.Follows); p != "" {
		s.Parts = append(s.Parts, Para(p))
	}
	if len(v.NotRead) > 0 {
		var l []string
		for i, b := range v.NotRead {
			if i == mostSubjects {
				l = append(l, "and "+strconv.Itoa(len(v.NotRead)-i)+" more")
				break
			}
			l = append(l, Name(b))
		}
		s.Parts = append(s.Parts, Para("Soffit not surveyed, so it is as drawn: "+Count(len(v.NotRead), "bay", "bays")+", "+strings.Join(l, ", ")+"."))
	}
	return s
}
