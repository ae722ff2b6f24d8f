package void

import "voidline/void/cell"

// This file holds the tables as they are written: one struct a table, one cell a column. A cell
// keeps its text and, where it cannot be read, its fault; decoding a row never fails. The csv tags
// are the canonical column names; readers match headers to them without regard to case,
// spaces, hyphens and underscores, and take a unit suffix off (_m, _mm). The other tags are what
// `voidline tables` prints: head the heading as people write it, where it is not the csv tag; says what
// the column holds and what blank means; like an example, which a test reads.

// At says where a row stands: the file by its number in Project.Files, the line counted from 1
// and the byte offset of the row's first byte in the file.
type At struct {
	File   int32
	Line   int32
	Offset int64
}

// LevelRow is a row of levels.csv: one storey.
type LevelRow struct {
	At     At          `csv:"-"`
	Storey cell.Word   `csv:"storey" says:"name of the storey, as the other tables call it" like:"Level 1"`
	FFL    cell.Length `csv:"ffl" says:"finished floor level, above the project datum" like:"4000"`
	SSL    cell.Length `csv:"ssl" says:"structural slab level, above the project datum; blank: not known" like:"3900"`
	Datum  cell.Length `csv:"datum" says:"height of the datum line above FFL; blank: 1000" like:"1000"`
}

// OriginRow is the row of origin.csv: a point near the building, which is subtracted from every place.
type OriginRow struct {
	At   At              `csv:"-"`
	X    cell.Coordinate `csv:"x" says:"a point near the building, subtracted from every x of the other tables" like:"530120000"`
	Y    cell.Coordinate `csv:"y" says:"subtracted from every y" like:"180340000"`
	Turn cell.Number     `csv:"turn" says:"of a model that stands turned: by how many degrees the tables are turned back about its origin; what goes back to the model is turned again; blank: as it stands" like:"30"`
	Note cell.Word       `csv:"note" says:"anything worth saying" like:"survey of October"`
}

// GridRow is a row of grid.csv: one grid line. Axis x: a line of constant x.
type GridRow struct {
	At       At              `csv:"-"`
	Axis     cell.Word       `csv:"axis" says:"x for a line of constant x, y for one of constant y" like:"x"`
	Label    cell.Word       `csv:"label" says:"what the grid line is called" like:"A"`
	Position cell.Coordinate `csv:"position" says:"its x, or its y" like:"7200"`
}

// BuildUpRow is a row of buildups.csv: one layer, from the finished face up.
type BuildUpRow struct {
	At        At          `csv:"-"`
	BuildUp   cell.Word   `csv:"buildup" head:"build-up" says:"name of the build-up; one row for each layer, from the finished face up" like:"tiles 600"`
	Layer     cell.Word   `csv:"layer" says:"what the layer is" like:"tile"`
	Thickness cell.Length `csv:"thickness" says:"how thick it is" like:"19"`
	LiftsOut  cell.Flag   `csv:"liftsout" head:"lifts out" says:"yes where the layer can be lifted out, as a tile can" like:"yes"`
	Module    cell.Length `csv:"module" says:"by how much what is set into the ceiling moves at a time: the size of a tile, 600 for tiles where blank" like:"600"`
}

// BayRow is a row of bays.csv.
type BayRow struct {
	At      At         `csv:"-"`
	Bay     cell.Word  `csv:"bay" says:"name of the bay" like:"A-B/1-2"`
	Storey  cell.Word  `csv:"storey" says:"its storey in levels.csv; blank where there is only one" like:"Level 1"`
	X1      cell.Place `csv:"x1" says:"a corner in plan: a number, or a grid line and an offset" like:"A"`
	Y1      cell.Place `csv:"y1" says:"that corner's y" like:"grid 1"`
	X2      cell.Place `csv:"x2" says:"the opposite corner" like:"B+150"`
	Y2      cell.Place `csv:"y2" says:"that corner's y" like:"grid 2"`
	Soffit  cell.Level `csv:"soffit" says:"underside of the slab over the bay: a level" like:"FFL+3600"`
	Ceiling cell.Level `csv:"ceiling" says:"finished face of the ceiling: a level, or none where the bay has no ceiling" like:"FFL+2700"`
	BuildUp cell.Word  `csv:"buildup" head:"build-up" says:"its build-up in buildups.csv; blank: the ceiling has no thickness" like:"tiles 600"`
	// Trough: what stands in it is not found as above the soffit, and a gap to the soffit counts to the trough's top.
	Trough cell.Length `csv:"trough" says:"how far above the soffit services may stand: the troughs of a metal deck, a coffer; blank: not at all" like:"60"`
	GUID   cell.Word   `csv:"guid" says:"id of its room in a building model" like:"1vX7pQ0jT5RwK2bN8sLmYc"`
	// By these an exchange file names what findings against the ceiling and the soffit are about.
	CeilingGUID cell.Word `csv:"ceilingguid" head:"ceiling guid" says:"id of its ceiling in a building model" like:"2hT4mB7cX1UqZ9eW3rVkDa"`
	SoffitGUID  cell.Word `csv:"soffitguid" head:"soffit guid" says:"id of the slab or roof over it in a building model" like:"0pL6nD5sY8FgJ2xA4tHiMw"`
	Note        cell.Word `csv:"note" says:"anything worth saying" like:"as survey"`
}

// ZoneRow is a row of a trade's table: the room that a trade claims.
type ZoneRow struct {
	At         At            `csv:"-"`
	ID         cell.Word     `csv:"id" says:"name of the row, its own in the whole project" like:"DU1-02"`
	Trade      cell.Word     `csv:"trade" says:"who fixes it; blank: as the file is called" like:"ductwork"`
	Service    cell.Word     `csv:"service" says:"what it carries (voidline tables services)" like:"supply air"`
	Kind       cell.Word     `csv:"kind" says:"what it is (voidline tables kinds); blank: the usual kind of the trade" like:"duct"`
	Storey     cell.Word     `csv:"storey" says:"its storey in levels.csv; blank where there is only one" like:"Level 1"`
	Bay        cell.Word     `csv:"bay" says:"the bay it is in; without x1 and y1 it is over the whole bay, and checked by height only" like:"A-B/1-2"`
	X1         cell.Place    `csv:"x1" says:"start of a length, middle of an item: a number, or a grid line and an offset" like:"A+600"`
	Y1         cell.Place    `csv:"y1" says:"its y" like:"grid 1 + 1200"`
	X2         cell.Place    `csv:"x2" says:"end of a length; blank for an item" like:"B-600"`
	Y2         cell.Place    `csv:"y2" says:"its y" like:"grid 1 + 1200"`
	Size       cell.Size     `csv:"size" says:"width x height, or a diameter, a DN or a steel section (voidline tables sizes); of an item along x by along y by high" like:"600x300"`
	Width      cell.Length   `csv:"width" says:"in place of size: across, in plan" like:"600"`
	Height     cell.Length   `csv:"height" says:"in place of size: high" like:"300"`
	Diameter   cell.Length   `csv:"diameter" says:"in place of size: of what is round" like:"250"`
	Joint      cell.Length   `csv:"joint" says:"how far a flange, socket or coupling is outside the size, on each side" like:"35"`
	Top        cell.Length   `csv:"top" says:"lid, or cables heaped above the side" like:"20"`
	Insulation cell.Covering `csv:"insulation" says:"thickness on each side; the larger of joint and insulation counts, 40 over joint adds them" like:"40"`
	Level      cell.Level    `csv:"level" says:"height of its face: a reference and an offset; a number alone is above FFL; a range for what is upright" like:"FFL+2850"`
	Face       cell.Face     `csv:"face" says:"what the level is to: bottom, centre or top; blank: bottom" like:"bottom"`
	Fall       cell.Fall     `csv:"fall" says:"downwards from x1, y1" like:"1 in 80"`
	Hanger     cell.Word     `csv:"hanger" says:"what it hangs on (voidline tables hangers, or hangers.csv); blank: none" like:"channel 41 M10"`
	Frame      cell.Word     `csv:"frame" says:"name of the frame that it shares with others" like:"F1"`
	Tier       cell.Word     `csv:"tier" says:"which of the frame's channels it lies on" like:"1"`
	Run        cell.Word     `csv:"run" says:"name that the rows of one continuous length share" like:"SA-1"`
	Joins      cell.Names    `csv:"joins" says:"ids of what it connects to, semicolons or commas between them" like:"FCU-03"`
	Recessed   cell.Flag     `csv:"recessed" says:"yes where it is set into the ceiling it meets; blank: by its kind" like:"no"`
	Reach      cell.Flag     `csv:"reach" says:"yes where it must be reached after the ceiling is up; blank: by its kind" like:"yes"`
	InRoom     cell.Flag     `csv:"inroom" head:"in room" says:"yes where it is meant to be in the room, under the ceiling; blank: by its kind" like:"yes"`
	Circuits   cell.Number   `csv:"circuits" says:"of power cables: how many 20 A single-phase circuits" like:"12"`
	Class      cell.Word     `csv:"class" says:"of data cables: segregation class a, b, c or d (voidline tables segregation)" like:"c"`
	Rank       cell.Number   `csv:"rank" says:"who stays: 1 stays longest; blank: by its kind" like:"4"`
	Holds      cell.Word     `csv:"holds" says:"what may not change: level, place or both; none lets go what its kind would keep (voidline tables moves)" like:"level"`
	Stage      cell.Word     `csv:"stage" says:"drawn, ordered, made or fixed: what is fixed does not move, what is made moves last; blank: drawn" like:"ordered"`
	Tolerance  cell.Length   `csv:"tolerance" says:"how far off its level it may be built; blank: as voidline tables tolerances" like:"10"`
	GUID       cell.Word     `csv:"guid" says:"its id in a building model" like:"1vX7pQ0jT5RwK2bN8sLmYc"`
	Note       cell.Word     `csv:"note" says:"anything worth saying" like:"as drawing M-101"`
}

// GapRow is a row of gaps.csv: of wants gap clear on its side towards to.
type GapRow struct {
	At     At          `csv:"-"`
	Of     cell.Word   `csv:"of" says:"what needs the gap: a kind, a service, a trade, a group (voidline tables groups), or tiles for the room to lift them" like:"duct"`
	To     cell.Word   `csv:"to" says:"towards what: a kind, a service, a trade or a group" like:"tray"`
	Side   cell.Side   `csv:"side" says:"on which side of it: around, above, below, beside or one side; blank: around" like:"above"`
	Gap    cell.Asked  `csv:"gap" says:"how much must stay clear, or told: list it, measure nothing" like:"100"`
	Over   cell.Length `csv:"over" says:"the rule counts only where the two are closer than the gap for more than this length; blank: 0" like:"600"`
	Basis  cell.Word   `csv:"basis" says:"law, maker or practice; blank: practice" like:"practice"`
	Why    cell.Word   `csv:"why" says:"the reason, in a few words" like:"room to lay cables"`
	Source cell.Word   `csv:"source" says:"where it is written" like:"specification 4.2"`
}

// HangerRow is a row of hangers.csv: one part of a hanger, from the service outwards.
type HangerRow struct {
	At     At          `csv:"-"`
	Hanger cell.Word   `csv:"hanger" says:"name of the hanger; one row for each part, from the service outwards" like:"heavy channel"`
	Part   cell.Word   `csv:"part" says:"what the part is" like:"channel"`
	Height cell.Length `csv:"height" says:"how much height it takes" like:"41"`
	Side   cell.Word   `csv:"side" says:"under the service, over it, or inside the channel; blank: under" like:"under"`
	Width  cell.Length `csv:"width" says:"its width in plan; blank: by its name" like:"41"`
	Rods   cell.Number `csv:"rods" says:"how many rods hold one support" like:"2"`
	From   cell.Word   `csv:"from" says:"what it hangs from: soffit, deck, beam flange, purlin or wall; blank: whatever is above" like:"beam flange"`
}

// OpeningRow is a row of openings.csv: a way through a beam, a wall or a soffit.
type OpeningRow struct {
	At     At          `csv:"-"`
	In     cell.Word   `csv:"in" says:"id of the beam, wall or slab; or soffit, or ceiling, and the name of a bay" like:"SB-2C"`
	Along  cell.Length `csv:"at" says:"along it from its start, to the middle of the opening" like:"2400"`
	X      cell.Place  `csv:"x" says:"in place of at: middle of the opening in plan" like:"A+2400"`
	Y      cell.Place  `csv:"y" says:"its y" like:"grid 1"`
	Size   cell.Size   `csv:"size" says:"width x height, or a diameter" like:"dia 300"`
	Level  cell.Level  `csv:"level" says:"height of its face; blank: mid-depth of what it is in" like:"FFL+3100"`
	Face   cell.Face   `csv:"face" says:"what the level is to: bottom, centre or top; blank: bottom" like:"centre"`
	Margin cell.Length `csv:"margin" says:"what must stay clear inside its edge; blank: by the rules" like:"25"`
	GUID   cell.Word   `csv:"guid" says:"its id in a building model" like:"1vX7pQ0jT5RwK2bN8sLmYc"`
	Note   cell.Word   `csv:"note" says:"anything worth saying" like:"as drawing S-20"`
}

// SurveyRow is a row of surveyed.csv: what was found on site, read with a laser. The form of `voidline levels DIR --form`, filled in, is such
// a table.
type SurveyRow struct {
	At      At          `csv:"-"`
	No      cell.Word   `csv:"no" says:"number of the row on the form" like:"12"`
	Storey  cell.Word   `csv:"storey" says:"its storey in levels.csv; blank where there is only one, or a bay or a row says it" like:"Level 1"`
	What    cell.Word   `csv:"what" says:"what was read: soffit, steel, ceiling, floor (it moves nothing), zone (a row by its id), or datum (a check of the set-up back to the datum line)" like:"soffit"`
	Place   cell.Word   `csv:"place" says:"where it was read: two grid lines with offsets; in its stead a bay or the id of a row" like:"B+1200, grid 2-300"`
	Bay     cell.Word   `csv:"bay" says:"the bay that was read; blank: the place says it" like:"A-B/1-2"`
	Zone    cell.Word   `csv:"zone" says:"id of the beam or the row that was read; of steel blank: the lowest beam over the place" like:"SB-2A"`
	Face    cell.Face   `csv:"face" says:"of a row or a beam, which face of its bare section was read: bottom, centre or top; blank: bottom" like:"bottom"`
	Drawn   cell.Word   `csv:"drawn" says:"what is drawn there, as the form has it; it is not read" like:"+2600"`
	Reading cell.Length `csv:"reading" says:"mm over the line of the instrument, minus under it; counts from what the set-up reads on the datum line" like:"2598"`
	Level   cell.Level  `csv:"level" says:"in place of reading: the level, and from where; both blank: not surveyed" like:"datum+2598"`
	SetUp   cell.Word   `csv:"setup" head:"set-up" says:"which set-up of the instrument; blank: the only one" like:"1"`
	NotSeen cell.Flag   `csv:"notseen" head:"not seen" says:"yes where it could not be seen" like:"no"`
	Day     cell.Word   `csv:"day" says:"the day of the reading" like:"2026-11-30"`
	By      cell.Word   `csv:"by" says:"who read it" like:"site engineer"`
	Note    cell.Word   `csv:"note" says:"anything worth saying" like:"lamp in the way"`
}

// SupportRow is a row of supports.csv: where a support is set out. `voidline setout --format supports` writes such rows.
type SupportRow struct {
	At     At          `csv:"-"`
	Run    cell.Word   `csv:"run" says:"name of the run that it holds; along counts as on its setting-out sheet" like:"SP2"`
	Length cell.Word   `csv:"length" says:"of a run that comes in several lengths, which, as its sheets count; blank: it is one" like:"1 of 2"`
	Row    cell.Word   `csv:"row" says:"in place of run: id of a row; along counts from its x1, y1" like:"SP2-01"`
	Number cell.Number `csv:"number" says:"the number that is written on the soffit, its own along the run; blank: the next that is free" like:"4"`
	Along  cell.Length `csv:"along" says:"from the start of the run's sheet, or of the row, in plan" like:"3900"`
	Hanger cell.Word   `csv:"hanger" says:"what it is made of (voidline tables hangers, or hangers.csv); blank: as the row's hanger" like:"channel 41 M10"`
	Rods   cell.Number `csv:"rods" says:"how many rods it has: 0, 1 or 2; blank: as its hanger" like:"2"`
	From   cell.Word   `csv:"from" says:"what it hangs from: soffit, deck, beam flange, purlin or wall; blank: as its hanger says, else whatever is above" like:"soffit"`
	Stage  cell.Word   `csv:"stage" says:"drawn, ordered, made or fixed: what is fixed does not move, and no set stands there; blank: drawn" like:"fixed"`
	Note   cell.Word   `csv:"note" says:"anything worth saying" like:"as sheet of 30 November"`
}

// AccessRow is a row of access.csv: room that must stay free to reach a zone.
type AccessRow struct {
	At    At          `csv:"-"`
	For   cell.Word   `csv:"for" says:"id of the zone that must be reached" like:"VCD-01"`
	Kind  cell.Word   `csv:"kind" says:"hatch, working space or withdrawal" like:"hatch"`
	Side  cell.Side   `csv:"side" says:"of the zone: start, end, left, right, above, below; of an item north, east, south, west" like:"below"`
	Depth cell.Length `csv:"depth" says:"how far the space reaches out from it" like:"600"`
	Width cell.Length `csv:"width" says:"how wide the space is; blank: the whole side" like:"600"`
	X     cell.Place  `csv:"x" says:"of a hatch: its middle in plan" like:"A+2400"`
	Y     cell.Place  `csv:"y" says:"its y" like:"grid 1 + 600"`
	Size  cell.Size   `csv:"size" says:"of a hatch: its clear size" like:"450x450"`
	Note  cell.Word   `csv:"note" says:"anything worth saying" like:"as agreed"`
}
