package main

import (
	"context"
	"flag"
	"os"
	"path/filepath"
	"testing"
	"time"

	"codeberg.org/go-fonts/dejavu/dejavusans"
	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/require"

	"graftslip/cmd/internal/scripts"
)

var update = flag.Bool("update", false, "rewrite what the scripts expect")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"graftslip": func() {
			clock := func() time.Time { return time.Date(2026, 11, 25, 23, 30, 0, 0, time.Local) }
			os.Exit(program{now: clock}.run(context.Background(), os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
		},
	})
}

func TestScripts(t *testing.T) {
	testdata, err := filepath.Abs("../../testdata")
	require.NoError(t, err)
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		Cmds:                scripts.Commands(),
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(env *testscript.Env) error {
			env.Setenv("TESTDATA", testdata)
			font := filepath.Join(env.WorkDir, "mine.ttf")
			env.Setenv("FONT", font)
			if err := os.WriteFile(font, dejavusans.TTF, 0o600); err != nil {
				return err
			}
			env.Setenv("HOME", env.WorkDir)
			env.Setenv("XDG_DATA_HOME", "")
			env.Setenv("GRAFTSLIP_LEDGER", "")
			return nil
		},
	})
}
