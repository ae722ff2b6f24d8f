// Package table reads a project folder: CSV tables as people and spreadsheets write them. It
// hands over rows as they are written and says of everything that cannot be read where it stands; what
// the rows mean, and whether they go together, is for the building to say.
//
// What is read: comma, semicolon or tab between the cells (or what a first line sep=; says), UTF-8 with
// or without a byte order mark, UTF-16, Windows-1252, lines ended by LF, CRLF or CR, and, with semicolons
// or tabs, decimal commas. Headings and the names of the fixed tables are compared without regard
// to case, blanks, hyphens, underscores and brackets; a heading of lengths that ends in _m is in metres.
//
// Positions: lines count from 1 in the file, blank ones and those inside a quoted cell included.
// Columns count from 1 in bytes of the line as UTF-8 text without a byte order mark, whatever the file
// is stored as. Offsets count bytes from 0 in the file as it is stored.
package table

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"strings"
	"time"

	"voidline/io/workbook"
	"voidline/void"
)

// Tables is what stands in a project folder, but for the zones, which Read hands over one by one. Rows
// are in the order of the files and, within a file, of its lines.
type Tables struct {
	Name string // of the folder
	// Files names the tables by At.File: the fixed tables in their order, then the tables of the trades by
	// name.
	Files    []string
	Origins  []void.OriginRow
	Levels   []void.LevelRow
	Grid     []void.GridRow
	BuildUps []void.BuildUpRow
	Bays     []void.BayRow
	Gaps     []void.GapRow
	Hangers  []void.HangerRow
	Openings []void.OpeningRow
	Access   []void.AccessRow
	Surveyed []void.SurveyRow
	Supports []void.SupportRow
	Problems []void.Problem // what is wrong with the folder, then by file and line
	Warnings []void.Problem
	Sheets   bool // the tables are sheets of a workbook
	// RowsMissing counts the rows that were found and not handed over. What stands in the files of
	// Unread is not in it.
	RowsMissing int
	// LayersLost and PartsLost name the build-ups and the hangers of which a row is missing, so that they
	// are not whole; "" where the row does not say whose it was.
	LayersLost, PartsLost []string
	// Unread names the files that hold rows which could not be counted: they could not be opened,
	// are no text, or broke off. Each has its problem.
	Unread []string
}

// Options says how a folder is read.
type Options struct {
	// Zone is called for each row of a trade's table that can be read. file is the name of the table in the
	// folder. The row is good only during the call. Its texts are good for ever, but to keep the Text of a
	// cell that is no word and no list of names keeps 32 KiB from being free; grid lines, steel names and
	// standards may be kept like words. nil: zones are read for their problems alone.
	Zone func(file string, row *void.ZoneRow)
	// Progress is called now and then, 20 times a second at most, while the tables of the trades are read: with
	// the number of their rows that were met, those that are missing included. A short reading does without.
	Progress func(rows int)
	// FS is read instead of the folder; nil: the folder on disk.
	FS fs.FS

	// into is the project that rows are added to at once, in place of Zone and the lists of Tables.
	into *void.Project
	// keep keeps the tables as they are read; nil: nobody does.
	keep *Originals
}

// Read reads the tables in a folder. What is wrong with the tables is the error, all of it in one go, as void.Problems: they
// are Tables.Problems, and the rest of the tables is there. With any other error there are no tables: the folder is missing, no
// folder, not to be opened, or ctx is done. Files are read one after the other, and nothing runs on after Read. What
// is in opt is called by the goroutine that called Read, but a file that stands open may be read by another.
func Read(ctx context.Context, dir string, opt Options) (*Tables, error) {
	t, err := readTables(ctx, dir, opt)
	if err != nil {
		return nil, err
	}
	return t, void.Problems(t.Problems).Err()
}

// readTables is Read, but its error is for what keeps it from reading the folder alone.
func readTables(ctx context.Context, dir string, opt Options) (*Tables, error) {
	return readWith(ctx, dir, opt, readers{newLongReader[void.ZoneRow]().rows, newLongReader[void.BayRow]().rows})
}

// readers read the rows of the tables that may be long: those of the trades, and the bays.
type readers struct {
	zones rowsOf[void.ZoneRow]
	bays  rowsOf[void.BayRow]
}

// rowsOf reads the rows of a table and calls take with some at a time.
type rowsOf[T any] func(ctx context.Context, s *sheet, take func([]T)) error

func readWith(ctx context.Context, dir string, opt Options, long readers) (*Tables, error) {
	fsys := opt.FS
	var book *workbook.Book
	if fsys == nil {
		var err error
		if fsys, book, err = folderOf(ctx, dir); err != nil {
			return nil, err
		}
	}
	if opt.keep != nil {
		opt.keep.fsys, fsys = fsys, opt.keep
	}
	t := &Tables{Name: folderName(dir)}
	listing, err := list(fsys)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", dir, plainError(err))
	}
	t.Problems, t.Warnings = listing.problems, listing.warnings
	if book != nil {
		t.Name = strings.TrimSuffix(t.Name, filepath.Ext(t.Name))
		t.Problems, t.Warnings = append(append(t.Problems, twice(dir, &listing)...), book.Problems...), append(t.Warnings, book.Warnings...)
		t.RowsMissing, t.Sheets = book.Lost, true
	}
	pace := pace{tell: opt.Progress, told: time.Now()}
	for _, f := range listing.files {
		if err := readFile(ctx, fsys, f, t, &opt, &long, &pace); err != nil {
			return nil, err
		}
	}
	return t, nil
}

// readFile reads one table into t.
func readFile(ctx context.Context, fsys fs.FS, f found, t *Tables, opt *Options, long *readers, pace *pace) error {
	s := &sheet{name: f.name, kind: f.kind, stray: f.stray}
	if !f.stray {
		s.index = int32(len(t.Files))
		t.Files = append(t.Files, f.name)
	}
	s.told.list = append(s.told.list, f.problems...)
	err := s.open(ctx, fsys)
	if err == nil {
		defer s.close()
		p := opt.into
		switch f.kind {
		case &origins:
			err = collect(ctx, s, &t.Origins, p, p.AddOrigin)
		case &levels:
			err = collect(ctx, s, &t.Levels, p, p.AddLevel)
		case &grid:
			err = collect(ctx, s, &t.Grid, p, p.AddGrid)
		case &buildups:
			err = collect(ctx, s, &t.BuildUps, p, p.AddBuildUp)
		case &bays:
			err = long.bays(ctx, s, func(rows []void.BayRow) {
				if p == nil {
					t.Bays = append(t.Bays, rows...)
					return
				}
				for i := range rows {
					p.AddBay(rows[i])
				}
			})
		case &gaps:
			err = collect(ctx, s, &t.Gaps, p, p.AddGap)
		case &hangers:
			err = collect(ctx, s, &t.Hangers, p, p.AddHanger)
		case &openings:
			err = collect(ctx, s, &t.Openings, p, p.AddOpening)
		case &access:
			err = collect(ctx, s, &t.Access, p, p.AddAccess)
		case &surveyed:
			err = collect(ctx, s, &t.Surveyed, p, p.AddSurvey)
		case &supports:
			err = collect(ctx, s, &t.Supports, p, p.AddSupport)
		default:
			s.met = pace.met
			err = long.zones(ctx, s, func(rows []void.ZoneRow) {
				switch {
				case p != nil:
					p.Files = t.Files // a problem with a row wants its file's name at once
					p.AddZones(f.name, rows)
				case opt.Zone != nil:
					for i := range rows {
						opt.Zone(f.name, &rows[i])
					}
				}
			})
			pace.before += s.rows
		}
	}
	if ctx.Err() != nil {
		return ctx.Err()
	}
	var p void.Problem
	if errors.As(err, &p) {
		s.told.add(p)
		t.Unread = append(t.Unread, f.name)
	} else if err != nil {
		return err
	}
	s.end()
	t.Problems = append(t.Problems, s.told.all(f.name)...)
	t.Warnings = append(t.Warnings, s.warned.all(f.name)...)
	t.RowsMissing += s.missing
	if errors.As(err, &p) {
		s.part = append(s.part, "")
	}
	switch f.kind {
	case &buildups:
		t.LayersLost = append(t.LayersLost, s.part...)
	case &hangers:
		t.PartsLost = append(t.PartsLost, s.part...)
	}
	return nil
}

// pace tells how far reading has come, but not too often.
type pace struct {
	tell   func(rows int)
	told   time.Time
	before int // rows of the files that were read
}

// met notes the rows of the file at hand that were met.
func (p *pace) met(rows int) {
	if p.tell == nil {
		return
	}
	if now := time.Now(); now.Sub(p.told) >= time.Second/20 {
		p.told = now
		p.tell(p.before + rows)
	}
}

// collect reads the rows of a table into a list, or into a project where there is one.
func collect[T any](ctx context.Context, s *sheet, list *[]T, p *void.Project, add func(T)) error {
	return rows(ctx, s, func(row *T) {
		if p != nil {
			add(*row)
		} else {
			*list = append(*list, *row)
		}
	})
}

// folderName returns the name of the project folder, also where dir is "." or ends in "..".
func folderName(dir string) string {
	if abs, err := filepath.Abs(dir); err == nil {
		dir = abs
	}
	return filepath.Base(dir)
}

// plainError takes the operation and the path, which the message names already, off an error.
func plainError(err error) error {
	var path *fs.PathError
	if errors.As(err, &path) {
		return path.Err
	}
	return err
}

// told is a list of problems that stops growing at void.MostOfFile and counts on.
type told struct {
	list []void.Problem
	more int
}

func (t *told) add(p void.Problem) {
	if len(t.list) < void.MostOfFile {
		t.list = append(t.list, p)
	} else {
		t.more++
	}
}

// all returns the problems of a file, the number of the rest last.
func (t *told) all(file string) []void.Problem {
	for i := range t.list {
		t.list[i].File = file
	}
	if t.more > 0 {
		t.list = append(t.list, void.MoreOf(file, t.more))
	}
	return t.list
}
