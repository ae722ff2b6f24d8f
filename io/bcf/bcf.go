// Package bcf writes findings as an exchange file of the BIM Collaboration Format, the open standard of
// buildingSMART, versions 3.0 and 2.1, and reads one back: the states and comments that came home.
//
// A topic is a finding. Its GUID is worked out from the finding's id, so that next week's file speaks of the
// same topics, and what comes home finds its row in the register. The order of elements is that of the
// standard's XML schemas (markup.xsd, visinfo.xsd, extensions.xsd, project.xsd, version.xsd).
package bcf

import (
	"crypto/sha1"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/figure"
	"voidline/clash/finding"
	"voidline/clash/register"
	"voidline/void"
)

// Version is a version of the standard.
type Version string

// The versions that are written and read.
const (
	V30 Version = "3.0"
	V21 Version = "2.1"
)

// Package is what an exchange file holds.
type Package struct {
	Version Version // as read; on writing the version is asked for
	Project string  // its name
	// Date is the day on which the file is written; every time in it is the beginning of a day, UTC.
	Date   register.Date
	Author string // who writes it; "" stands for voidline
	Topics []Topic
}

// Topic is one finding.
type Topic struct {
	ID          string // of the finding; "" for a topic from elsewhere
	GUID        string // as read, in lower case, "" where it is none; on writing it comes of the ID
	Type        string // overlap, tight gap, access
	Status      string // a state of the register; as read, any word
	Title       string
	Description string // lines parted by \n
	Labels      []string
	AssignedTo  string        // the owner in the register, else the trade that gives way
	Created     register.Date // "" stands for the package's date
	Modified    register.Date // "" for none
	Due         register.Date // "" for none
	Comments    []Comment
	View        *View  // nil for none; not read back
	Snapshot    []byte // PNG, nil for none; shown only with a view; not read back
}

// Comment is a comment on a topic.
type Comment struct {
	GUID   string // as read; on writing it is worked out from the rest
	On     register.Date
	Author string
	Text   string
}

// View is a section through the place of a finding: seen along Look, everything nearer than At cut away, and
// everything farther behind it than Deep. Lengths in mm, z above the project datum, in the axes of the
// building model where the tables were imported from one.
type View struct {
	At         r3.Vector
	Look       r2.Point // horizontal unit direction
	High       float64  // of what is seen, more than 0
	Wide       float64  // more than 0
	Deep       float64  // more than 0
	Components []Component
}

// Component is a thing of the building model.
type Component struct {
	Zone    string // id of the zone
	IfcGUID string // 22 signs
}

// Namespaces of RFC 9562 (UUID version 5): that of URLs is given in its section 6.6; ours hangs on it.
var namespaceURL = [16]byte{0x6b, 0xa7, 0xb8, 0x11, 0x9d, 0xad, 0x11, 0xd1, 0x80, 0xb4, 0x00, 0xc0, 0x4f, 0xd4, 0x30, 0xc8}

// uuid5 returns the version 5 UUID of a name in a namespace: SHA-1, version and variant set.
func uuid5(space [16]byte, name string) [16]byte {
	h := sha1.New()
	h.Write(space[:])
	h.Write([]byte(name))
	var u [16]byte
	copy(u[:], h.Sum(nil))
	u[6] = u[6]&0x0f | 0x50
	u[8] = u[8]&0x3f | 0x80
	return u
}

func text(u [16]byte) string {
	s := hex.EncodeToString(u[:])
	return s[:8] + "-" + s[8:12] + "-" + s[12:16] + "-" + s[16:20] + "-" + s[20:]
}

// guid returns the GUID of a thing of ours: what it is, and names that it hangs on.
func guid(what string, names ...string) string {
	ours := uuid5(namespaceURL, "urn:voidline")
	return text(uuid5(ours, what+"\x00"+strings.Join(names, "\x00")))
}

// topicGUID returns the GUID of the topic of a finding.
func topicGUID(id string) string { return guid("topic", id) }

func (c *Comment) guid(topic string) string {
	return guid("comment", topic, string(c.On), c.Author, c.Text)
}

// ours reports whether Write wrote a comment on a topic. One without a day is written on the file's.
func (c *Comment) ours(topic string) bool {
	undated := *c
	undated.On = ""
	return c.GUID == c.guid(topic) || c.GUID == undated.guid(topic)
}

// sentTo begins the label that says whom a topic was given to when the file was written: that is how it is known, when the file
// comes home, whether it was given to somebody else since.
const sentTo = "sent to "

// give says whom a topic is given to: the owner in the register, else a trade.
func (t *Topic) give(trade string, e *register.Entry) {
	t.AssignedTo = register.Clean(trade)
	if e != nil && e.Owner != "" {
		t.AssignedTo = register.Clean(e.Owner)
	}
	if t.AssignedTo != "" {
		t.Labels = append(t.Labels, sentTo+t.AssignedTo)
		slices.Sort(t.Labels)
	}
}

// reply takes over the comments that came home.
func (t *Topic) reply(e *register.Entry) {
	notes, _ := register.Replies(e.Answers)
	for _, n := range notes {
		t.Comments = append(t.Comments, Comment{On: n.On, Author: n.Author, Text: n.Text})
	}
}

// typeOf says what a finding is, as a topic's type.
func typeOf(k finding.Kind) string {
	if k == finding.Tight {
		return "tight gap"
	}
	return string(k)
}

// title says a finding in a line.
func title(f *finding.Finding) string {
	pair := register.Clean(f.A)
	if f.B != nil {
		pair += " / " + register.Clean(*f.B)
	}
	bay := "outside every bay"
	if f.Bay != nil {
		bay = "bay " + register.Clean(*f.Bay)
	}
	if f.Storey != "" {
		bay += ", storey " + register.Clean(f.Storey)
	}
	return fmt.Sprintf("%s, %s short: %s, %s", typeOf(f.Kind), figure.Up(f.Short), pair, bay)
}

// ClosedTopic makes the topic of a finding that is cleared, as last known. e is its entry in the register; nil: there is none.
func ClosedTopic(f *finding.Finding, e *register.Entry) Topic {
	t := Topic{ID: f.ID, Type: typeOf(f.Kind), Status: register.Closed, Title: title(f), Description: "cleared: not found any more"}
	if e != nil {
		if n := len(e.History); n > 0 {
			t.Modified = e.History[n-1].On
			t.Description = "cleared: not found on " + string(t.Modified) + " any more"
		}
		t.Created = e.First
		t.reply(e)
	}
	t.Description += "\nfinding " + f.ID
	t.give(f.Mover(), e)
	return t
}

// RenamedTopic makes the topic of a finding's earlier id: it goes on under another, so that one is closed.
func RenamedTopic(before string, f *finding.Finding) Topic {
	return Topic{
		ID: before, Type: typeOf(f.Kind), Status: register.Closed, Title: title(f),
		Description: "goes on as finding " + f.ID + ", topic " + topicGUID(f.ID) + "\nfinding " + before,
	}
}

// TopicOf makes a topic of a finding: what is common to every file. e is its entry in the register; nil: there is
// none, then it is open. View and Snapshot are left for the caller.
func TopicOf(f *finding.Finding, e *register.Entry) Topic {
	t := Topic{ID: f.ID, Type: typeOf(f.Kind), Status: string(register.Open), Title: title(f)}
	line := func(format string, args ...any) {
		if t.Description != "" {
			t.Description += "\n"
		}
		t.Description += register.Clean(fmt.Sprintf(format, args...))
	}
	line("%s (%s), %s", f.A, f.ATrade, f.ARow)
	if f.B != nil {
		line("%s (%s), %s", *f.B, f.BTrade, f.BRow)
	}
	line("at %s, %s", f.At.Where, figure.Level(f.At.Level))
	line("%s clear, %s needed, %s short (%s)", figure.Down(f.Gap), figure.Up(f.Asked), figure.Up(f.Short), f.SideWords())
	if f.Depth != nil && f.Depth.Sideways != nil {
		line("overlap by %s in height, %s sideways", figure.Up(f.Depth.Vertical), figure.Up(*f.Depth.Sideways))
	} else if f.Depth != nil {
		line("overlap by %s in height", figure.Up(f.Depth.Vertical))
	}
	line("Rule: %s (%s)", f.Rule, f.Basis)
	if f.GivesWay != "" {
		line("To move: %s", f.GivesWay)
	}
	for _, m := range f.Moves {
		line("%s %s clears it", m.Zone, m.Way())
	}
	if f.ByHeight {
		line("Checked by height only: one of the two has no position in plan")
	}
	if f.Note != "" {
		line("Note: %s", f.Note)
	}
	for _, l := range []string{f.ATrade, f.BTrade, f.AKind, f.BKind, string(f.Basis)} {
		if l = register.Clean(l); l != "" && !slices.Contains(t.Labels, l) {
			t.Labels = append(t.Labels, l)
		}
	}
	t.give(f.Mover(), e)
	if e != nil {
		t.reply(e)
		t.Status, t.Created, t.Modified, t.Due = string(e.State), e.First, e.Last, e.Due
		for _, said := range [][2]string{{"owner", e.Owner}, {"action", e.Action}, {"reason", e.Reason}, {"agreed by", e.AgreedBy}, {"query", e.Query}} {
			if said[1] != "" {
				line("%s: %s", said[0], said[1])
			}
		}
	}
	if e != nil && e.Proposed {
		line("proposed as agreed; the register does not say so yet")
	}
	line("finding %s", f.ID)
	return t
}

// How much is seen round a place, mm.
const (
	margin  = 600
	least   = 2000
	deep    = 1000
	broader = 4.0 / 3 // width of what is seen to its height
)

// ViewOf returns the section through a finding, square to the zone that it is told of (the second where the
// first is a bay's ceiling or soffit), looking north, or east where the zone runs east and west.
func ViewOf(p *void.Project, f *finding.Finding) *View {
	v := &View{At: r3.Vector{X: f.At.X, Y: f.At.Y, Z: f.At.Z}, Look: r2.Point{Y: 1}, Deep: deep}
	low, high := f.At.Z, f.At.Z
	turned := false
	ids := []string{f.A}
	if f.B != nil {
		ids = append(ids, *f.B)
	}
	for k := range ids {
		if is, row := void.Identity(ids[k]); is == void.OwnSupports {
			ids[k] = row // the view is of the row that is held up
		}
	}
	for _, id := range ids {
		if g, ok := ifcGUID(p.GUIDOf(id)); ok {
			v.Components = append(v.Components, Component{Zone: id, IfcGUID: g})
		}
		i, ok := p.ZoneByID(id)
		if !ok {
			continue
		}
		z := p.Zone(i)
		full := z.Full()
		h := full.Height()
		if h.Length() <= 5*least { // a column does not set the size of the picture
			low, high = min(low, h.Lo), max(high, h.Hi)
		}
		along := r2.Point{X: full.Along.X, Y: full.Along.Y}
		if n := along.Norm(); !turned && !z.Item && !z.ByHeight && n > void.Hair {
			v.Look, turned = along.Mul(1/n), true
		}
	}
	if v.Look.Y < -1e-9 || v.Look.Y < 1e-9 && v.Look.X < 0 {
		v.Look = v.Look.Mul(-1)
	}
	v.High = max(2*max(high-f.At.Z, f.At.Z-low)+margin, least)
	v.Wide = v.High * broader
	// In the axes of the model, so that it points at the right place there.
	v.At, v.Look = p.InModel(v.At), p.WayInModel(v.Look)
	return v
}

// StrangeGUIDs tells the zones, and the ceilings and soffits of bays, whose guid is none, so that an exchange file cannot name the part of the model.
func StrangeGUIDs(p *void.Project) []void.Problem {
	var told []void.Problem
	look := func(at void.At, column, id string) {
		g := p.GUIDOf(id)
		if g == "" {
			return
		}
		if _, ok := ifcGUID(g); !ok {
			told = append(told, void.Problem{
				File: p.Files[at.File], Line: int(at.Line), Cell: column,
				What: "guid of " + register.Clean(id) + ": " + quoted(g) + " is no GUID: it is left out of the exchange file",
				Hint: "22 signs as IFC writes it, or 32 hexadecimal digits",
			})
		}
	}
	for i := range p.Bays {
		b := &p.Bays[i]
		look(b.Row, "ceiling guid", b.CeilingID())
		look(b.Row, "soffit guid", b.SoffitID())
	}
	for i := range p.Zones() {
		z := p.Zone(i)
		look(z.At(), "guid", z.ID)
	}
	return told
}

// ifcDigits are the 64 digits of a GUID in 22 signs, as IFC writes it.
const ifcDigits = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz_$"

// ifcGUID returns a GUID in the 22 signs of IFC, from those or from the usual 32 hexadecimal digits with
// hyphens, in braces or not; false where it is neither.
func ifcGUID(s string) (string, bool) {
	s = strings.Trim(strings.TrimSpace(s), "{}")
	if len(s) == 22 && s[0] >= '0' && s[0] <= '3' && strings.Trim(s, ifcDigits) == "" {
		return s, true // the first sign stands for two bits alone
	}
	b, err := hex.DecodeString(strings.ReplaceAll(s, "-", ""))
	if err != nil || len(b) != 16 || len(s) != 36 && len(s) != 32 {
		return "", false
	}
	out := make([]byte, 0, 22)
	out = append(out, ifcDigits[b[0]>>6], ifcDigits[b[0]&63])
	for i := 1; i < 16; i += 3 {
		n := int(b[i])<<16 | int(b[i+1])<<8 | int(b[i+2])
		out = append(out, ifcDigits[n>>18], ifcDigits[n>>12&63], ifcDigits[n>>6&63], ifcDigits[n&63])
	}
	return string(out), true
}
