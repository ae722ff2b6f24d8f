package void_test

import (
	"strings"
	"testing"
)

// A ceiling may come up to the soffit and no further, nor may its build-up: here of 20.
func TestCeilingUpToTheSoffit(t *testing.T) {
	for _, test := range []struct{ ceiling, buildUp, want string }{
		{"3600", "", ""},
		{"3600.5", "", "the ceiling (3600.5) is above the soffit (3600)"},
		{"3580", "thin", ""},
		{"3580.5", "thin", "the top of the build-up is 0.5 above the soffit"},
		{"3600", "thin", "the top of the build-up is 20.0 above the soffit"},
		{"3601", "thin", "the ceiling (3601) is above the soffit (3600)"},
		{"soffit", "", ""},
		{"soffit-19", "thin", "the top of the build-up is 1.0 above the soffit"},
		{"none", "", ""},
	} {
		p := build(t, "", "", map[string]string{
			"steel.csv":    "id,storey,x1,y1,x2,y2,size,level\n",
			"bays.csv":     "bay,storey,x1,y1,x2,y2,soffit,ceiling,build-up\nA,Ground,0,0,6000,6000,3600," + test.ceiling + "," + test.buildUp + "\n",
			"buildups.csv": "build-up,layer,thickness,lifts out\nthin,board,20,no\n",
		})
		got := ""
		for _, pr := range p.Problems {
			got += pr.String()
		}
		if test.want == "" && got != "" || !strings.Contains(got, test.want) || test.want != "" && len(p.Problems) != 1 {
			t.Errorf("ceiling %q, build-up %q: %q, want %q", test.ceiling, test.buildUp, got, test.want)
		}
	}
}
