package finding

import (
	"cmp"
	"slices"
	"strings"

	"voidline/clash/figure"
	"voidline/void/cell"
)

// Merge makes one finding of those of one id: the worst stays and names the rest.
func Merge(fs []Finding) Finding {
	slices.SortStableFunc(fs, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(Severity(a.Kind), Severity(b.Kind)), cmp.Compare(b.Short, a.Short), strings.Compare(a.Rule+a.A, b.Rule+b.A),
			strings.Compare(a.Note, b.Note))
	})
	w := fs[0]
	w.Also, w.Moves = slices.Clone(w.Also), slices.Clone(w.Moves)
	for _, f := range fs[1:] {
		more := append([]Also{{Rule: f.Rule, Side: f.Side, Gap: f.Gap, Asked: f.Asked, Short: f.Short, Basis: f.Basis}}, f.Also...)
		if f.A != w.A {
			for k := range more {
				more[k].Side = turned(more[k].Side) // as seen from the other
			}
		}
		w.Also = append(w.Also, more...)
		if w.Kind == Overlap && f.Kind == Tight && f.Asked > w.Asked && (w.BKind == CeilingKind || w.AKind == CeilingKind) {
			// A ceiling asks by the greatest: what is in it must rise clear of it and of what its tiles ask.
			w.Short = figure.Tenth(w.Short + f.Asked - w.Asked)
			w.Asked = f.Asked
			for k := range w.Moves {
				w.Moves[k].By = w.Short
			}
		}
	}
	w.Finish()
	return w
}

// Swap tells a finding from the other of its two.
func (f *Finding) Swap() {
	b := f.A
	f.A, f.B = *f.B, &b
	f.ATrade, f.BTrade = f.BTrade, f.ATrade
	f.ARow, f.BRow = f.BRow, f.ARow
	f.ARun, f.BRun = f.BRun, f.ARun
	f.AKind, f.BKind = f.BKind, f.AKind
	f.Side = turned(f.Side)
}

// turned returns a side as it is seen from the other of two.
func turned(side cell.Towards) cell.Towards {
	switch side {
	case cell.Above:
		return cell.Below
	case cell.Below:
		return cell.Above
	}
	return side
}

// Finish gives lengths of a worded finding as they are told.
func (f *Finding) Finish() {
	f.round()
	f.Cost = CostWord(f.CostClass())
	slices.SortStableFunc(f.Also, func(a, b Also) int {
		return cmp.Or(strings.Compare(a.Rule, b.Rule), strings.Compare(a.Side.String(), b.Side.String()))
	})
	f.Also = slices.CompactFunc(f.Also, func(a, b Also) bool { return a == b })
	if f.Also == nil {
		f.Also = []Also{}
	}
	if f.Moves == nil {
		f.Moves = []Move{}
	}
}

// round takes every length to the nearest 0.1 mm, and never to a negative zero.
func (f *Finding) round() {
	f.At.Round()
	f.Gap, f.Asked, f.Short = figure.Tenth(f.Gap), figure.Tenth(f.Asked), figure.Tenth(f.Short)
	if f.Depth != nil {
		f.Depth.Vertical = figure.Tenth(f.Depth.Vertical)
		if f.Depth.Sideways != nil {
			s := figure.Tenth(*f.Depth.Sideways)
			f.Depth.Sideways = &s
		}
	}
	if h := f.Support; h != nil {
		h.At = figure.Tenth(h.At)
		if h.Move != nil {
			by := figure.Tenth(*h.Move)
			h.Move = &by
		}
		for i := range h.Two {
			h.Two[i] = figure.Tenth(h.Two[i])
		}
	}
	for i := range f.Also {
		a := &f.Also[i]
		a.Gap, a.Asked, a.Short = figure.Tenth(a.Gap), figure.Tenth(a.Asked), figure.Tenth(a.Short)
	}
	for i := range f.Moves {
		f.Moves[i].Round()
	}
}
