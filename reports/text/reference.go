package text

import (
	"io"

	"voidline/reports/reference"
)

// Reference prints a list of words or figures.
func Reference(w io.Writer, l reference.List, opt Options) error {
	p := newPage(w, opt)
	p.para("", "", l.Name+": "+l.About+".")
	if l.Note != "" {
		p.para("", "", l.Note+".")
	}
	p.line("")
	p.table(l.Table(), 0)
	return p.done()
}
