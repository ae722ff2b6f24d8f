// Package record writes the answer of a check as a JSON document, stable from run to run.
//
// The document is UTF-8, one line for each key of the whole and one for each member of its lists,
// so that a line tool finds a finding and two weeks' documents compare line by line. Keys stand in
// the order of finding.Result and the records in it; lists are never null; lengths are millimetres
// to the nearest 0.1, never minus zero. <, > and & in names are written as \u003c, \u003e and
// \u0026, so that the document may stand in a web page. Its JSON Schema is in clash/schema.
package record

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"reflect"
	"runtime"
	"strings"
	"sync"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/reports/words"
)

// ErrNotFinite says that a length is not-a-number or infinite: no such document is written.
var ErrNotFinite = errors.New("a length is not a finite number")

// Check writes the result. It is not changed. Where a length is not finite the error wraps ErrNotFinite
// and names the key, and nothing has been written.
func Check(w io.Writer, r *finding.Result) error {
	v := reflect.ValueOf(*r)
	if err := finite(v, ""); err != nil {
		return err
	}
	return document(w, v, func(b *bufio.Writer, key string, f reflect.Value) error {
		for j := range f.Len() {
			between(b, j)
			if err := put(b, f.Index(j)); err != nil {
				return err
			}
		}
		return nil
	})
}

// Answer writes the same document as Check from an answer whose findings are worded as they are read, so that they are
// never held all at once. An error may come after part of the document is written; it is the context's when that
// is cancelled.
func Answer(ctx context.Context, w io.Writer, a *clash.Answer) error {
	head := reflect.ValueOf(*a.Head())
	if err := finite(head, ""); err != nil {
		return err
	}
	return document(w, head, func(b *bufio.Writer, key string, f reflect.Value) error {
		switch key {
		case "findings":
			return list(b, func(each func([]finding.Finding) error) error { return a.Findings(ctx, each) })
		case "excused_pairs":
			return list(b, func(each func([]finding.ExcusedPair) error) error { return a.ExcusedPairs(ctx, each) })
		case "to_be_protected":
			return list(b, func(each func([]finding.Protection) error) error { return a.ToBeProtected(ctx, each) })
		}
		for j := range f.Len() {
			between(b, j)
			if err := put(b, f.Index(j)); err != nil {
				return err
			}
		}
		return nil
	})
}

// list writes the members that come in batches, each batch put into JSON by several goroutines.
func list[T any](b *bufio.Writer, read func(each func([]T) error) error) error {
	n := 0
	workers := runtime.GOMAXPROCS(0)
	parts := make([]bytes.Buffer, workers)
	texts := make([][]byte, workers)
	errs := make([]error, workers)
	return read(func(batch []T) error {
		var wg sync.WaitGroup
		for k := range workers {
			from, to := k*len(batch)/workers, (k+1)*len(batch)/workers
			wg.Go(func() {
				parts[k].Reset()
				e := json.NewEncoder(&parts[k])
				for i := from; i < to && errs[k] == nil; i++ {
					if n+i > 0 {
						parts[k].WriteByte(',')
					}
					parts[k].WriteByte('\n')
					errs[k] = e.Encode(&batch[i])
					parts[k].Truncate(parts[k].Len() - 1) // the encoder ends each with a line feed
				}
				texts[k] = words.Spelled(parts[k].Bytes())
			})
		}
		wg.Wait()
		n += len(batch)
		for k := range workers {
			if errs[k] != nil {
				return errs[k]
			}
			b.Write(texts[k]) // a bufio.Writer keeps its first error for Flush
		}
		return nil
	})
}

// document writes the keys of the whole; members writes those of a list.
func document(w io.Writer, v reflect.Value, members func(b *bufio.Writer, key string, f reflect.Value) error) error {
	b := bufio.NewWriter(w)
	b.WriteString("{") // a bufio.Writer keeps its first error for Flush
	first := true
	for i := range v.NumField() {
		key, rest, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ",")
		f := v.Field(i)
		if rest == "omitempty" && f.IsZero() {
			continue
		}
		if !first {
			b.WriteString(",")
		}
		first = false
		fmt.Fprintf(b, "\n%q: ", key)
		if f.Kind() != reflect.Slice {
			if err := put(b, f); err != nil {
				return err
			}
			continue
		}
		b.WriteString("[")
		if err := members(b, key, f); err != nil {
			return err
		}
		b.WriteString("]")
	}
	b.WriteString("\n}\n")
	return b.Flush()
}

func between(b *bufio.Writer, j int) {
	if j > 0 {
		b.WriteString(",")
	}
	b.WriteString("\n")
}

func put(b *bufio.Writer, v reflect.Value) error {
	text, err := json.Marshal(tidy(v).Interface())
	if err != nil {
		return err
	}
	_, err = b.Write(words.Spelled(text))
	return err
}

// tidy returns a copy of v with its lengths to the nearest 0.1 and no list or table that is nil.
func tidy(v reflect.Value) reflect.Value {
	switch v.Kind() {
	case reflect.Float64:
		return reflect.ValueOf(words.Tenth(v.Float())).Convert(v.Type())
	case reflect.Pointer:
		if v.IsNil() {
			return v
		}
		p := reflect.New(v.Type().Elem())
		p.Elem().Set(tidy(v.Elem()))
		return p
	case reflect.Slice:
		s := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		for i := range v.Len() {
			s.Index(i).Set(tidy(v.Index(i)))
		}
		return s
	case reflect.Map:
		if v.IsNil() {
			return reflect.MakeMap(v.Type())
		}
		return v
	case reflect.Struct:
		c := reflect.New(v.Type()).Elem()
		for i := range v.NumField() {
			c.Field(i).Set(tidy(v.Field(i)))
		}
		return c
	}
	return v
}

// finite looks for a length that is none.
func finite(v reflect.Value, at string) error {
	switch v.Kind() {
	case reflect.Float64:
		if math.IsNaN(v.Float()) || math.IsInf(v.Float(), 0) {
			return fmt.Errorf("%s: %w", at, ErrNotFinite)
		}
	case reflect.Pointer:
		if !v.IsNil() {
			return finite(v.Elem(), at)
		}
	case reflect.Slice:
		for i := range v.Len() {
			if err := finite(v.Index(i), fmt.Sprintf("%s[%d]", at, i)); err != nil {
				return err
			}
		}
	case reflect.Struct:
		for i := range v.NumField() {
			key, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ",")
			if at != "" {
				key = at + "." + key
			}
			if err := finite(v.Field(i), key); err != nil {
				return err
			}
		}
	}
	return nil
}
