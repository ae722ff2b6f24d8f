package main

import (
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// root is the module's folder as seen from this package.
const root = "../.."

// source is one file of Go, tests left out.
type source struct {
	pkg  string // the folder under the module, slash-separated
	name string // pkg and file
	file *ast.File
}

// sources parses every file of the house that is not a test.
func sources(t *testing.T) (*token.FileSet, []source) {
	t.Helper()
	if _, err := os.Stat(filepath.Join(root, "go.mod")); err != nil {
		t.Fatalf("%s is not the module: %v", root, err)
	}
	fset := token.NewFileSet()
	var list []source
	err := filepath.WalkDir(root, func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && name != root && (d.Name() == "testdata" || strings.HasPrefix(d.Name(), ".") || strings.HasPrefix(d.Name(), "_")):
			return filepath.SkipDir
		case d.IsDir() || !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go"):
			return nil
		}
		f, err := parser.ParseFile(fset, name, nil, parser.SkipObjectResolution)
		if errors.Is(err, fs.ErrNotExist) {
			return nil // taken away meanwhile
		} else if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, name)
		if err != nil {
			return err
		}
		rel = filepath.ToSlash(rel)
		list = append(list, source{path.Dir(rel), rel, f})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, pkg := range []string{"cmd/voidline", "io/table", "reports/text", "clash", "void", "void/body", "void/cell", "void/catalogue", "void/vocabulary"} {
		if !slices.ContainsFunc(list, func(s source) bool { return s.pkg == pkg }) {
			t.Errorf("no package %s found: the walk misses what it is to look at", pkg)
		}
	}
	return fset, list
}

// storey is a floor of the house: cmd -> io, reports -> clash -> void.
func storey(pkg string) string {
	first, _, _ := strings.Cut(pkg, "/")
	return first
}

// testsOnly is the room that tests alone use: what becomes of them without their outside help.
const testsOnly = "void/need"

// roomsOfClash are the rooms of clash from the lowest up: each may know those before it.
var roomsOfClash = []string{
	"clash/figure", "clash/tolerance", "clash/rules", "clash/finding", "clash/schema", "clash/register", "clash/scene", "clash/measure", "clash/forbid",
	"clash/support", "clash/doubt", "clash/book", "clash", "clash/setout",
}

// mayImport says why the package pkg may not import another, "" where it may. pkg is a folder of the
// module; imported is an import path.
//
//	cmd/voidline
//	   |      \
//	  io    reports     never each other
//	   \      |
//	    clash
//	      |
//	    void            the standard library and golang/geo beside its own rooms
//	      |
//	    void/body, cell, catalogue, vocabulary: each by itself
func mayImport(pkg, imported string) string {
	inside, own := strings.CutPrefix(imported, "voidline/")
	first, _, _ := strings.Cut(imported, "/")
	outside := !own && strings.Contains(first, ".")
	if own && inside == testsOnly {
		return "for tests alone"
	}
	switch from := storey(pkg); from {
	case "void":
		switch {
		case outside && !strings.HasPrefix(imported, "github.com/golang/geo/"):
			return "void stands on the standard library and golang/geo alone"
		case own && storey(inside) != "void":
			return "imports run downwards only"
		case own && pkg != "void":
			return "a room of void stands by itself"
		}
	case "clash":
		if own && storey(inside) != "void" && storey(inside) != "clash" {
			return "clash knows the building, no file, no screen"
		}
		if own && storey(inside) == "clash" && slices.Index(roomsOfClash, inside) >= slices.Index(roomsOfClash, pkg) {
			return "a room of clash stands on those under it"
		}
	case "io", "reports":
		if own && storey(inside) != from && storey(inside) != "clash" && storey(inside) != "void" {
			return "io and reports know neither each other nor cmd"
		}
		if from == "io" && inside == "clash" {
			return "io reads and writes the record (clash/finding) and does not check"
		}
	case "cmd":
	default:
		return "no such floor of the house"
	}
	return ""
}

// TestMayImport checks the check.
func TestMayImport(t *testing.T) {
	for _, test := range []struct {
		pkg, imported string
		may           bool
	}{
		{"void", "math", true},
		{"void", "encoding/csv", true},
		{"void", "github.com/golang/geo/r2", true},
		{"void", "github.com/golang/geography", false},
		{"void", "golang.org/x/text/width", false},
		{"void", "voidline/void/cell", true},
		{"void", "voidline/clash", false},
		{"clash/forbid", "voidline/clash/measure", true},
		{"clash/measure", "voidline/clash/forbid", false},
		{"clash/scene", "voidline/clash", false},
		{"clash", "voidline/clash/finding", true},
		{"clash/finding", "voidline/clash/scene", false},
		{"clash/register", "voidline/clash/finding", true},
		{"clash/register", "voidline/clash", false},
		{"clash/new", "voidline/clash/rules", false}, // a room that is not in the list
		{"clash", "voidline/void/need", false},
		{"void", "voidline/io/table", false},
		{"void/body", "github.com/golang/geo/r3", true},
		{"void/body", "voidline/void", false},
		{"void/body", "voidline/void/cell", false},
		{"void/cell", "voidline/void/vocabulary", false},
		{"clash", "voidline/void", true},
		{"clash", "voidline/void/body", true},
		{"clash", "voidline/io/table", false},
		{"clash", "voidline/reports/text", false},
		{"clash", "voidline/cmd/voidline", false},
		{"io/table", "voidline/void", true},
		{"io/table", "voidline/clash", false},
		{"io/bcf", "voidline/clash/finding", true},
		{"io/table", "voidline/io/whole", true},
		{"io/table", "github.com/gocarina/gocsv", true},
		{"io/table", "voidline/reports/text", false},
		{"io/table", "voidline/cmd/voidline", false},
		{"reports/text", "voidline/clash", true},
		{"reports/text", "voidline/reports/words", true},
		{"reports/text", "voidline/io/whole", false},
		{"reports/text", "voidline/cmd/voidline", false},
		{"cmd/voidline", "voidline/io/table", true},
		{"cmd/voidline", "voidline/reports/text", true},
		{"cmd/voidline/live", "voidline/io/table", true},
		{"util", "math", false},
	} {
		if why := mayImport(test.pkg, test.imported); (why == "") != test.may {
			t.Errorf("mayImport(%q, %q) = %q, want that it may: %v", test.pkg, test.imported, why, test.may)
		}
	}
}

// TestImportDirections keeps the walls between the rooms.
func TestImportDirections(t *testing.T) {
	fset, list := sources(t)
	n := 0
	for _, s := range list {
		for _, imp := range s.file.Imports {
			name, err := strconv.Unquote(imp.Path.Value)
			if err != nil {
				t.Fatal(err)
			}
			n++
			if why := mayImport(s.pkg, name); why != "" {
				t.Errorf("%s: %s imports %s: %s", place(fset, imp.Pos()), s.pkg, name, why)
			}
		}
	}
	t.Logf("%d imports of %d files", n, len(list))
}

// kept are the names that only cmd may use: it alone prints, exits and looks at the environment. A package
// that takes writers and settings instead can be used from another program, and tested.
var kept = map[string][]string{
	"os":  {"Stdin", "Stdout", "Stderr", "Exit", "Getenv", "LookupEnv", "Environ", "ExpandEnv", "Args", "Chdir", "Setenv"},
	"fmt": {"Print", "Printf", "Println", "Scan", "Scanf", "Scanln"},
	"log": nil, // all of it
}

// uses returns what of the kept names a file uses, with its place.
func uses(fset *token.FileSet, f *ast.File) []string {
	local := map[string]string{} // name in the file -> package
	for _, imp := range f.Imports {
		name, err := strconv.Unquote(imp.Path.Value)
		if _, is := kept[name]; err != nil || !is {
			continue
		}
		as := path.Base(name)
		if imp.Name != nil {
			as = imp.Name.Name
		}
		local[as] = name
	}
	var found []string
	ast.Inspect(f, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.SelectorExpr:
			x, ok := n.X.(*ast.Ident)
			if !ok {
				break
			}
			pkg, is := local[x.Name]
			if is && (kept[pkg] == nil || slices.Contains(kept[pkg], n.Sel.Name)) {
				found = append(found, fmt.Sprintf("%s: %s.%s", place(fset, n.Pos()), pkg, n.Sel.Name))
			}
		case *ast.CallExpr:
			if f, ok := n.Fun.(*ast.Ident); ok && (f.Name == "println" || f.Name == "print") {
				found = append(found, fmt.Sprintf("%s: %s", place(fset, n.Pos()), f.Name))
			}
		case *ast.FuncDecl:
			if n.Recv == nil && n.Name.Name == "init" {
				found = append(found, fmt.Sprintf("%s: func init", place(fset, n.Pos())))
			}
		}
		return true
	})
	return found
}

func place(fset *token.FileSet, pos token.Pos) string {
	p := fset.Position(pos)
	rel, err := filepath.Rel(root, p.Filename)
	if err != nil {
		rel = p.Filename
	}
	return fmt.Sprintf("%s:%d:%d", filepath.ToSlash(rel), p.Line, p.Column)
}

// TestUses checks the check.
func TestUses(t *testing.T) {
	const text = `package p

import (
	"fmt"
	"log"
	system "os"
)

func init() {}

func f() {
	fmt.Println("x")
	fmt.Sprint("x")
	system.Exit(1)
	system.ReadFile("x")
	log.Default()
	println()
	var os struct{ Exit func(int) }
	os.Exit(1)
}
`
	fset := token.NewFileSet()
	f, err := parser.ParseFile(fset, filepath.Join(root, "p.go"), text, 0)
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"p.go:9:1: func init", "p.go:12:2: fmt.Println", "p.go:14:2: os.Exit", "p.go:16:2: log.Default", "p.go:17:2: println"}
	if got := uses(fset, f); !slices.Equal(got, want) {
		t.Errorf("uses = %q, want %q", got, want)
	}
}

// TestOnlyCmdSpeaks keeps printing, leaving and looking around in cmd.
func TestOnlyCmdSpeaks(t *testing.T) {
	fset, list := sources(t)
	for _, s := range list {
		if storey(s.pkg) == "cmd" || s.pkg == testsOnly {
			continue
		}
		for _, u := range uses(fset, s.file) {
			t.Errorf("%s: for cmd alone", u)
		}
	}
}

// TestTopLevel keeps the front door tidy.
func TestTopLevel(t *testing.T) {
	agreed := []string{
		"cmd", "void", "clash", "io", "reports", "testdata", "go.mod", "go.sum", "README.md", "DEVELOPERS.md",
		"voidline", "voidline.exe", // what go build leaves; git ignores them
	}
	entries, err := os.ReadDir(root)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") && !slices.Contains(agreed, e.Name()) {
			t.Errorf("%s at the top level: the agreed names are %s", e.Name(), strings.Join(agreed[:10], " "))
		}
	}
}
