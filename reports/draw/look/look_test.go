package look

import (
	"testing"

	"voidline/reports/draw"
	"voidline/void/vocabulary"
)

// TestTradesApart checks that every trade known by name has a look of its own, and that no two share a
// hatch: without colour they are still told apart.
func TestTradesApart(t *testing.T) {
	seen := map[draw.Pattern]string{}
	all := Trades()
	for _, p := range others() {
		all = append(all, Trade{"a trade not known by name", draw.Grey, draw.GreyTint, p})
	}
	for _, x := range all {
		if o, ok := seen[x.Pattern]; ok {
			t.Errorf("%s is hatched like %s", x.Word, o)
		}
		seen[x.Pattern] = x.Word
		if x.Tint != x.Line+1 {
			t.Errorf("%s: the ground is not its line's tint", x.Word)
		}
	}
	for _, word := range vocabulary.Trades() {
		found := false
		for _, x := range Trades() {
			found = found || x.Word == word
		}
		if !found {
			t.Errorf("no look for the trade %q", word)
		}
	}
}

// TestOtherTrades: trades not known by name mostly differ, and each is always drawn alike.
func TestOtherTrades(t *testing.T) {
	looks := map[draw.Pattern]int{}
	for _, w := range []string{"medical gas", "pneumatic tube", "承包商", "cladding", "lifts", "kitchen extract", "data", "signage"} {
		looks[Of(w).Pattern]++
		if Of(w) != Of(w) || Of(w).Word != w {
			t.Errorf("%s is not always drawn alike", w)
		}
	}
	if len(looks) < 5 {
		t.Errorf("8 trades have %d hatches, want 5 or more", len(looks))
	}
}

func TestMark(t *testing.T) {
	for _, test := range []struct {
		trade, service string
		want           int
		code           draw.Tone // second band
	}{
		{"pipework", "LTHW", 5, draw.MarkBlue},
		{"pipework", "chilled water", 5, draw.MarkWhite},
		{"pipework", "hot water", 5, draw.MarkWhite},
		{"pipework", "cold water", 3, draw.MarkBlue},
		{"sprinklers", "", 3, draw.MarkRed},
		{"drainage", "", 3, draw.MarkBlack},
		{"pipework", "gas", 2, draw.MarkOchre},
		{"ductwork", "supply air", 0, draw.None},
		{"containment", "power", 0, draw.None},
	} {
		got := Mark(test.trade, test.service)
		if test.want == 0 && got != nil || test.want > 0 && (len(got) < 2 || got[1] != test.code) {
			t.Errorf("Mark(%q, %q) = %v", test.trade, test.service, got)
		}
	}
}
