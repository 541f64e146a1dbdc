package main

import (
	"bytes"
	"context"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/testdata/outside"
)

// README.md shows a plan of the demo orders as the program makes it twelve days
// after the demo session, and the sheet of its last day. With -update the picture
// is written anew.
func TestPlanDemo(t *testing.T) {
	pdftoppm := outside.Tool(t, "pdftoppm")
	t.Setenv("GRAFTSLIP_SETTINGS", "")
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	folder := t.TempDir()
	run := func(day time.Time, args ...string) string {
		var stdout, stderr bytes.Buffer
		clock := program{now: func() time.Time { return day.Add(9 * time.Hour) }}
		args = append(args, "--ledger", filepath.Join(folder, "ledger.db"), "--out", folder)
		require.Zero(t, clock.run(context.Background(), args, nil, &stdout, &stderr), "%s", &stderr)
		return strings.ReplaceAll(stdout.String(), folder+string(filepath.Separator), "demo/")
	}
	session := time.Date(2026, time.November, 25, 0, 0, 0, 0, time.UTC)
	run(session, "print", "../../testdata/demo/session.csv")
	said := run(session.AddDate(0, 0, 12), "plan", "../../testdata/demo/orders.csv",
		"--take", "70%", "--bed-spaces", "40", "--a-day", "200", "--off", "sat,sun", "--spare", "5%", "--nursery", "Hazel Dial Grafts")
	readme, err := os.ReadFile("README.md")
	require.NoError(t, err)
	require.Contains(t, string(readme), said, "README.md shows another plan:\n%s", said)

	drawn, err := exec.Command(pdftoppm, "-r", "80", "-f", "4", "-l", "4", "-gray", "-png", filepath.Join(folder, "orders-sessions.pdf")).Output()
	require.NoError(t, err)
	const kept = "../../testdata/pictures/session.png"
	if *update {
		require.NoError(t, os.WriteFile(kept, drawn, 0o644))
	}
	shown, err := os.ReadFile(kept)
	require.NoError(t, err)
	const most = 0.01 // another poppler draws the edges of letters a little differently
	require.Less(t, different(t, shown, drawn), most, "the picture shows another sheet: go test ./cmd/graftslip -run TestPlanDemo -update")
}

// different is the share of pixels that differ much between two pictures, 1 where
// their sizes do.
func different(t *testing.T, a, b []byte) float64 {
	t.Helper()
	var pictures [2]image.Image
	for i, data := range [][]byte{a, b} {
		var err error
		pictures[i], err = png.Decode(bytes.NewReader(data))
		require.NoError(t, err)
	}
	bounds := pictures[0].Bounds()
	if bounds != pictures[1].Bounds() {
		return 1
	}
	count := 0
	for y := bounds.Min.Y; y < bounds.Max.Y; y++ {
		for x := bounds.Min.X; x < bounds.Max.X; x++ {
			one, _, _, _ := pictures[0].At(x, y).RGBA()
			other, _, _, _ := pictures[1].At(x, y).RGBA()
			if one > other+0x8000 || other > one+0x8000 {
				count++
			}
		}
	}
	return float64(count) / float64(bounds.Dx()*bounds.Dy())
}
