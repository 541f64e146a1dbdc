// Package scripts adds to testscript what the scripts of both programs need.
// It is for tests only.
package scripts

import (
	"bytes"
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
	"golang.org/x/text/encoding/charmap"

	"graftslip/codes/scan"
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
	cache, err := os.UserCacheDir()
	if err != nil {
		t.Fatal(err)
	}
	renderer, err := scan.NewRenderer(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = renderer.Close() })
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		Cmds:                commands(renderer),
		UpdateScripts:       update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(env *testscript.Env) error {
			env.Setenv("TESTDATA", testdata)
			env.Setenv("HOME", env.WorkDir)
			env.Setenv("XDG_DATA_HOME", "")
			env.Setenv("XDG_CONFIG_HOME", "")
			env.Setenv("XDG_CACHE_HOME", cache) // the renderer of PDFs is compiled once
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
//	latin1 FILE                      writes a file of UTF-8 text anew in ISO 8859-1
//	pdftext FILE OUT                 writes the title, page sizes and texts of a PDF into OUT
func commands(renderer *scan.Renderer) map[string]func(*testscript.TestScript, bool, []string) {
	return map[string]func(*testscript.TestScript, bool, []string){
		"exits": exits, "same": same, "lines": lines, "latin1": latin1, "pdftext": pdfText(renderer),
	}
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

func latin1(ts *testscript.TestScript, negated bool, args []string) {
	if negated || len(args) != 1 {
		ts.Fatalf("usage: latin1 FILE")
	}
	text, err := charmap.ISO8859_1.NewEncoder().String(ts.ReadFile(args[0]))
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(text), 0o666))
}
