package workbook

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// Sheet is a table to be written for people to fill in.
type Sheet struct {
	Name    string
	Columns []Column
	Rows    [][]string // as in a CSV table
}

// Column is a column of a sheet.
type Column struct {
	Head string
	What string // a line that explains it
	// Number: the cells hold numbers. Others are formatted as text, so that nothing that is typed becomes a date or a time.
	Number bool
	Choose string // what to choose from: the name of one of the lists, or SHEET.HEAD for what stands in another sheet; "" for nothing
}

// List is words to choose from.
type List struct {
	Name  string
	Words []string
}

const (
	listsName = "#lists" // a sheet that is for people and their lists alone
	firstRow  = 3        // under the line that explains and the headings
	rowsMade  = 2000     // rows that lists and formats are made for
)

// Write writes a workbook that Read reads: above its headings, each sheet has a line that explains each column.
func Write(to io.Writer, sheets []Sheet, lists []List) (err error) {
	x := excelize.NewFile()
	defer func() {
		if e := x.Close(); err == nil {
			err = e
		}
	}()
	b := book{x: x, from: map[string]string{}}
	b.style(&b.says, &excelize.Style{Font: &excelize.Font{Italic: true, Color: "505050"}, Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}})
	b.style(&b.head, &excelize.Style{Font: &excelize.Font{Bold: true}, Border: []excelize.Border{{Type: "bottom", Style: 1, Color: "000000"}}})
	b.style(&b.text, &excelize.Style{NumFmt: 49})
	b.style(&b.number, &excelize.Style{})
	for i := range sheets {
		b.at(sheets[i].Name)
		for k, c := range sheets[i].Columns {
			b.from[sheets[i].Name+"."+c.Head] = column(sheets[i].Name, k+1, firstRow, rowsMade)
		}
	}
	b.at(listsName)
	for k, l := range lists {
		b.set(listsName, k+1, 1, l.Name)
		for n, w := range l.Words {
			b.set(listsName, k+1, n+2, w)
		}
		b.from[l.Name] = column(listsName, k+1, 2, len(l.Words)+1)
	}
	for i := range sheets {
		b.sheet(&sheets[i])
	}
	b.do(func() error { return x.DeleteSheet("Sheet1") })
	b.do(func() error { x.SetActiveSheet(0); return nil })
	if b.err != nil {
		return b.err
	}
	return x.Write(to)
}

// column returns the cells of a column from one row to another, as a formula says them.
func column(sheet string, col, from, to int) string {
	l := columnLetters(col)
	return fmt.Sprintf("'%s'!$%s$%d:$%s$%d", sheet, l, from, l, to)
}

// book is a workbook that is being written; after an error nothing more is done.
type book struct {
	x                        *excelize.File
	err                      error
	says, head, text, number int
	from                     map[string]string // what is chosen from -> the cells it stands in
}

func (b *book) do(f func() error) {
	if b.err == nil {
		b.err = f()
	}
}

func (b *book) style(to *int, s *excelize.Style) {
	b.do(func() (err error) { *to, err = b.x.NewStyle(s); return err })
}

func (b *book) at(sheet string) {
	b.do(func() error { _, err := b.x.NewSheet(sheet); return err })
}

func (b *book) set(sheet string, col, row int, value any) {
	b.do(func() error { return b.x.SetCellValue(sheet, columnLetters(col)+strconv.Itoa(row), value) })
}

// sheet writes one table.
func (b *book) sheet(s *Sheet) {
	for k, c := range s.Columns {
		l := columnLetters(k + 1)
		says := c.What
		if k == 0 {
			says = "# " + says // a row for people
		}
		b.set(s.Name, k+1, 1, says)
		b.set(s.Name, k+1, 2, c.Head)
		style, wide := b.text, 14.0
		if c.Number {
			style, wide = b.number, 11
		}
		b.do(func() error { return b.x.SetColWidth(s.Name, l, l, max(wide, float64(len(c.Head))+3)) })
		b.do(func() error {
			return b.x.SetCellStyle(s.Name, l+strconv.Itoa(firstRow), l+strconv.Itoa(rowsMade), style)
		})
		if from, ok := b.from[c.Choose]; ok {
			v := excelize.NewDataValidation(true)
			v.Sqref = fmt.Sprintf("%s%d:%s%d", l, firstRow, l, rowsMade)
			v.SetSqrefDropList(from)
			v.ShowErrorMessage = false // another spelling may do
			b.do(func() error { return b.x.AddDataValidation(s.Name, v) })
		} else if c.Choose != "" {
			b.do(func() error {
				return fmt.Errorf("sheet %s, column %s: nothing to choose from is called %s", s.Name, c.Head, c.Choose)
			})
		}
	}
	last := columnLetters(len(s.Columns))
	b.do(func() error { return b.x.SetCellStyle(s.Name, "A1", last+"1", b.says) })
	b.do(func() error { return b.x.SetCellStyle(s.Name, "A2", last+"2", b.head) })
	b.do(func() error { return b.x.SetRowHeight(s.Name, 1, 90) })
	b.do(func() error {
		return b.x.SetPanes(s.Name, &excelize.Panes{Freeze: true, YSplit: 2, TopLeftCell: "A3", ActivePane: "bottomLeft"})
	})
	for n, row := range s.Rows {
		for k, text := range row {
			var value any = text
			if v, err := strconv.ParseFloat(text, 64); err == nil && s.Columns[k].Number {
				value = v
			}
			if strings.TrimSpace(text) != "" {
				b.set(s.Name, k+1, n+firstRow, value)
			}
		}
	}
}
