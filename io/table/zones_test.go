package table

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"
	"unsafe"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"voidline/void"
	"voidline/void/cell"
)

// reading is all that is said of a folder.
type reading struct {
	Tables *Tables
	Zones  []zoneRow
}

func readingOf(t fataler, fsys fs.FS, long readers) reading {
	t.Helper()
	var r reading
	var err error
	r.Tables, err = readWith(context.Background(), "project", Options{FS: fsys, Zone: func(file string, row *void.ZoneRow) {
		r.Zones = append(r.Zones, zoneRow{file, *row})
	}}, long)
	if err != nil {
		t.Fatalf("Read: %v", err)
	}
	return r
}

type fataler interface {
	Helper()
	Fatalf(format string, args ...any)
}

// checkTwin reads a folder with the general reader of tables, and with the reader of long ones in one and in two
// goroutines. All must say the same.
func checkTwin(t fataler, fsys fstest.MapFS) reading {
	t.Helper()
	want := readingOf(t, fsys, readers{general[void.ZoneRow], general[void.BayRow]})
	for _, alone := range []int{math.MaxInt, -1} {
		z, b := newLongReader[void.ZoneRow](), newLongReader[void.BayRow]()
		z.alone, b.alone = alone, alone
		if got := readingOf(t, fsys, readers{z.rows, b.rows}); !reflect.DeepEqual(want, got) {
			t.Fatalf("after %d rows alone the two readers differ (-general +long):\n%s\nfiles: %q", alone, cmp.Diff(want, got), texts(fsys))
		}
	}
	return want
}

func texts(fsys fstest.MapFS) map[string]string {
	all := map[string]string{}
	for name, f := range fsys {
		all[name] = string(f.Data[:min(len(f.Data), 4096)])
	}
	return all
}

// samples are texts of cells by the type of the column, most of them good.
var samples = map[reflect.Type][]string{
	reflect.TypeFor[cell.Word]():     {"a", "LTHW", "supply air", "'quoted", "#REF!", "#N/A", "Küche", " a ", "\u00a0b", "x\u2009", "Ø", "'", "''", "01-Apr", "a longer text that goes on and on"},
	reflect.TypeFor[cell.Place]():    {"0", "-0", "1200", "-35.5", "12.", ".5", "1,5", "1.200", "1.234,5", "B+1200", "grid 3 - 450", "A", "1e3", "10000000", "10000001", "123456789012345", "1234567890123456", "0.12345678901234", "1.2 m", "+5", "--5", "1..2", "-", "1200 ", "\u22125", "Apr-03"},
	reflect.TypeFor[cell.Length]():   {"0", "25", "-25", "0.5", "2.7 m", "1,5", "1.200", "x9", "NaN", "1 200", "12.", "'12"},
	reflect.TypeFor[cell.Size]():     {"600x300", "ø250", "DN50", "DN150 EN 10255", "15 EN 1057", "UB 406x178x60", "ub406x178x60", "HE 200 A", "150", "600x600x100", "0,6x0,3", "bent", "0x3", "1.200", "600 x 300"},
	reflect.TypeFor[cell.Covering](): {"25", "none", "40 over joint", "-1", "2,5", "1.200"},
	reflect.TypeFor[cell.Level]():    {"2700", "FFL+2700", "FFL+-2700", "FFL-100", "FFL+", "FFL+2.7", "ffl+2700", "FFL+2712.5", "19", "20", "-20", "-19.9", "0", "12,5", "2,7", "1.200", "soffit-60", "FFL..FFL+3700", "up", "none", "BOD 2700", "2700 AFFL", "FFL+20", "FFL+19.99", "FFL+10000000", "FFL+10000001"},
	reflect.TypeFor[cell.Face]():     {"bottom", "u/s", "top", "side"},
	reflect.TypeFor[cell.Fall]():     {"1 in 80", "1,25 %", "12.5 mm/m", "0", "80", "02:20"},
	reflect.TypeFor[cell.Names]():    {"T1", "T1; T2", "T1,T2", ";", "#REF!", "'a;b"},
	reflect.TypeFor[cell.Flag]():     {"yes", "no", "x", "perhaps"},
	reflect.TypeFor[cell.Number]():   {"1", "12", "2,5", "-1", "1.200", "many"},
}

// aTable draws a table of a kind, good or bad, as it is stored. needed are the columns that it has.
func aTable(t *rapid.T, k *kind, needed ...string) []byte {
	oneOf := func(label string, of ...string) string { return rapid.SampledFrom(of).Draw(t, label) }
	rare := func(label string, n int) bool { return rapid.IntRange(0, n).Draw(t, label) == n/2 }
	sep, end := oneOf("sep", ",", ";", "\t"), oneOf("end", "\n", "\r\n", "\r")
	fields := k.fields()
	// The header: what a table must have, some more, and what does not belong.
	names := slices.Clone(needed)
	for _, f := range fields {
		if !slices.Contains(names, f.name) && rare("column "+f.name, 3) {
			names = append(names, f.name)
		}
	}
	for range rapid.IntRange(0, 2).Draw(t, "others") {
		names = append(names, oneOf("other", "", "colour", "id", "x_1", " "))
	}
	names = rapid.Permutation(names).Draw(t, "order")
	if rare("a column less", 20) {
		names = names[1:]
	}
	var kinds []reflect.Type
	var head []string
	for _, n := range names {
		kind := reflect.TypeFor[cell.Word]()
		if i, _ := match(fields, n); i >= 0 {
			kind = k.row.Field(fields[i].index).Type
			if fields[i].long && rare("a unit", 5) {
				n += oneOf("unit", "_m", " (mm)", " M")
			}
		}
		kinds = append(kinds, kind)
		head = append(head, n)
	}
	plain := rapid.IntRange(0, 3).Draw(t, "how plain") // 3: a good table without quotes
	var b strings.Builder
	if rare("sep=", 8) {
		b.WriteString("sep=" + sep + end)
	}
	b.WriteString(strings.Join(head, sep) + end)
	rowsOf := rapid.IntRange(0, 3).Draw(t, "rows")
	if rare("many rows", 8) {
		rowsOf = rapid.IntRange(60, 200).Draw(t, "how many rows")
	}
	for i := range rowsOf {
		var cells []string
		for j, kind := range kinds {
			text := ""
			if pool := samples[kind]; !rare("blank", 6) {
				text = pool[rapid.IntRange(0, len(pool)-1).Draw(t, "cell")]
				if plain == 3 {
					text = pool[0]
				}
			}
			if f, _ := match(fields, names[j]); f >= 0 && fields[f].name == needed[0] && text != "" && text[0] != '#' {
				text = fmt.Sprint(text, i)
			}
			switch {
			case plain == 3 && !strings.Contains(text, sep):
			case strings.ContainsAny(text, sep+"\"") && !rare("unquoted", 20), plain < 2 && rare("quoted", 8):
				text = `"` + strings.ReplaceAll(text, `"`, `""`) + `"`
				if rare("line break", 10) {
					text = text[:1] + "x" + end + text[1:]
				} else if rare("doubled", 10) {
					text = text[:1] + `""` + text[1:]
				}
			}
			if plain == 0 && rare("spoilt", 25) {
				text = oneOf("how", text+`"`, `"`+text, ` "`+text+`"`, `"`+text+`" `, "  "+text, "\u00a0"+text, text+"\u00a0", "\u00a0", "\x00", `""`, `"""`, strings.Repeat("n", maxCell), `"`+strings.Repeat(end, 3))
			}
			cells = append(cells, text)
		}
		if plain == 0 && rare("ragged", 6) {
			cells = cells[:rapid.IntRange(0, len(cells)).Draw(t, "cells")]
		} else if plain < 2 && rare("longer", 6) {
			cells = append(cells, oneOf("more", "", " ", "b", `"b"`, `""`), oneOf("and more", "", "b", "\u00a0"))
		}
		b.WriteString(strings.Join(cells, sep))
		if i < rowsOf-1 || !rare("no last end", 3) {
			b.WriteString(end)
		}
		if rare("blank row", 10) {
			b.WriteString(oneOf("blank", "", " ", sep, " "+sep+"\u00a0", `""`, strings.Repeat(sep, len(names)-1), strings.Repeat(" "+sep, len(names))) + end)
		}
	}
	text := b.String()
	enc := rapid.SampledFrom(encodings[:6]).Draw(t, "encoding")
	if rare("Windows-1252", 6) {
		return []byte(strings.ReplaceAll(text, "\u00a0", "\xa0"))
	}
	return enc.encode(text)
}

// TestTwin reads random tables of zones and of bays, good and bad, with both readers.
func TestTwin(t *testing.T) {
	good, missing, problems := 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		zone := func() string { return string(aTable(t, &zones, "id", "x1", "y1", "size", "level")) }
		files := map[string]string{"tray.csv": zone()}
		if rapid.Bool().Draw(t, "two") {
			files["zz.csv"] = zone()
		}
		if rapid.Bool().Draw(t, "bays") {
			files["bays.csv"] = string(aTable(t, &bays, "bay", "x1", "y1", "x2", "y2", "soffit", "ceiling"))
		}
		r := checkTwin(t, folder(files))
		good, missing, problems = good+len(r.Zones)+len(r.Tables.Bays), missing+r.Tables.RowsMissing, problems+len(r.Tables.Problems)
	})
	t.Logf("%d rows handed over, %d missing, %d problems", good, missing, problems)
	if !t.Failed() && !testing.Short() && (good < 100 || missing < 100 || problems < 100) {
		t.Errorf("%d rows handed over, %d missing, %d problems: that says little", good, missing, problems)
	}
}

// TestTwinBounds reads tables at the bounds of the batches, the buffers and what is read at all with both readers.
func TestTwinBounds(t *testing.T) {
	const header = "id,x1,y1,size,level,note\n"
	row := func(i int) string { return fmt.Sprintf("D%d,%d,0,ø50,2700,n\n", i, i) }
	many := func(n int) string {
		var b strings.Builder
		for i := range n {
			b.WriteString(row(i))
		}
		return b.String()
	}
	tables := map[string]string{}
	for _, n := range []int{0, 1, longBatchSize - 1, longBatchSize, longBatchSize + 1, 2 * longBatchSize, batchesAhead*longBatchSize + 1, 5000} {
		tables[fmt.Sprintf("%d rows", n)] = header + many(n)
		tables[fmt.Sprintf("%d rows and blanks", n)] = header + strings.Repeat("\n,,\n", n) + many(n)
		tables[fmt.Sprintf("%d bad rows", n)] = header + strings.ReplaceAll(many(n), "2700", "up")
		tables[fmt.Sprintf("%d short rows", n)] = header + strings.Repeat("D1,0\n", n) + row(1)
		tables[fmt.Sprintf("a long line after %d rows", n)] = header + many(n) + strings.Repeat("n", maxLine+1) + "\n" + row(1)
		tables[fmt.Sprintf("an open quote after %d rows", n)] = header + many(n) + "D,0,0,ø50,2700,\"n\n" + many(n)
		tables[fmt.Sprintf("%d open quotes", n/10)] = header + strings.Repeat("D,0,0,ø50,2700,\"n\n", n/10) + many(n)
		tables[fmt.Sprintf("not UTF-8 after %d rows", n)] = header + many(n) + "D,0,0,\xd850,2700,n\n" + many(1)
	}
	tables["blanks in front"] = header + "D, x9!,\u00a0y9!,ø50,\u2003up,\u00a0\n \u00a0D,0,0,ø50,2700, \u2003\n" + row(2)
	tables["blanks behind"] = header + "D\u00a0,x9! ,0\u00a0,ø50 ,up\u2003,n\u00a0\n" + row(2)
	for _, n := range []int{maxCell - 1, maxCell, maxCell + 1, 3 * maxCell} {
		tables[fmt.Sprintf("a cell of %d", n)] = header + row(1) + "D,0,0,ø50,2700," + strings.Repeat("n", n) + "\n" + row(2)
		tables[fmt.Sprintf("a quoted cell of %d", n)] = header + row(1) + "D,0,0,ø50,2700,\"" + strings.Repeat("n", n) + "\"\n" + row(2)
		tables[fmt.Sprintf("a line of %d", n)] = header + row(1) + "D,0,0,ø50,2700,n" + strings.Repeat(",", n-15) + "\n" + row(2)
		tables[fmt.Sprintf("a record of %d", n)] = header + row(1) + "D,0,0,ø50,2700,\"" + strings.Repeat("n\n", n/2) + "\"\n" + row(2)
	}
	for about, text := range tables {
		t.Run(about, func(t *testing.T) { checkTwin(t, folder(map[string]string{"tray.csv": text, "z.csv": goodZones})) })
	}
}

// TestZoneColumns reads a table with each column of the zones in turn: the reader of zones knows all of them, and a
// row that is used again keeps nothing of the row before, nor of the file before.
func TestZoneColumns(t *testing.T) {
	for _, f := range zones.fields() {
		texts := samples[zones.row.Field(f.index).Type]
		if len(texts) == 0 {
			t.Errorf("column %q: there are no samples of its cells", f.name)
		}
		for _, text := range texts {
			table := "id,x1,y1,size,level\n"
			row := "D%d,1,2,ø50,2700%s\n"
			if !slices.Contains([]string{"id", "x1", "y1", "size", "level"}, f.name) {
				table, row = "id,x1,y1,size,level,"+f.name+"\n", "D%d,1,2,ø50,2700,%s\n"
			} else {
				text = strings.ReplaceAll(text, ",", ".")
			}
			text = `"` + text + `"`
			var b strings.Builder
			b.WriteString(table)
			for i := range 2*longBatchSize + 3 {
				cells := fmt.Sprintf(row, i, text)
				if i%3 == 1 {
					cells = fmt.Sprintf(row, i, "")
				}
				if len(table) == len("id,x1,y1,size,level\n") {
					own := strings.Split(fmt.Sprintf("D%d,1,2,ø50,2700", i), ",")
					own[slices.Index([]string{"id", "x1", "y1", "size", "level"}, f.name)] = map[bool]string{true: "", false: text}[i%3 == 1]
					cells = strings.Join(own, ",") + "\n"
				}
				b.WriteString(cells)
			}
			checkTwin(t, folder(map[string]string{"tray.csv": b.String(), "z.csv": goodZones}))
		}
	}
}

// TestDecimal compares numbers with those that package cell reads, to the last bit.
func TestDecimal(t *testing.T) {
	const seed = 3
	r := rand.New(rand.NewPCG(seed, 0))
	texts := slices.Concat(samples[reflect.TypeFor[cell.Place]()], samples[reflect.TypeFor[cell.Level]()])
	for range 20_000 {
		b := make([]byte, 1+r.IntN(18))
		for i := range b {
			b[i] = "0123456789.-"[min(r.IntN(13), 11)*r.IntN(20)%12]
			if r.IntN(4) > 0 {
				b[i] = '0' + byte(r.IntN(10))
			}
		}
		texts = append(texts, string(b))
	}
	taken := 0
	read := level(again(&store{size: 1 << 10}, cell.ParseLevel))
	for _, text := range texts {
		mm, ok := decimal(text)
		if place := cell.ParsePlace(text); ok && (place.Fault != nil || math.Float64bits(place.MM) != math.Float64bits(mm) || place.Line != "" || place.Text != text) {
			t.Fatalf("seed %d: decimal(%q) = %v, and the place is %+v", seed, text, mm, place)
		}
		if length := cell.ParseLength(text); ok && (length.Fault != nil || math.Float64bits(length.MM) != math.Float64bits(mm) || length.Text != text) {
			t.Fatalf("seed %d: decimal(%q) = %v, and the length is %+v", seed, text, mm, length)
		}
		for _, text := range []string{text, "FFL+" + text} {
			var got cell.Level
			read(unsafe.Pointer(&got), text)
			if want := cell.ParseLevel(text); !reflect.DeepEqual(got, want) || math.Float64bits(got.Low.MM) != math.Float64bits(want.Low.MM) {
				t.Fatalf("seed %d: level of %q is %+v, want %+v", seed, text, got, want)
			}
		}
		if ok {
			taken++
		}
	}
	if taken < 3_000 {
		t.Errorf("%d numbers were read, want most", taken)
	}
}

// FuzzTwin reads any bytes as a table of zones with both readers.
func FuzzTwin(f *testing.F) {
	for _, text := range []string{
		goodZones, "", "\ufeff\"id\",x1,y1,size,level\r\n\"a\nb\",x,,NaN,1:80\r\n", "id,x1,y1,size,level\nD1\"\n\"D2\n,,\nD3,\"x\"y\n",
		"sep=;\rid;x1;y1;size;level\rD1;1.200;0,5;ø50;u/s\r", "id;bay;size;level_m;x2 (m)\nD\xfc;B;\xd8 250;2,7;1,5\n", "id\tbay\tsize\tlevel\n\"D\"\t\"B\t1\"\t \"x\"\t\n",
		"id,bay,size,level,,note\nD1,B1,600x300,FFL+2700,, \"a, \"\"b\"\"\"\n\nD2,B1,600x300,-2700,x\nD3,B1,UB 406x178x60,none,,\"open\nD4,B1,1,20,,,,\n",
		"id,bay,size,level\n\"\nD1,B1,600x300,2700\n\"\"\"\nD2,B1,600x300,2700", "\xff\xfei\x00d\x00\n\x00\x00\xd8", "id,x1,y1,size,level,joins,fall\nD1,A+5,-0,ø50,\u00a02700,a;b,1:80\n",
	} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 1<<12 {
			return
		}
		checkTwin(t, folder(map[string]string{"tray.csv": string(data)}))
		checkTwin(t, folder(map[string]string{"tray.csv": "id,x1,y1,size,level,note\n" + string(data)}))
		checkTwin(t, folder(map[string]string{"tray.csv": "id;x1_m;y1;size;level;joins;top\n" + string(data)}))
		checkTwin(t, folder(map[string]string{"bays.csv": string(data)}))
		checkTwin(t, folder(map[string]string{"bays.csv": "bay;x1_m;y1;x2;y2;soffit;ceiling;build-up\n" + string(data)}))
	})
}

// endless is a table of zones without end.
func endless(line string) *made {
	at := 0
	return &made{
		MapFS: folder(map[string]string{"tray.csv": ""}), name: "tray.csv", head: "id,x1,y1,size,level,note\n", size: 1 << 60,
		fill: func(p []byte) {
			for i := range p {
				p[i] = line[at%len(line)]
				at++
			}
		},
	}
}

// TestCancelSoon stops reading while another goroutine reads ahead, or no row ever comes.
func TestCancelSoon(t *testing.T) {
	for _, line := range []string{"D1,0,0,ø50,2700,\n", "\n", ",,\n", "D1,0,0,ø50,up,\n", "D1\n", "D1,0,0,ø50,2700,\"x\n", "D1,0,0,ø50,2700,\"x\ny\"\n", "D\"1\n"} {
		for _, alone := range []int{math.MaxInt, -1} {
			ctx, cancel := context.WithCancel(context.Background())
			timer := time.AfterFunc(50*time.Millisecond, cancel)
			z := newLongReader[void.ZoneRow]()
			z.alone = alone
			before := runtime.NumGoroutine()
			start := time.Now()
			_, err := readWith(ctx, "project", Options{FS: endless(line)}, readers{z.rows, general[void.BayRow]})
			took := time.Since(start)
			if !errors.Is(err, context.Canceled) {
				t.Errorf("%q: %v, want context.Canceled", line, err)
			}
			if took > 2*time.Second { // 0.1 s is the aim; the machine may be busy
				t.Errorf("%q, %d rows alone: took %v", line, alone, took)
			}
			t.Logf("%q, %d rows alone: %v after it was cancelled", line, alone, took-50*time.Millisecond)
			timer.Stop()
			cancel()
			noMoreGoroutines(t, before)
		}
	}
}

// noMoreGoroutines waits for goroutines that have done their last work to be gone.
func noMoreGoroutines(t *testing.T, before int) {
	t.Helper()
	for range 100 {
		if runtime.NumGoroutine() <= before {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Errorf("%d goroutines, were %d", runtime.NumGoroutine(), before)
}

// TestPanic stops reading where the receiver of the rows does.
func TestPanic(t *testing.T) {
	for _, line := range []string{"D1,0,0,ø50,2700,\n", "\n"} {
		before := runtime.NumGoroutine()
		z := newLongReader[void.ZoneRow]()
		z.alone = -1
		func() {
			defer func() {
				if v := recover(); v != "enough" {
					t.Errorf("recovered %v", v)
				}
			}()
			n := 0
			m := endless(line)
			m.head += strings.Repeat("D1,0,0,ø50,2700,\n", 4*longBatchSize) // the next batch is never full of blank lines
			readWith(context.Background(), "project", Options{FS: m, Zone: func(string, *void.ZoneRow) {
				if n++; n == 4*longBatchSize {
					panic("enough")
				}
			}}, readers{z.rows, general[void.BayRow]})
		}()
		noMoreGoroutines(t, before)
	}
}

// TestProgress is told of more and more rows, and not too often.
func TestProgress(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	var told []int
	rows := 0
	start := time.Now()
	_, err := readTables(ctx, "project", Options{FS: endless("D1,0,0,ø50,2700,\nD2\n\n"), Zone: func(string, *void.ZoneRow) { rows++ }, Progress: func(n int) {
		told = append(told, n)
		if len(told) == 5 {
			cancel()
		}
	}})
	took := time.Since(start)
	if !errors.Is(err, context.Canceled) || len(told) != 5 || took < 5*time.Second/20 {
		t.Errorf("%v, told %v in %v", err, told, took)
	}
	for i := 1; i < len(told); i++ {
		if told[i] <= told[i-1] {
			t.Errorf("told %v", told)
		}
	}
	// Half of the rows are missing; ductwork.csv, which is read before, has one.
	if n := told[len(told)-1]; n < 2*(rows-1)-2 || n > 2*rows+2 {
		t.Errorf("told of %d rows when %d were handed over", n, rows)
	}
	told = nil
	if _, err := readTables(context.Background(), "project", Options{FS: folder(nil), Progress: func(n int) { told = append(told, n) }}); err != nil || len(told) > 1 {
		t.Errorf("%v, told %v of a small folder", err, told)
	}
}

// TestTextsStay keeps rows beyond the call, as AddZone keeps their texts, while many more are read.
func TestTextsStay(t *testing.T) {
	var b strings.Builder
	b.WriteString("id,run,x1,y1,size,level,joins,note\n")
	for i := range 20_000 {
		fmt.Fprintf(&b, "D%d,run %d,A+%d,%d.5,ø%d,soffit-%d,J%d;K%d,\"n\"\"%d\"\n", i, i/7, i, i, 1+i%999, 1+i%700, i, i, i)
	}
	r := checkTwin(t, folder(map[string]string{"tray.csv": b.String()}))
	if len(r.Zones) != 20_001 {
		t.Errorf("%d zones, want 20001", len(r.Zones))
	}
}
