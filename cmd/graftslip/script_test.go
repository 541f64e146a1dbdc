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

	"graftslip/cmd/internal/scripts"
	"graftslip/testdata/objects"
)

var update = flag.Bool("update", false, "rewrite what the scripts expect")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"graftslip": func() {
			clock := func() time.Time { return time.Date(2026, 11, 25, 23, 30, 0, 0, time.Local) }
			os.Exit(program{now: clock}.run(context.Background(), os.Args[1:], os.Stdin, objects.Tee(os.Stdout, os.Args[1:]), os.Stderr))
		},
	})
}

// The objects of graftslip --json match JSON.md.
func TestScripts(t *testing.T) {
	variable, folder := objects.Watch(t, "graftslip", "JSON.md")
	scripts.Run(t, *update, func(env *testscript.Env) error {
		env.Setenv(variable, folder)
		forms, err := filepath.Abs("../../records/manifest/testdata/forms")
		if err != nil {
			return err
		}
		env.Setenv("FORMS", forms)
		font := filepath.Join(env.WorkDir, "mine.ttf")
		env.Setenv("FONT", font)
		return os.WriteFile(font, dejavusans.TTF, 0o600)
	})
}
