// Package schema carries the JSON Schema (draft 2020-12) of the document that a check answers with:
// clash.Result and the records in it.
package schema

import _ "embed"

//go:embed findings.schema.json
var findings string

// Findings returns the schema as it stands in findings.schema.json.
func Findings() []byte { return []byte(findings) }
