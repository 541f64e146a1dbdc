// Package long says how much the tests try. `go test ./...` is short enough for
// whoever changed a line; the long form is for a change as a whole, and .ci/run asks
// for it by GRAFTSLIP_LONG=1. It is for tests only.
package long

import "os"

// Form reports whether the long form is asked for.
func Form() bool { return os.Getenv("GRAFTSLIP_LONG") != "" }

// Cases is how many cases a test tries: the first so many in the short form, all of
// them in the long one.
func Cases(short, all int) int {
	if Form() {
		return all
	}
	return short
}
