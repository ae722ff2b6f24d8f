// Package catalogue holds the figures that the program takes from standards and from the trade:
// steel sections, outside diameters of pipes, what hangers are made of, and how far power and data
// stay apart. It is tables and look-ups; it knows no table of a project.
//
// Every figure carries its Source (the standard it stands in, or "none") and its Provenance:
//
//   - "confirmed: ..." says in what kind of place the figure was seen. That is a public secondary
//     source each time: the standards themselves were not opened, so numbers of tables and clauses
//     are as good as the words say.
//   - "from memory" was not seen anywhere.
//   - "common practice, no source" is what the trade does.
//
// All lengths are in millimetres and all masses in kilograms a metre. Look-ups return (value, false)
// for what the tables do not hold, never a guess. Slices that are returned are copies.
package catalogue

// The two provenances without a place where the figure was seen.
const (
	FromMemory = "from memory"
	Practice   = "common practice, no source"
)
