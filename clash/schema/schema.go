// Package schema carries the JSON Schemas (draft 2020-12) of documents for programs: what a check answers with, which is
// finding.Result and the records in it, and what the line of a floor does, which is the record of reports/floor.
package schema

import _ "embed"

//go:embed findings.schema.json
var findings string

// Findings returns the schema as it stands in findings.schema.json.
func Findings() []byte { return []byte(findings) }

//go:embed line.schema.json
var line string

// Line returns the schema as it stands in line.schema.json.
func Line() []byte { return []byte(line) }
