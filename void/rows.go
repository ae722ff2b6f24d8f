package void

import "voidline/void/cell"

// This file holds the tables as they are written: one struct a table, one cell a column. A cell
// keeps its text and, where it cannot be read, its fault; decoding a row never fails. The csv tags
// are the canonical column names; readers match headers to them without regard to case,
// spaces, hyphens and underscores, and take a unit suffix off (_m, _mm).

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
	Storey cell.Word   `csv:"storey"`
	FFL    cell.Length `csv:"ffl"`   // above the project datum
	SSL    cell.Length `csv:"ssl"`   // above the project datum; blank: not known
	Datum  cell.Length `csv:"datum"` // height of the datum line above FFL; blank: 1000
}

// GridRow is a row of grid.csv: one grid line. Axis x: a line of constant x.
type GridRow struct {
	At       At          `csv:"-"`
	Axis     cell.Word   `csv:"axis"`
	Label    cell.Word   `csv:"label"`
	Position cell.Length `csv:"position"`
}

// BuildUpRow is a row of buildups.csv: one layer, from the finished face up.
type BuildUpRow struct {
	At        At          `csv:"-"`
	BuildUp   cell.Word   `csv:"buildup"`
	Layer     cell.Word   `csv:"layer"`
	Thickness cell.Length `csv:"thickness"`
	LiftsOut  cell.Flag   `csv:"liftsout"`
}

// BayRow is a row of bays.csv.
type BayRow struct {
	At      At         `csv:"-"`
	Bay     cell.Word  `csv:"bay"`
	Storey  cell.Word  `csv:"storey"`
	X1      cell.Place `csv:"x1"`
	Y1      cell.Place `csv:"y1"`
	X2      cell.Place `csv:"x2"`
	Y2      cell.Place `csv:"y2"`
	Soffit  cell.Level `csv:"soffit"`
	Ceiling cell.Level `csv:"ceiling"` // a level, or none where the bay is open to the soffit
	BuildUp cell.Word  `csv:"buildup"`
	Note    cell.Word  `csv:"note"`
}

// ZoneRow is a row of a trade's table: the room that a trade claims.
type ZoneRow struct {
	At         At            `csv:"-"`
	ID         cell.Word     `csv:"id"`
	Trade      cell.Word     `csv:"trade"`
	Service    cell.Word     `csv:"service"`
	Kind       cell.Word     `csv:"kind"`
	Storey     cell.Word     `csv:"storey"`
	Bay        cell.Word     `csv:"bay"`
	X1         cell.Place    `csv:"x1"`
	Y1         cell.Place    `csv:"y1"`
	X2         cell.Place    `csv:"x2"`
	Y2         cell.Place    `csv:"y2"`
	Size       cell.Size     `csv:"size"`
	Width      cell.Length   `csv:"width"`
	Height     cell.Length   `csv:"height"`
	Diameter   cell.Length   `csv:"diameter"`
	Joint      cell.Length   `csv:"joint"`
	Top        cell.Length   `csv:"top"`
	Insulation cell.Covering `csv:"insulation"`
	Level      cell.Level    `csv:"level"`
	Face       cell.Face     `csv:"face"`
	Fall       cell.Fall     `csv:"fall"`
	Hanger     cell.Word     `csv:"hanger"`
	Frame      cell.Word     `csv:"frame"`
	Tier       cell.Word     `csv:"tier"`
	Run        cell.Word     `csv:"run"`
	Joins      cell.Names    `csv:"joins"`
	Recessed   cell.Flag     `csv:"recessed"`
	Reach      cell.Flag     `csv:"reach"`
	Circuits   cell.Number   `csv:"circuits"`
	Class      cell.Word     `csv:"class"`
	Rank       cell.Number   `csv:"rank"`
	Holds      cell.Word     `csv:"holds"`
	Tolerance  cell.Length   `csv:"tolerance"`
	GUID       cell.Word     `csv:"guid"`
	Note       cell.Word     `csv:"note"`
}

// GapRow is a row of gaps.csv: of wants gap clear on its side towards to.
type GapRow struct {
	At     At          `csv:"-"`
	Of     cell.Word   `csv:"of"`
	To     cell.Word   `csv:"to"`
	Side   cell.Side   `csv:"side"`
	Gap    cell.Asked  `csv:"gap"` // a length, or told
	Over   cell.Length `csv:"over"`
	Basis  cell.Word   `csv:"basis"`
	Why    cell.Word   `csv:"why"`
	Source cell.Word   `csv:"source"`
}

// HangerRow is a row of hangers.csv: one part of a hanger, from the service outwards.
type HangerRow struct {
	At     At          `csv:"-"`
	Hanger cell.Word   `csv:"hanger"`
	Part   cell.Word   `csv:"part"`
	Height cell.Length `csv:"height"`
	Side   cell.Word   `csv:"side"` // under the service (default) or over it
	Width  cell.Length `csv:"width"`
	Rods   cell.Number `csv:"rods"`
	From   cell.Word   `csv:"from"`
}

// OpeningRow is a row of openings.csv: a way through a beam, a wall or a soffit.
type OpeningRow struct {
	At     At          `csv:"-"`
	In     cell.Word   `csv:"in"` // id of a zone, or soffit X for the soffit of bay X
	Along  cell.Length `csv:"at"` // from the start of the beam or wall
	X      cell.Place  `csv:"x"`
	Y      cell.Place  `csv:"y"`
	Size   cell.Size   `csv:"size"`
	Level  cell.Level  `csv:"level"` // blank: mid-depth of what it is in
	Face   cell.Face   `csv:"face"`  // what the level is to: bottom (default), centre, top
	Margin cell.Length `csv:"margin"`
	Note   cell.Word   `csv:"note"`
}

// AccessRow is a row of access.csv: room that must stay free to reach a zone.
type AccessRow struct {
	At    At          `csv:"-"`
	For   cell.Word   `csv:"for"`
	Kind  cell.Word   `csv:"kind"`
	Side  cell.Side   `csv:"side"`
	Depth cell.Length `csv:"depth"`
	Width cell.Length `csv:"width"`
	X     cell.Place  `csv:"x"`
	Y     cell.Place  `csv:"y"`
	Size  cell.Size   `csv:"size"`
	Note  cell.Word   `csv:"note"`
}
