package ifc_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// Letters beyond ASCII are written with a sign of their own in ISO 10303-21 (6.3.3 in the 2002 edition), or as they are in files that do not keep to it.
func TestLetters(t *testing.T) {
	for _, test := range []struct{ in, want string }{
		{`it''s`, "it's"},
		{`''''`, "''"},
		{`a\\b`, `a\b`},
		{`caf\S\i`, "café"},
		{`\PA\caf\S\i`, "café"},
		{`\X\E9t\X\E9`, "été"},
		{`\X\ZZ`, `\X\ZZ`},
		{`\X\E`, `\X\E`},
		{`\X2\00E900FC\X0\x`, "éüx"},
		{`\X2\D83DDE00\X0\`, "\U0001F600"},
		{`\X4\0001F60000000041\X0\!`, "\U0001F600A!"},
		{`\X2\00E9`, "é"},
		{`\S\`, `\S\`},
		{`\P`, `\P`},
		{`\Q`, `\Q`},
		{"é", "é"},
		{"caf\xe9", "café"},
		{"", ""},
	} {
		file := filepath.Join(t.TempDir(), "letters.ifc")
		if err := os.WriteFile(file, []byte(wrapped(strings.Replace(small, "'D1'", "'"+test.in+"'", 1))), 0o666); err != nil {
			t.Fatal(err)
		}
		if got := open(t, file).Elements[0].Name; got != test.want {
			t.Errorf("%s: %q, want %q", test.in, got, test.want)
		}
	}
}
