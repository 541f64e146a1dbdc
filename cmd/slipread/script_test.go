package main

import (
	"context"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/require"

	"graftslip/cmd/internal/scripts"
)

var update = flag.Bool("update", false, "rewrite what the scripts expect")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"slipread": func() {
			clock := func() time.Time { return time.Date(2026, 12, 7, 23, 30, 0, 0, time.Local) }
			os.Exit(program{now: clock}.run(context.Background(), os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
		},
	})
}

// TestScripts prints with graftslip, built for it, and reads with slipread.
func TestScripts(t *testing.T) {
	maker := filepath.Join(t.TempDir(), "graftslip")
	out, err := exec.Command("go", "build", "-o", maker, "graftslip/cmd/graftslip").CombinedOutput()
	require.NoError(t, err, "%s", out)
	cache, err := os.UserCacheDir()
	require.NoError(t, err)
	scripts.Run(t, *update, func(env *testscript.Env) error {
		env.Setenv("XDG_CACHE_HOME", cache) // the PDF renderer is compiled once
		env.Setenv("PATH", filepath.Dir(maker)+string(os.PathListSeparator)+env.Getenv("PATH"))
		return nil
	})
}
