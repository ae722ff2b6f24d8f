// Package need says what becomes of a test whose outside help is not there: reference data beside the
// repository, a browser, a tool; and holds answers to the sums of them that are kept. It is for tests.
package need

import (
	"os"
	"testing"
)

// Skip skips the test with a plain message, or fails it where VOIDLINE_REQUIRE is set, as .ci/run does:
// there everything that tests want is installed.
func Skip(t testing.TB, format string, args ...any) {
	t.Helper()
	if os.Getenv("VOIDLINE_REQUIRE") != "" {
		t.Fatalf("VOIDLINE_REQUIRE is set, but "+format, args...)
	}
	t.Skipf(format, args...)
}
