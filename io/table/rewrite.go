package table

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"

	"voidline/io/csvcell"
	"voidline/io/whole"
	"voidline/void"
	"voidline/void/cell"
)

// How cells are changed in a file, in plain words:
//
//  1. The file as it was read is gone through record by record, with the reader's own means, so that a cell is found where it was found.
//  2. The bytes of a cell are replaced by those of its new text, written as the cell was: in metres or with a decimal comma
//     where the column or the file has them, in quotes where it was in quotes, in the encoding of its line. All other bytes stay.
//  3. What comes out is read once more beside what was there: the cells that were to change say what they should, all others say
//     what they said, and nothing is wrong with the file that was not before.
//  4. All files of one change are staged, each old one is kept beside its place, and then they are switched together; but only if
//     each is still as it was read.

// Why cells are not changed, beside what whole says. They come wrapped in what to do.
var (
	ErrLetter = errors.New("the file's encoding has no such letter")
	ErrRow    = errors.New("the row is not found again")
	ErrText   = errors.New("the text cannot be written into a table")
)

// CellChange is a cell that is to be written into a table of a project.
type CellChange struct {
	File   string // as Tables.Files has it
	Line   int    // in which its row begins
	ID     string // the row's id, or the bay's name, so that no other row is changed; "" is not compared
	Column string // canonical name. One that the table has not comes behind its last one
	Text   string // with a decimal point, in millimetres where no unit is written; "" for a blank cell
}

// Changes returns the cells that were typed into a project since its tables were read (void.Project.Typed).
func Changes(p *void.Project) []CellChange {
	var out []CellChange
	for _, c := range p.Typed() {
		change := CellChange{Line: int(c.Line), ID: c.ID, Column: c.Column, Text: c.Text}
		if change.Line > 0 {
			change.File = p.Files[c.File]
		}
		out = append(out, change)
	}
	return out
}

// Rewrite changes these cells in the files of the folder and nothing else of them, and returns the names, in the folder, under which
// the files are kept as they were: pipework.csv.old, or pipework.csv.old2 and so on where that is taken. All files change or,
// with an error, none; a process that is killed leaves each file as it was or as it shall be. It refuses what cannot be
// written, a row that is not where it was, and a file that is read-only, open in a spreadsheet, or was changed since it was read,
// up to the moment in which it is replaced. After it the folder is to be opened anew.
func (o *Originals) Rewrite(changes []CellChange) (kept []string, err error) {
	if IsBook(o.dir) {
		return nil, fmt.Errorf("%s: nothing was written: a workbook is never written", o.dir)
	}
	byFile := map[string][]CellChange{}
	for _, c := range changes {
		byFile[c.File] = append(byFile[c.File], c)
	}
	var names []string
	for name := range byFile {
		names = append(names, name)
	}
	slices.Sort(names)
	var files []whole.File
	for _, name := range names {
		k := o.files[name]
		if k == nil || !k.whole {
			c := byFile[name][0]
			return nil, fmt.Errorf("%s: nothing was written: %w: no table of the folder has it", cmp.Or(name, c.ID), ErrRow)
		}
		data, err := k.rewritten(name, byFile[name])
		if err != nil {
			return nil, fmt.Errorf("nothing was written: %w", err)
		}
		if !bytes.Equal(data, k.data) {
			files = append(files, whole.File{Name: name, Data: data})
		}
	}
	if len(files) == 0 {
		return nil, nil
	}
	return o.replace(files)
}

// beside keeps a file as it is.
var beside = whole.Beside

// replace puts files in the place of those that were read.
func (o *Originals) replace(files []whole.File) (kept []string, err error) {
	unlock, err := whole.Lock(o.dir)
	if err != nil {
		return nil, fmt.Errorf("%s: nothing was written: %w", o.dir, err)
	}
	defer unlock()
	still := func() error {
		for _, f := range files {
			if err := o.unchanged(f.Name); err != nil {
				return fmt.Errorf("%s: nothing was written: %w", f.Name, err)
			}
		}
		return nil
	}
	if err := still(); err != nil {
		return nil, err
	}
	set, err := whole.Stage(o.dir, files)
	if err != nil {
		return nil, err
	}
	defer set.Discard()
	defer func() {
		if err == nil {
			return
		}
		for i, name := range kept {
			// The file itself stands where it stood, or is somebody else's now. What could not be put back stays kept.
			if now, e := os.ReadFile(filepath.Join(o.dir, files[i].Name)); name != "" && e == nil && !bytes.Equal(now, files[i].Data) {
				_ = os.Remove(filepath.Join(o.dir, name))
			}
		}
		kept = nil
	}()
	for _, f := range files {
		if o.files[f.Name] == nil {
			kept = append(kept, "") // there is no old one
			continue
		}
		name, err := beside(filepath.Join(o.dir, f.Name))
		if err != nil {
			return kept, err
		}
		kept = append(kept, filepath.Base(name))
	}
	if err := set.CommitIf(still); err != nil {
		return kept, err
	}
	for _, f := range files {
		delete(o.files, f.Name) // its rows may stand in other lines now
	}
	return slices.DeleteFunc(kept, func(name string) bool { return name == "" }), nil
}

// unchanged returns why a file may not be replaced: somebody has it open, has changed it since it was read, or wants it to stay as it is.
func (o *Originals) unchanged(name string) error {
	full := filepath.Join(o.dir, name)
	if l := whole.OpenIn(full); l != "" {
		return fmt.Errorf("%w: close it there and run again (if nobody has it open, take %s away)", whole.ErrOpen, l)
	}
	info, err := os.Lstat(full)
	if o.files[name] == nil {
		if err == nil {
			return fmt.Errorf("%w: it is there now; run again", whole.ErrChanged)
		}
		return nil
	}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%w: it is gone; run again", whole.ErrChanged)
	case err != nil:
		return plainError(err)
	case info.Mode()&fs.ModeSymlink != 0:
		return errors.New("it is a link: have the file that it points to in the folder itself")
	case !info.Mode().IsRegular():
		return errors.New("it is no file")
	}
	now, err := os.ReadFile(full)
	switch {
	case err != nil:
		return plainError(err)
	case !bytes.Equal(now, o.files[name].data):
		return fmt.Errorf("%w; run again", whole.ErrChanged)
	case !whole.Writable(full):
		return fmt.Errorf("%w: make it writable and run again", whole.ErrLocked)
	}
	return nil
}

// rewriting is a table whose cells are being changed.
type rewriting struct {
	name    string
	data    []byte
	s       *sheet
	changes map[int][]*CellChange // by line
	found   map[*CellChange]bool
	added   []col // columns that the table has not
	foreign bool  // some line is Windows-1252
	utf8    bool  // some line is UTF-8 and no ASCII
	splices []splice
}

// splice is bytes of the file that are replaced: data[from:to].
type splice struct {
	from, to int
	with     []byte
}

// rewritten returns the bytes of a table with some of its cells changed.
func (k *original) rewritten(name string, changes []CellChange) ([]byte, error) {
	w := &rewriting{name: name, data: k.data, changes: map[int][]*CellChange{}, found: map[*CellChange]bool{}}
	for i := range changes {
		c := &changes[i]
		if slices.ContainsFunc(w.changes[c.Line], func(o *CellChange) bool { return o.Column == c.Column }) {
			return nil, w.error(c, "%w: it is changed twice", ErrText)
		}
		if why := unfit(c.Text); why != "" {
			return nil, w.error(c, "%w: %s", ErrText, why)
		}
		w.changes[c.Line] = append(w.changes[c.Line], c)
	}
	if err := w.look(); err != nil {
		return nil, err
	}
	if err := w.walk(); err != nil {
		return nil, err
	}
	for i := range changes {
		if c := &changes[i]; !w.found[c] {
			return nil, w.error(c, "%w: no row begins there", ErrRow)
		}
	}
	data := w.spliced()
	if err := w.check(data); err != nil {
		return nil, err
	}
	return data, nil
}

// error says of a cell why it cannot be written.
func (w *rewriting) error(c *CellChange, format string, with ...any) error {
	return fmt.Errorf("%s:%d: %s: "+format, append([]any{w.name, c.Line, c.Column}, with...)...)
}

// unfit says why no table takes a text, "" where it does.
func unfit(text string) string {
	switch {
	case len(text) > maxCell/2:
		return fmt.Sprintf("it is longer than %d KiB", maxCell>>11)
	case !utf8.ValidString(text):
		return "it is no text"
	case strings.ContainsFunc(text, func(r rune) bool { return unicode.IsControl(r) || r == '\u2028' || r == '\u2029' }):
		return "it holds a control character"
	}
	return ""
}

// look goes through the table once: what numbers look like in it, how its lines are stored, and which columns it lacks.
func (w *rewriting) look() error {
	s, err := openSheet(memory{w.name, w.data})
	if err != nil {
		return fmt.Errorf("%s: %w", w.name, err)
	}
	defer s.close()
	if s.lost || s.broken {
		return fmt.Errorf("%s: %w: its header cannot be read", w.name, ErrRow)
	}
	for _, f := range s.fields {
		wanted := slices.ContainsFunc(slices.Collect(values(w.changes)), func(c *CellChange) bool { return c.Column == f.name && c.Text != "" })
		if wanted && !slices.ContainsFunc(s.cols, func(c col) bool { return c.name == f.name }) {
			w.added = append(w.added, col{field: f, at: s.headed + len(w.added)})
		}
	}
	for c := range values(w.changes) {
		if !slices.ContainsFunc(s.fields, func(f field) bool { return f.name == c.Column }) {
			return w.error(c, "%w: there is no such column", ErrText)
		}
	}
	w.utf8 = bytes.HasPrefix(w.data, []byte("\xef\xbb\xbf"))
	w.letters(s) // of the header
	err = w.records(s, func(cells []string) error {
		for _, c := range s.cols {
			if c.at < len(cells) {
				if _, doubtful := s.text(c, cells[c.at]); doubtful {
					s.doubts++
				}
			}
		}
		w.letters(s)
		return nil
	})
	w.foreign = s.in.foreign.line > 0
	w.s = s
	return err
}

// letters notes whether some line of the record at hand is UTF-8 and no ASCII.
func (w *rewriting) letters(s *sheet) {
	for _, l := range s.rec.lines[s.rec.first:s.rec.handed] {
		text := s.rec.buf[l.from : l.to-1]
		w.utf8 = w.utf8 || !s.in.wide && !isASCII(text) && bytes.HasPrefix(w.data[l.offset:], text)
	}
}

// values are the values of a map of lists.
func values[K comparable, V any](m map[K][]V) func(yield func(V) bool) {
	return func(yield func(V) bool) {
		for _, list := range m {
			for _, v := range list {
				if !yield(v) {
					return
				}
			}
		}
	}
}

func isASCII(text []byte) bool {
	return !slices.ContainsFunc(text, func(b byte) bool { return b >= utf8.RuneSelf })
}

// records calls each with the cells of every row that can be split and is not blank.
func (w *rewriting) records(s *sheet, each func(cells []string) error) error {
	for {
		cells, bad, err := s.rec.record()
		switch {
		case err == io.EOF:
			return nil
		case err != nil:
			return fmt.Errorf("%s: %w", w.name, s.stopped(err))
		case bad != nil || blank(cells):
			continue
		}
		if err := each(cells); err != nil {
			return err
		}
	}
}

// walk goes through the table and notes the bytes that change.
func (w *rewriting) walk() error {
	was := w.s
	s, err := openSheet(memory{w.name, w.data})
	if err != nil {
		return fmt.Errorf("%s: %w", w.name, err)
	}
	defer s.close()
	s.commas, s.points, s.doubts = was.commas, was.points, was.doubts
	w.s = s
	if len(w.added) > 0 {
		heads := make([]string, len(w.added))
		for i, c := range w.added {
			heads[i] = cmp.Or(s.kind.row.Field(c.index).Tag.Get("head"), c.name)
		}
		if err := w.append(heads); err != nil {
			return err
		}
	}
	return w.records(s, w.row)
}

// row changes the cells of the row at hand.
func (w *rewriting) row(cells []string) error {
	s := w.s
	changes := w.changes[int(s.rec.at().line)]
	if len(changes) == 0 && (len(w.added) == 0 || len(cells) != s.headed) {
		return nil
	}
	tail := []string{} // behind the cells that the row has
	if len(cells) == s.headed {
		tail = make([]string, len(w.added))
	}
	for _, c := range changes {
		w.found[c] = true
		if id := w.id(cells); c.ID != "" && id != c.ID {
			return w.error(c, "%w: %q stands there, not %q", ErrRow, id, c.ID)
		}
		k := slices.IndexFunc(s.cols, func(o col) bool { return o.name == c.Column })
		in := col{at: -1}
		if k >= 0 {
			in = s.cols[k]
		} else if k = slices.IndexFunc(w.added, func(o col) bool { return o.name == c.Column }); k >= 0 {
			in = w.added[k]
		} else {
			continue // blank, and so it stays
		}
		is := ""
		if in.at < len(cells) {
			is = cells[in.at]
		}
		text, err := w.written(c, in, is)
		if err != nil {
			return err
		}
		if in.at < len(cells) {
			if text != is {
				if err := w.put(in.at, text); err != nil {
					return w.error(c, "%w", err)
				}
			}
			continue
		}
		for at := in.at - len(cells); len(tail) <= at && text != ""; {
			tail = append(tail, "")
		}
		if text != "" {
			tail[in.at-len(cells)] = text
		}
	}
	if len(tail) == 0 {
		return nil
	}
	if err := w.append(tail); err != nil {
		return fmt.Errorf("%s:%d: %w", w.name, s.rec.at().line, err)
	}
	return nil
}

// id returns the id of the row at hand, "" where its table has none.
func (w *rewriting) id(cells []string) string {
	for _, c := range w.s.cols {
		if (c.name == "id" || c.name == "bay" && w.s.kind.row == reflect.TypeFor[void.BayRow]()) && c.at < len(cells) {
			return cell.ParseWord(cells[c.at]).Text
		}
	}
	return ""
}

// written returns the text of a cell as this table has it: with a comma where numbers of the file have one, in metres where the column is.
// is: what stands there.
func (w *rewriting) written(c *CellChange, in col, is string) (string, error) {
	s := w.s
	says := func(text string) bool {
		read, _ := s.text(in, text)
		return same(s.kind.row.Field(in.index).Type, read, c.Text)
	}
	if is != "" && says(is) {
		return is, nil
	}
	texts := []string{c.Text}
	if in.metres {
		texts = []string{cell.InMetres(c.Text), c.Text}
	}
	if in.numeric && w.commas(in, is) {
		n := len(texts)
		texts = append(texts, texts...)
		for i := range texts[:n] {
			texts[i] = cell.WithComma(texts[i])
		}
	}
	commas, points := s.commas, s.points
	defer func() { s.commas, s.points = commas, points }() // as the file has them
	for _, text := range texts {
		if !says(text) {
			continue
		}
		if d := csvcell.Defuse(text); d != text && says(d) && (is == "" || csvcell.Defuse(is) == is) {
			text = d // unless a person has it so
		}
		return text, nil
	}
	return "", w.error(c, "%w: %q would not be read as it is meant", ErrText, c.Text)
}

// commas reports whether a number in a cell is to be written with a decimal comma: as what stands there, else as the rest of the file.
func (w *rewriting) commas(in col, is string) bool {
	s := w.s
	if s.rec.sep == ',' {
		return false
	}
	point := cell.DecimalComma
	if in.metres {
		point = cell.DecimalCommaMetres
	}
	if point(is) != is {
		return true
	}
	if _, decimal := cell.Points(is); decimal {
		return false
	}
	return s.commas || !s.points && s.doubts == 0 && s.rec.sep == ';'
}

// same reports whether two texts say the same to a type of cells, without a fault.
func same(of reflect.Type, a, b string) bool {
	read := func(text string) reflect.Value {
		v := reflect.New(of)
		_ = v.Interface().(interface{ UnmarshalCSV(string) error }).UnmarshalCSV(text) // the fault stays in the cell
		v = v.Elem()
		if of != reflect.TypeFor[cell.Word]() {
			blank := v.FieldByName("Text").Len() == 0
			v.FieldByName("Text").SetString("")
			if !blank {
				v.FieldByName("Text").SetString("set")
			}
		}
		return v
	}
	x, y := read(a), read(b)
	return x.FieldByName("Fault").IsNil() && reflect.DeepEqual(x.Interface(), y.Interface())
}

// put replaces a cell of the row at hand.
func (w *rewriting) put(i int, text string) error {
	s := w.s
	line, column := s.rec.cell(i)
	k := w.lineOf(line)
	chars := w.text(k)
	from := int(column) - 1
	quoted := from < len(chars) && chars[from] == '"'
	last, end := k, from
	if quoted {
		for end++; ; {
			q := strings.IndexByte(w.text(last)[end:], '"')
			if q < 0 {
				last, end = last+1, 0
				continue
			}
			if end += q + 1; end < len(w.text(last)) && w.text(last)[end] == '"' {
				end++
				continue
			}
			break
		}
	} else {
		end = len(chars)
		if n := strings.IndexRune(chars[from:], s.rec.sep); n >= 0 {
			end = from + n
		}
		cut := chars[from:end]
		from += len(cut) - len(strings.TrimLeftFunc(cut, unicode.IsSpace))
		end = from + len(strings.TrimSpace(cut)) // blanks round it stay
	}
	raw := csvcell.Quote(text, s.rec.sep)
	if quoted && raw == text {
		raw = `"` + text + `"`
	}
	return w.splice(k, from, last, end, raw)
}

// append puts cells behind those that the record at hand has.
func (w *rewriting) append(cells []string) error {
	s := w.s
	var raw strings.Builder
	for _, c := range cells {
		raw.WriteRune(s.rec.sep)
		raw.WriteString(csvcell.Quote(c, s.rec.sep))
	}
	k := s.rec.handed - 1
	end := len(w.text(k))
	return w.splice(k, end, k, end, raw.String())
}

// lineOf returns which of the lines of the record at hand has this number.
func (w *rewriting) lineOf(line int32) int {
	k := w.s.rec.first
	for w.s.rec.lines[k].line != line {
		k++
	}
	return k
}

// text returns a line of the record at hand.
func (w *rewriting) text(k int) string {
	l := w.s.rec.lines[k]
	return string(w.s.rec.buf[l.from : l.to-1])
}

// splice replaces what stands from a byte of line first to a byte of line last of the record at hand, both counted in the text.
func (w *rewriting) splice(first, from, last, to int, text string) error {
	start, err := w.offset(first, from)
	if err != nil {
		return err
	}
	end, err := w.offset(last, to)
	if err != nil {
		return err
	}
	line := []byte(w.text(first))
	foreign := w.isForeign(first) || isASCII(line) && w.foreign && !w.utf8
	with, err := w.stored(text, foreign)
	if err != nil {
		return err
	}
	w.splices = append(w.splices, splice{start, end, with})
	return nil
}

// isForeign reports whether a line of the record at hand is stored as Windows-1252.
func (w *rewriting) isForeign(k int) bool {
	return !w.s.in.wide && !bytes.HasPrefix(w.data[w.s.rec.lines[k].offset:], []byte(w.text(k)))
}

// offset returns where in the file a byte of a line of the record at hand is stored.
func (w *rewriting) offset(k, column int) (int, error) {
	at := int(w.s.rec.lines[k].offset)
	before, err := w.stored(w.text(k)[:column], w.isForeign(k))
	if err != nil || !bytes.HasPrefix(w.data[at:], before) {
		return 0, fmt.Errorf("%w: the line holds bytes that are no letters", ErrLetter)
	}
	return at + len(before), nil
}

// stored returns a text as the file stores it; foreign: as Windows-1252.
func (w *rewriting) stored(text string, foreign bool) ([]byte, error) {
	switch {
	case w.s.in.wide:
		var out []byte
		for _, u := range utf16.Encode([]rune(text)) {
			if w.s.in.big {
				out = append(out, byte(u>>8), byte(u))
			} else {
				out = append(out, byte(u), byte(u>>8))
			}
		}
		return out, nil
	case !foreign:
		return []byte(text), nil
	}
	out := make([]byte, 0, len(text))
	for _, r := range text {
		b, ok := charmap.Windows1252.EncodeRune(r)
		if !ok {
			return nil, fmt.Errorf("%w: %q in Windows-1252; save the file once as CSV UTF-8", ErrLetter, r)
		}
		out = append(out, b)
	}
	return out, nil
}

// spliced returns the bytes of the file with what changes in its place.
func (w *rewriting) spliced() []byte {
	slices.SortStableFunc(w.splices, func(a, b splice) int { return a.from - b.from })
	out := make([]byte, 0, len(w.data)+64*len(w.splices))
	done := 0
	for _, p := range w.splices {
		out = append(append(out, w.data[done:p.from]...), p.with...)
		done = p.to
	}
	return append(out, w.data[done:]...)
}

// check reads what is to be written beside what was read: it says what it should, and nothing else is different.
func (w *rewriting) check(data []byte) error {
	no := func(why string, with ...any) error {
		return fmt.Errorf("%s: %w: the next run could not read it: "+why, append([]any{w.name, ErrText}, with...)...)
	}
	was, err := openSheet(memory{w.name, w.data})
	if err != nil {
		return no("%w", err)
	}
	defer was.close()
	is, err := openSheet(memory{w.name, data})
	if err != nil {
		return no("%w", err)
	}
	defer is.close()
	if is.lost || is.broken || len(is.cols) != len(was.cols)+len(w.added) || is.rec.sep != was.rec.sep {
		return no("its header")
	}
	for {
		a, badA, errA := was.rec.record()
		b, badB, errB := is.rec.record()
		switch {
		case errA == io.EOF && errB == io.EOF:
			return w.problems(data, no)
		case errA != nil || errB != nil || (badA == nil) != (badB == nil):
			return no("line %d", is.in.here.line)
		case badA != nil:
			continue
		}
		if err := w.compare(was, is, a, b); err != nil {
			return no("%w", err)
		}
	}
}

// compare compares a row as it was with what is to be written.
func (w *rewriting) compare(was, is *sheet, a, b []string) error {
	line := was.rec.at().line
	changes := w.changes[int(line)]
	if blank(a) {
		changes = nil
	}
	changed := map[int]bool{}
	for _, c := range changes {
		k := slices.IndexFunc(is.cols, func(o col) bool { return o.name == c.Column })
		if k < 0 {
			continue
		}
		in, text := is.cols[k], ""
		if in.at < len(b) {
			text, _ = is.text(in, b[in.at])
		}
		if changed[in.at] = true; !same(is.kind.row.Field(in.index).Type, text, c.Text) {
			return w.error(c, "%q for %q", text, c.Text)
		}
	}
	for i := range max(len(a), len(b)) {
		var x, y string
		if i < len(a) {
			x = a[i]
		}
		if i < len(b) {
			y = b[i]
		}
		if x != y && !changed[i] {
			return fmt.Errorf("line %d, cell %d: %q for %q", line, i+1, y, x)
		}
	}
	return nil
}

// problems reads the whole file as a table of a project, before and after: nothing is wrong with it that was not before.
func (w *rewriting) problems(data []byte, no func(string, ...any) error) error {
	of := func(data []byte) (map[string]int, map[string]void.Problem, error) {
		t := &Tables{}
		k := kindOf(plain(strings.TrimSuffix(w.name, filepath.Ext(w.name))))
		z := readers{newLongReader[void.ZoneRow]().rows, newLongReader[void.BayRow]().rows}
		err := readFile(context.Background(), memory{w.name, data}, found{name: w.name, kind: k}, t, &Options{}, &z, &pace{})
		n, one := map[string]int{}, map[string]void.Problem{}
		for _, p := range t.Problems {
			n[p.Cell] += max(1, p.More)
			one[p.Cell] = p
		}
		return n, one, err
	}
	was, _, err := of(w.data)
	if err != nil {
		return err
	}
	is, one, err := of(data)
	if err != nil {
		return err
	}
	for column, n := range is {
		if n > was[column] {
			return no("%w", one[column])
		}
	}
	return nil
}

// RowText is a row of a table as it is written.
type RowText struct {
	Line  int
	Cells map[string]string // by canonical column, in millimetres and with a decimal point; blank ones are left out
	// Foreign: something stands in a column that is not the table's.
	Foreign bool
}

// Rows returns the rows of a table of the folder as they are written, also of one that is kept beside the project's own.
func (o *Originals) Rows(file string) ([]RowText, error) {
	k := o.files[file]
	if k == nil {
		return nil, fmt.Errorf("%s: %w: no table of the folder has it", file, ErrRow)
	}
	s, err := openSheet(memory{file, k.data})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	defer s.close()
	if s.lost || s.broken {
		return nil, fmt.Errorf("%s: %w: its header cannot be read", file, ErrRow)
	}
	var out []RowText
	w := &rewriting{name: file, data: k.data}
	err = w.records(s, func(cells []string) error {
		r := RowText{Line: int(s.rec.at().line), Cells: map[string]string{}}
		known := map[int]bool{}
		for _, c := range s.cols {
			known[c.at] = true
			if c.at < len(cells) {
				if text, _ := s.text(c, strings.TrimSpace(cells[c.at])); text != "" {
					r.Cells[c.name] = cell.ParseWord(text).Text
				}
			}
		}
		for i, text := range cells {
			r.Foreign = r.Foreign || !known[i] && strings.TrimSpace(text) != ""
		}
		out = append(out, r)
		return nil
	})
	return out, err
}

// TableChange is what is to be changed in one table.
type TableChange struct {
	File  string
	Cells []CellChange        // of rows that stay
	Gone  []int               // lines in which rows begin that are taken out
	Added []map[string]string // rows that come behind the last, by canonical column
}

// Renew changes tables as Rewrite does, and takes out and adds rows besides; others are files that are written whole, new ones and such as are
// kept beside the tables. All of it or, with an error, nothing.
func (o *Originals) Renew(changes []TableChange, others []whole.File) (kept []string, err error) {
	var files []whole.File
	for _, c := range changes {
		k := o.files[c.File]
		if k == nil || !k.whole {
			return nil, fmt.Errorf("%s: nothing was written: %w: no table of the folder has it", c.File, ErrRow)
		}
		data, err := k.renewed(c)
		if err != nil {
			return nil, fmt.Errorf("nothing was written: %w", err)
		}
		if !bytes.Equal(data, k.data) {
			files = append(files, whole.File{Name: c.File, Data: data})
		}
	}
	for _, f := range others {
		have, err := os.ReadFile(filepath.Join(o.dir, f.Name))
		switch {
		case errors.Is(err, fs.ErrNotExist):
			files = append(files, f)
		case err != nil:
			return nil, fmt.Errorf("%s: nothing was written: %w", f.Name, plainError(err))
		case !bytes.Equal(have, f.Data):
			o.files[f.Name] = &original{data: have, whole: true}
			files = append(files, f)
		}
	}
	if len(files) == 0 {
		return nil, nil
	}
	return o.replace(files)
}

// renewed returns the bytes of a table with rows taken out and added, and cells changed.
func (k *original) renewed(c TableChange) ([]byte, error) {
	data := k.data
	if len(c.Cells) > 0 {
		var err error
		if data, err = k.rewritten(c.File, c.Cells); err != nil {
			return nil, err
		}
	}
	if len(c.Gone) == 0 && len(c.Added) == 0 {
		return data, nil
	}
	if bytes.HasPrefix(data, []byte("\xff\xfe")) || bytes.HasPrefix(data, []byte("\xfe\xff")) {
		return nil, fmt.Errorf("%s: rows come or go, and the table is stored as UTF-16: save it as CSV in UTF-8 and run again", c.File)
	}
	// Where rows begin: cells that were changed moved none of them to another line.
	s, err := openSheet(memory{c.File, data})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", c.File, err)
	}
	defer s.close()
	w := &rewriting{name: c.File, data: data}
	var begin []int
	at := map[int]int{} // line -> place in begin
	if err := w.records(s, func([]string) error {
		at[int(s.rec.at().line)] = len(begin)
		begin = append(begin, int(s.rec.at().offset))
		return nil
	}); err != nil {
		return nil, err
	}
	begin = append(begin, len(data))
	var out []byte
	from := 0
	for _, line := range slices.Sorted(slices.Values(c.Gone)) {
		i, ok := at[line]
		if !ok {
			return nil, fmt.Errorf("%s:%d: %w: no row begins there", c.File, line, ErrRow)
		}
		out = append(out, data[from:begin[i]]...)
		from = begin[i+1]
	}
	out = append(out, data[from:]...)
	if len(c.Added) == 0 {
		return out, nil
	}
	end := "\n"
	if bytes.Contains(data, []byte("\r\n")) {
		end = "\r\n"
	}
	if len(out) > 0 && out[len(out)-1] != '\n' && out[len(out)-1] != '\r' {
		out = append(out, end...)
	}
	// Rows with nothing but what names them, and then their cells as any others are changed.
	key := slices.IndexFunc(s.cols, func(c col) bool {
		return c.name == "id" || c.name == "bay" || c.name == "in" || c.name == "storey" || c.name == "buildup"
	})
	if key < 0 {
		return nil, fmt.Errorf("%s: %w: it has no column that names its rows", c.File, ErrRow)
	}
	line := 1 + bytes.Count(out, []byte{'\n'})
	var cells []CellChange
	for _, r := range c.Added {
		name := r[s.cols[key].name]
		row := make([]string, s.headed)
		row[s.cols[key].at] = csvcell.Quote(csvcell.Defuse(name), s.rec.sep)
		out = append(out, strings.Join(row, string(s.rec.sep))+end...)
		for _, col := range slices.Sorted(maps.Keys(r)) {
			if col != s.cols[key].name && r[col] != "" {
				cells = append(cells, CellChange{Line: line, Column: col, Text: r[col]})
			}
		}
		line++
	}
	return (&original{data: out, whole: true}).rewritten(c.File, cells)
}
