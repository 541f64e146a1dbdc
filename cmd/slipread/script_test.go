package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/require"

	"graftslip/cmd/internal/scripts"
	"graftslip/codes/scan"
	"graftslip/testdata/objects"
)

var update = flag.Bool("update", false, "rewrite what the scripts expect")

// TestMain gives the scripts, beside slipread,
//
//	draw PDF DPI NAME   draws the pages of a PDF into NAME-1.png, NAME-2.png and so on
//
// It is late on 7 December 2026, or noon of the day that CLOCK names.
func TestMain(m *testing.M) {
	testscript.Main(besideOther{m}, map[string]func(){
		"draw": func() {
			if err := drawPages(context.Background(), os.Args[1], os.Args[2], os.Args[3]); err != nil {
				fmt.Fprintln(os.Stderr, err)
				os.Exit(1)
			}
		},
		"slipread": func() {
			clock, err := clockOf(os.Getenv("CLOCK"))
			if err != nil {
				fmt.Fprintln(os.Stderr, err)
				os.Exit(1)
			}
			os.Exit(program{now: clock, open: openScan}.run(context.Background(), os.Args[1:], os.Stdin, objects.Tee(os.Stdout, os.Args[1:]), os.Stderr))
		},
	})
}

// clockOf is the clock of a script.
func clockOf(day string) (func() time.Time, error) {
	now := time.Date(2026, 12, 7, 23, 30, 0, 0, time.Local)
	if day != "" {
		noon, err := time.ParseInLocation("2006-01-02 15:04", day+" 12:00", time.Local)
		if err != nil {
			return nil, err
		}
		now = noon
	}
	return func() time.Time { return now }, nil
}

func drawPages(ctx context.Context, pdf, dpi, name string) error {
	resolution, err := strconv.ParseFloat(dpi, 64)
	if err != nil {
		return err
	}
	content, err := os.ReadFile(pdf)
	if err != nil {
		return err
	}
	renderer, err := scan.NewRenderer(ctx)
	if err != nil {
		return err
	}
	defer renderer.Close()
	number := 0
	for page, err := range renderer.Pages(ctx, content, resolution) {
		if err != nil {
			return err
		}
		number++
		var picture bytes.Buffer
		if err := png.Encode(&picture, page); err != nil {
			return err
		}
		if err := os.WriteFile(fmt.Sprintf("%s-%d.png", name, number), picture.Bytes(), 0o666); err != nil {
			return err
		}
	}
	return nil
}

// other is graftslip, the program that makes what slipread reads, built once for all
// tests of a process.
var other struct {
	folder string
	build  sync.Once
	says   []byte
	err    error
}

// graftslip is the path of the other program.
func graftslip(t *testing.T) string {
	t.Helper()
	path := filepath.Join(other.folder, "graftslip")
	other.build.Do(func() {
		other.says, other.err = exec.Command("go", "build", "-o", path, "graftslip/cmd/graftslip").CombinedOutput()
	})
	require.NoError(t, other.err, "%s", other.says)
	return path
}

// besideOther are the tests, with a folder for the other program.
type besideOther struct{ *testing.M }

func (tests besideOther) Run() int {
	folder, err := os.MkdirTemp("", "graftslip")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	defer os.RemoveAll(folder)
	other.folder = folder
	return tests.M.Run()
}

// TestScripts prints with graftslip, built for it, and reads with slipread. What
// slipread prints with --json is as JSON.md says.
func TestScripts(t *testing.T) {
	maker := graftslip(t)
	variable, folder := objects.Watch(t, "slipread", "JSON.md")
	scripts.Run(t, *update, func(env *testscript.Env) error {
		env.Setenv(variable, folder)
		env.Setenv("PATH", filepath.Dir(maker)+string(os.PathListSeparator)+env.Getenv("PATH"))
		return nil
	})
}
