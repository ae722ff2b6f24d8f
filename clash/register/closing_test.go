package register_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"voidline/clash/finding"
	"voidline/clash/register"
	"voidline/void"
)

// Bay B/1: a problem of two findings of which one is agreed is open, another is agreed by A. K.; two holes, one joint. Bay B/2 has nothing.
// Of the ceiling of Upper's B/1 nobody said anything. Bays by name, B/10 behind B/2, storeys from the lowest up.
func TestClosings(t *testing.T) {
	p := void.New("job", []string{"bays.csv", "levels.csv"})
	for _, bay := range []struct {
		storey int
		name   string
	}{{1, "B/1"}, {0, "B/10"}, {0, "B/2"}, {0, "B/1"}} {
		label := bay.name
		if bay.name == "B/1" {
			label += ", " + []string{"Lower", "Upper"}[bay.storey]
		}
		p.Bays = append(p.Bays, void.Bay{Name: bay.name, Label: label, Storey: bay.storey, HasCeiling: bay.storey == 0})
	}
	p.Storeys = []void.Storey{{Name: "Lower"}, {Name: "Upper"}}
	here := "B/1, Lower"
	f := func(id, problem string) finding.Finding {
		return finding.Finding{ID: id, ProblemID: problem, Bay: &here, Storey: "Lower"}
	}
	res := &finding.Result{
		Findings:     []finding.Finding{f("a", "P1"), f("b", "P1"), f("c", "P2"), {ID: "d", ProblemID: "P3", Storey: "Lower"}},
		BuildersWork: []finding.Hole{{Number: 4, Bay: &here, Storey: "Lower"}, {Number: 7, Bay: &here, Storey: "Lower"}, {Number: 9, Storey: "Lower"}},
		Joints:       []finding.Joint{{Bay: &here, Storey: "Lower"}},
	}
	o := &register.Outcome{Entries: []register.Entry{
		{ID: "b", State: register.Agreed, AgreedBy: "N. N."}, {ID: "c", State: register.Agreed, AgreedBy: "A. K."}, {ID: "a", State: register.Open},
	}}
	want := []register.Closing{
		{Storey: "Lower", Bay: "B/1", Label: here, Open: 1, Agreed: 1, AgreedBy: []string{"A. K.", "N. N."}, Holes: []int{4, 7}, Joints: 1},
		{Storey: "Lower", Bay: "B/2", Label: "B/2"},
		{Storey: "Lower", Bay: "B/10", Label: "B/10"},
		{Storey: "Upper", Bay: "B/1", Label: "B/1, Upper", NoCeiling: true},
	}
	if d := cmp.Diff(want, register.Closings(p, res, o)); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
	if got := register.Closings(p, res, nil)[0]; got.Open != 2 || got.Agreed != 0 {
		t.Errorf("without a register: %+v, want 2 open", got)
	}
}
