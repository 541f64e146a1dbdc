// Package scripts adds to testscript what the scripts of both programs need.
// It is for tests only.
package scripts

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// Run runs the scripts below testdata/script of a program. Each has a home and
// neither ledger nor settings, TESTDATA is the project's folder of that name, and
// setup may add to that.
func Run(t *testing.T, update bool, setup func(*testscript.Env) error) {
	t.Helper()
	testdata, err := filepath.Abs("../../testdata")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		Cmds:                commands(),
		UpdateScripts:       update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(env *testscript.Env) error {
			env.Setenv("TESTDATA", testdata)
			env.Setenv("HOME", env.WorkDir)
			env.Setenv("XDG_DATA_HOME", "")
			env.Setenv("XDG_CONFIG_HOME", "")
			for _, variable := range os.Environ() {
				if name, _, _ := strings.Cut(variable, "="); strings.HasPrefix(name, "GRAFTSLIP_") {
					env.Setenv(name, "")
				}
			}
			return setup(env)
		},
	})
}

// commands are the commands of scripts beyond those of testscript:
//
//	exits CODE PROGRAM ARGUMENT...   runs a program that must exit with CODE
//	same FILE FILE                   compares two files byte by byte
//	lines COUNT stdout|stderr|FILE   counts lines
func commands() map[string]func(*testscript.TestScript, bool, []string) {
	return map[string]func(*testscript.TestScript, bool, []string){"exits": exits, "same": same, "lines": lines}
}

func exits(ts *testscript.TestScript, negated bool, args []string) {
	if negated || len(args) < 2 {
		ts.Fatalf("usage: exits CODE PROGRAM ARGUMENT...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%v", err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
}

func same(ts *testscript.TestScript, negated bool, args []string) {
	if len(args) != 2 {
		ts.Fatalf("usage: same FILE FILE")
	}
	equal := ts.ReadFile(args[0]) == ts.ReadFile(args[1])
	if equal == negated {
		ts.Fatalf("%s and %s: equal %v", args[0], args[1], equal)
	}
}

func lines(ts *testscript.TestScript, negated bool, args []string) {
	if negated || len(args) != 2 {
		ts.Fatalf("usage: lines COUNT FILE")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	if got := bytes.Count([]byte(ts.ReadFile(args[1])), []byte("\n")); got != want {
		ts.Fatalf("%d lines in %s, want %d", got, args[1], want)
	}
}
