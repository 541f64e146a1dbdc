// Package outside finds the readers and checkers that this project did not
// write, for tests only. A test that wants one and finds none is skipped,
// unless GRAFTSLIP_OUTSIDE is "required": then it fails, so that a missing
// tool cannot pass for a passed check.
package outside

import (
	"os"
	"os/exec"
	"testing"
)

// Required reports whether a missing outside tool is a failure.
func Required() bool { return os.Getenv("GRAFTSLIP_OUTSIDE") == "required" }

// Tool returns the path of an outside program.
func Tool(t testing.TB, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		miss(t, name)
	}
	return path
}

// Python returns the path of a Python 3 that can import module. The
// distribution's own interpreter is tried first: packaged modules live there.
func Python(t testing.TB, module string) string {
	t.Helper()
	for _, python := range []string{"/usr/bin/python3", "python3"} {
		if exec.Command(python, "-c", "import "+module).Run() == nil {
			return python
		}
	}
	miss(t, "python3 module "+module)
	return ""
}

func miss(t testing.TB, name string) {
	t.Helper()
	if Required() {
		t.Fatalf("%s is not installed and GRAFTSLIP_OUTSIDE=required", name)
	}
	t.Skipf("%s is not installed", name)
}
