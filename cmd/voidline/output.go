package main

import (
	"fmt"
	"os"
	"path/filepath"

	"voidline/io/table"
)

// aTable is what stands at a name that is not written to.
const aTable = "a table of the project, or would be read as one"

// mayWrite returns an error where an answer would replace a table or a register of a project, by whatever path or link its name leads
// there, or where the next check would take it for a table. Rows of a run are a table: they may be a new one. dirs
// are the projects at hand; the tables of others are guarded likewise.
func mayWrite(file string, rows bool, dirs ...string) error {
	if file == "" || file == "-" {
		return nil
	}
	refuse := func(why string) error {
		return exit{statusUsage, fmt.Errorf("-o %s: that is %s; give another folder or name", file, why)}
	}
	real := file
	if r, err := filepath.EvalSymlinks(file); err == nil {
		real = r // a link to a table is the table
	}
	base, in := filepath.Base(real), filepath.Dir(real)
	for _, dir := range dirs {
		if sameFile(dir, real) {
			return refuse("the project's workbook")
		}
	}
	info, err := os.Stat(real)
	if err != nil {
		for _, dir := range dirs {
			if sameFile(dir, in) && table.Kept(base) && !(rows && table.Reads(base)) {
				return refuse(aTable)
			}
		}
		return nil
	}
	if table.IsRegister(base) {
		return refuse("a register")
	}
	if table.Kept(base) && table.InProject(in) {
		return refuse(aTable)
	}
	for _, dir := range dirs {
		entries, err := os.ReadDir(dir)
		if err != nil {
			continue // an answer, or nothing: that is told where it is read
		}
		for _, e := range entries {
			if other, err := os.Stat(filepath.Join(dir, e.Name())); err == nil && table.Kept(e.Name()) && os.SameFile(info, other) {
				return refuse(aTable)
			}
		}
	}
	return nil
}
