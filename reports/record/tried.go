package record

import (
	"bufio"
	"io"
	"reflect"

	"voidline/clash/finding"
	"voidline/void"
)

// beforeAfter is a count before a change and after it.
type beforeAfter[T any] struct {
	Before T `json:"before"`
	After  T `json:"after"`
}

// Tried writes what changes to a project come to, in a document like that of a check; its findings are as there. Where a length is
// not finite the error wraps ErrNotFinite, and nothing has been written.
func Tried(w io.Writer, t *finding.Tried) error {
	v := reflect.ValueOf(struct {
		Voidline     string                      `json:"voidline"`
		Project      string                      `json:"project"`
		Counts       beforeAfter[finding.Counts] `json:"counts"`
		ProblemCount beforeAfter[int]            `json:"problem_count"`
		Left         int                         `json:"left"`
		Parted       []void.Parted               `json:"parted"`
		Changes      []finding.TriedCell         `json:"changes"`
		Cleared      []finding.Finding           `json:"cleared"`
		Made         []finding.Finding           `json:"made"`
		Worse        []finding.Altered           `json:"worse"`
		Better       []finding.Altered           `json:"better"`
	}{
		t.After.Voidline, t.After.Project,
		beforeAfter[finding.Counts]{t.Before.Counts, t.After.Counts},
		beforeAfter[int]{t.Before.Problems, t.After.Problems},
		t.Left, t.Parted, t.Changes, t.Cleared, t.Made, t.Worse, t.Better,
	})
	if err := finite(v, ""); err != nil {
		return err
	}
	return document(w, v, func(b *bufio.Writer, _ string, f reflect.Value) error {
		for j := range f.Len() {
			between(b, j)
			if err := put(b, f.Index(j)); err != nil {
				return err
			}
		}
		return nil
	})
}
