// Package model makes tables of building models: which elements become rows, of which trade, in which bays. It knows files through
// io/ifc and writes them through io/whole; what the rows then come to is not its business. What it goes by are tables that people can read
// and change: mapping.csv of the project before vocabulary.ClassEntries.
//
// The way through the package: Read opens the files, puts their storeys together and finds how the building stands (read.go), says of
// each element what it becomes (mapping.go) and takes its form; bays are cut from rooms, ceilings, grid or lattice (bays.go), rows are
// written (rows.go), put together into runs (runs.go), and everything is told (told.go). Nothing is dropped in silence: each element is counted once,
// by its class, with what became of it.
package model
