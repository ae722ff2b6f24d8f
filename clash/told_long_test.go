package clash_test

import "testing"

// A pipe of which only the bay is known lies over all of it, here 401 m: what is under it is told all the same, each pair once. Of four trays two are of one
// run.
func TestToldOfWhatIsVeryLong(t *testing.T) {
	_, _, res := findingsOf(t, map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,402000,4000,2400\n",
		"pipework.csv": "id,kind,bay,size,level\nP,pipe,A,ø50,3600\n",
		"containment.csv": "id,service,kind,x1,y1,x2,y2,size,level,run\nT1,power,tray,1000,5000,5000,5000,300x60,3000,R\n" +
			"T2,power,tray,1000,390000,5000,390000,300x60,3000,R\nT3,power,tray,1000,200000,5000,200000,300x60,3000,S\nT4,power,tray,4000,8000,4000,9000,300x60,3000,U\n",
	})
	pairs := map[string]int{}
	for _, q := range res.ToBeProtected {
		pairs[q.Of+"/"+q.From] += q.Pairs
	}
	if len(pairs) != 3 || pairs["R/P"] != 2 || pairs["S/P"] != 1 || pairs["U/P"] != 1 {
		t.Errorf("told of %v, want 2 pairs of R, 1 of S and 1 of U under P", pairs)
	}
}
