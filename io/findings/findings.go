// Package findings reads the JSON document that a check answers with back into its record. It is strict:
// keys that the record does not have, keys that are missing or stand twice, values of another kind, and
// answers that do not agree with themselves are problems, each with file:line:column.
package findings

import (
	"bytes"
	"encoding"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"sort"
	"strings"
	"unicode/utf8"

	"voidline/clash/finding"
	"voidline/clash/register"
	"voidline/void"
)

// The bounds of what is read.
const (
	maxFile     = 256 << 20
	maxProblems = 50
	maxLength   = 1e9 // mm: beyond every place and length of a building
)

// Open reads the document of that name. What is wrong with it is the error, as void.Problems in the order of the document,
// at most 50. With any error there is no result.
func Open(name string) (*finding.Result, error) {
	info, err := os.Stat(name)
	if err == nil && info.IsDir() {
		return nil, fmt.Errorf("%s is a folder", name)
	} else if err == nil && !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s is no file", name)
	} else if err != nil {
		return nil, fmt.Errorf("%s: %w", name, bare(err))
	}
	in, err := os.Open(name)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, bare(err))
	}
	defer in.Close()
	data, err := io.ReadAll(io.LimitReader(in, maxFile+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, bare(err))
	}
	if len(data) > maxFile {
		return nil, fmt.Errorf("%s is larger than 256 MiB: no answer of a check", name)
	}
	r, problems := Parse(filepath.Base(name), data)
	return r, void.Problems(problems).Err()
}

func bare(err error) error {
	var pe *os.PathError
	if errors.As(err, &pe) {
		return pe.Err
	}
	return err
}

// Parse reads a document; name is what problems call it. See Open.
func Parse(name string, data []byte) (*finding.Result, []void.Problem) {
	d := &reader{name: name, data: data}
	skip := 0
	if bytes.HasPrefix(data, []byte("\xef\xbb\xbf")) {
		skip = 3
	}
	if !utf8.Valid(data) {
		i := 0
		for i < len(data) {
			r, n := utf8.DecodeRune(data[i:])
			if r == utf8.RuneError && n == 1 {
				break
			}
			i += n
		}
		d.problem(i, "not UTF-8", "a JSON document", "")
		return nil, d.problems
	}
	d.skip = skip
	d.dec = json.NewDecoder(bytes.NewReader(data[skip:]))
	d.dec.UseNumber()
	var r finding.Result
	if d.value(reflect.ValueOf(&r).Elem(), "") {
		if at := d.next(); at < len(data) {
			d.problem(at, "text behind the document", "", "")
		}
		d.agree(&r)
	}
	if len(d.problems) > 0 {
		return nil, d.problems
	}
	return &r, nil
}

// reader walks the tokens of a document along the record.
type reader struct {
	name     string
	data     []byte
	skip     int // bytes before what the decoder sees
	dec      *json.Decoder
	lines    []int // offsets at which lines begin
	problems []void.Problem
	places   []int // where each finding begins
}

// next returns the offset of the next token: white space, commas and colons passed over.
func (d *reader) next() int {
	i := d.skip + int(d.dec.InputOffset())
	for i < len(d.data) && strings.IndexByte(" \t\r\n,:", d.data[i]) >= 0 {
		i++
	}
	return i
}

func (d *reader) problem(offset int, what, want, hint string) {
	if len(d.problems) >= maxProblems {
		return
	}
	if d.lines == nil {
		d.lines = []int{0}
		for i, b := range d.data {
			if b == '\n' {
				d.lines = append(d.lines, i+1)
			}
		}
	}
	l := sort.SearchInts(d.lines, offset+1) - 1
	d.problems = append(d.problems, void.Problem{
		File: d.name, Line: l + 1, Column: offset - d.lines[l] + 1, What: what, Want: want, Hint: hint,
	})
}

// token returns the next token; false where the document breaks off, which is told.
func (d *reader) token() (json.Token, bool) {
	at := d.next()
	t, err := d.dec.Token()
	if err == nil {
		return t, true
	}
	var syntax *json.SyntaxError
	switch {
	case errors.As(err, &syntax):
		d.problem(at, "no JSON: "+strings.TrimPrefix(err.Error(), "json: "), "", "")
	case len(bytes.TrimSpace(d.data[d.skip:])) == 0:
		d.problem(at, "the file is empty", "the JSON answer of a check", "")
	default:
		d.problem(len(d.data), "the document breaks off", "", "was it written to the end?")
	}
	return nil, false
}

func at(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

// value reads one value into v; false where nothing more can be read.
func (d *reader) value(v reflect.Value, path string) bool {
	offset := d.next()
	t, ok := d.token()
	if !ok {
		return false
	}
	wrong := func(want string) bool {
		what := "a " + kindOf(t)
		if path != "" {
			what = path + ": " + what
		}
		d.problem(offset, what, want, "")
		return d.pass(t)
	}
	if v.Kind() == reflect.Pointer {
		if t == nil {
			return true
		}
		v.Set(reflect.New(v.Type().Elem()))
		v = v.Elem()
	}
	if word, ok := v.Addr().Interface().(encoding.TextUnmarshaler); ok {
		s, ok := t.(string)
		if !ok {
			return wrong("text")
		}
		if err := word.UnmarshalText([]byte(s)); err != nil {
			d.problem(offset, path+": "+err.Error(), "", "was it written by another version?")
		}
		return true
	}
	switch v.Kind() {
	case reflect.Struct:
		if t != json.Delim('{') {
			return wrong("an object")
		}
		return d.object(v, path, offset)
	case reflect.Map:
		if t != json.Delim('{') {
			return wrong("an object")
		}
		v.Set(reflect.MakeMap(v.Type()))
		for d.dec.More() {
			where := d.next()
			k, ok := d.token()
			if !ok {
				return false
			}
			key := reflect.ValueOf(k)
			if v.MapIndex(key).IsValid() {
				d.problem(where, fmt.Sprintf("%s: key %q is there twice", path, k), "each key once", "")
			}
			e := reflect.New(v.Type().Elem()).Elem()
			if !d.value(e, at(path, k.(string))) {
				return false
			}
			v.SetMapIndex(key, e)
		}
		_, ok := d.token()
		return ok
	case reflect.Slice:
		if t != json.Delim('[') {
			return wrong("a list")
		}
		v.Set(reflect.MakeSlice(v.Type(), 0, 0))
		for i := 0; d.dec.More(); i++ {
			if path == "findings" {
				d.places = append(d.places, d.next())
			}
			e := reflect.New(v.Type().Elem()).Elem()
			if !d.value(e, fmt.Sprintf("%s[%d]", path, i)) {
				return false
			}
			v.Set(reflect.Append(v, e))
		}
		_, ok := d.token()
		return ok
	case reflect.String:
		s, ok := t.(string)
		if !ok {
			return wrong("text")
		}
		v.SetString(s)
	case reflect.Bool:
		b, ok := t.(bool)
		if !ok {
			return wrong("true or false")
		}
		v.SetBool(b)
	case reflect.Int:
		n, ok := t.(json.Number)
		if !ok {
			return wrong("a whole number")
		}
		i, err := n.Int64()
		if err != nil || i < 0 || i > math.MaxInt32 {
			d.problem(offset, fmt.Sprintf("%s: %s", path, n), "a whole number, not negative", "")
			return true
		}
		v.SetInt(i)
	case reflect.Float64:
		n, ok := t.(json.Number)
		if !ok {
			return wrong("a length in mm")
		}
		f, err := n.Float64()
		if err != nil || math.Abs(f) > maxLength {
			d.problem(offset, fmt.Sprintf("%s: %s", path, short(n.String())), "a length in mm", "")
			return true
		}
		v.SetFloat(f + 0)
	}
	return true
}

func short(s string) string {
	if len(s) > 40 {
		return s[:40] + "…"
	}
	return s
}

// object reads the keys of an object whose brace has been read.
func (d *reader) object(v reflect.Value, path string, offset int) bool {
	fields := map[string]int{}
	var must []string
	for i := range v.NumField() {
		tag := v.Type().Field(i).Tag
		key, rest, _ := strings.Cut(tag.Get("json"), ",")
		fields[key] = i
		if rest != "omitempty" && tag.Get("added") != "later" {
			must = append(must, key)
		}
	}
	seen := map[string]bool{}
	for d.dec.More() {
		where := d.next()
		t, ok := d.token()
		if !ok {
			return false
		}
		key := t.(string) // the decoder takes nothing else for a key
		i, known := fields[key]
		switch {
		case !known:
			d.problem(where, fmt.Sprintf("unknown key %q", short(at(path, key))), "", "was it written by another version?")
		case seen[key]:
			d.problem(where, fmt.Sprintf("key %q is there twice", at(path, key)), "each key once", "")
		}
		if !known || seen[key] {
			t, ok := d.token()
			if !ok || !d.pass(t) {
				return false
			}
			continue
		}
		seen[key] = true
		if !d.value(v.Field(i), at(path, key)) {
			return false
		}
	}
	if _, ok := d.token(); !ok {
		return false
	}
	for _, key := range must {
		if !seen[key] {
			d.problem(offset, fmt.Sprintf("key %q is missing", at(path, key)), "", "")
		}
	}
	return true
}

// pass reads to the end of a value whose first token has been read.
func (d *reader) pass(t json.Token) bool {
	depth := 0
	for {
		switch t {
		case json.Delim('{'), json.Delim('['):
			depth++
		case json.Delim('}'), json.Delim(']'):
			depth--
		}
		if depth == 0 {
			return true
		}
		var ok bool
		if t, ok = d.token(); !ok {
			return false
		}
	}
}

func kindOf(t json.Token) string {
	switch t := t.(type) {
	case nil:
		return "null"
	case string:
		return "text"
	case bool:
		return "true or false"
	case json.Number:
		return "number"
	case json.Delim:
		if t == '[' {
			return "list"
		}
		return "object"
	}
	return "value"
}

// agree says where an answer does not agree with itself.
func (d *reader) agree(r *finding.Result) {
	var counts finding.Counts
	counted := true // by the answer itself: older versions say of no finding which problem it is part of
	seen := map[string]int{}
	for i := range r.Findings {
		f := &r.Findings[i]
		say := func(what, want string) { d.problem(d.places[i], fmt.Sprintf("findings[%d]: %s", i, what), want, "") }
		switch f.Kind {
		case finding.Overlap:
			counts.Overlap++
		case finding.Tight:
			counts.Tight++
		case finding.Access:
			counts.Access++
		default:
			say(fmt.Sprintf("kind %q", short(string(f.Kind))), "overlap, tight or access")
		}
		if f.Kind == finding.Overlap && f.Depth == nil {
			say("an overlap with overlap null", "its depth")
		} else if f.Kind == finding.Tight && f.Depth != nil {
			say("tight, with an overlap", "null") // access may have one: something stands in the room asked for
		}
		if !register.IsID(f.ID) {
			say(fmt.Sprintf("id %q", short(f.ID)), "12 letters of a to z and 2 to 7")
		} else if j, ok := seen[f.ID]; ok {
			say(fmt.Sprintf("id %s is that of findings[%d] too", f.ID, j), "an id of its own for each finding")
		}
		seen[f.ID] = i
		counted = counted && f.ProblemID != ""
	}
	if counts != r.Counts {
		d.problem(0, fmt.Sprintf("counts say %+v where the findings are %+v", r.Counts, counts), "", "was a part taken out?")
	}
	if n := finding.CountProblems(r.Findings); counted && n != r.Problems {
		d.problem(0, fmt.Sprintf("problem_count says %d where the findings make %d", r.Problems, n), "", "was a part taken out?")
	}
}
