package rules_test

import (
	"slices"
	"testing"

	"voidline/clash/rules"
)

// Firm leaves out what rests on practice, and nothing else.
func TestFirm(t *testing.T) {
	list := []rules.Rule{{Name: "a", Basis: rules.Practice}, {Name: "b", Basis: rules.Law}, {Name: "c", Basis: rules.Practice}, {Name: "d", Basis: rules.Maker}}
	names := func(list []rules.Rule) (out []string) {
		for _, r := range list {
			out = append(out, r.Name)
		}
		return out
	}
	if got := names(rules.Firm(list, false)); !slices.Equal(got, []string{"a", "b", "c", "d"}) {
		t.Errorf("all: %v", got)
	}
	if got := names(rules.Firm(list, true)); !slices.Equal(got, []string{"b", "d"}) {
		t.Errorf("firm: %v, want b and d", got)
	}
}
