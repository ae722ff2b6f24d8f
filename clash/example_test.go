package clash_test

import (
	"context"
	"fmt"
	"log"
	"testing/fstest"

	"voidline/clash"
	"voidline/io/table"
)

// A program opens a folder of tables, asks for findings, changes a cell and asks again.
func Example() {
	// A folder on disk is table.Open(ctx, "job", table.Options{}).
	files := fstest.MapFS{
		"bays.csv":     {Data: []byte("bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,8000,6000,3600,2700,boards\n")},
		"buildups.csv": {Data: []byte("build-up,layer,thickness\nboards,board,25\nboards,top-hat,25\n")},
		"tray.csv":     {Data: []byte("id,kind,x1,y1,x2,y2,size,level,hanger\nT1,basket,0,3000,8000,3000,300x60,build-up+20,channel 41 M10\n")},
	}
	ctx := context.Background()
	project, err := table.Open(ctx, "job", table.Options{FS: files})
	if err != nil {
		log.Fatal(err)
	}
	for _, p := range project.Problems {
		fmt.Println(p)
	}
	check := clash.Open(project, clash.Options{Touch: 1})
	result, err := check.Findings(ctx)
	if err != nil {
		log.Fatal(err)
	}
	for _, f := range result.Findings {
		fmt.Printf("%s %s / %s: short %.1f, %s %s %.1f\n", f.Kind, f.A, *f.B, f.Short, f.Moves[0].Zone, f.Moves[0].Direction, f.Moves[0].By)
	}

	changed, problem := project.Edit("T1", "level", "build-up+85")
	if problem != nil {
		log.Fatal(problem)
	}
	check.Changed(changed)
	if result, err = check.Findings(ctx); err != nil {
		log.Fatal(err)
	}
	fmt.Println(len(result.Findings), "findings after the edit")
	// Output:
	// overlap T1 / ceiling A: short 60.9, T1 up 60.9
	// 0 findings after the edit
}
