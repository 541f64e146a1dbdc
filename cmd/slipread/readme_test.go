package main

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// What README shows of the mist bed is what the program says, on day 21 of the
// demo.
func TestReadmeAtTheMistBed(t *testing.T) {
	readme, err := os.ReadFile("README.md")
	require.NoError(t, err)
	_, section, found := strings.Cut(string(readme), "\n## At the mist bed\n")
	require.True(t, found)
	parts := strings.Split(section, "```\n")
	require.Greater(t, len(parts), 2)
	commands := strings.Split(strings.TrimPrefix(parts[1], "$ "), "\n$ ")
	require.Len(t, commands, 3)

	folder := t.TempDir()
	t.Setenv("XDG_CONFIG_HOME", t.TempDir()) // without settings
	t.Setenv("GRAFTSLIP_LEDGER", filepath.Join(folder, "ledger.db"))
	out, err := exec.Command(graftslip(t), "print", "../../testdata/demo/session.csv", "--out", folder).CombinedOutput()
	require.NoError(t, err, "%s", out)
	clock := func() time.Time { return time.Date(2026, 12, 16, 12, 0, 0, 0, time.UTC) }
	for _, command := range commands {
		line, want, _ := strings.Cut(command, "\n")
		typed := ""
		if strings.HasSuffix(line, " -") {
			at := strings.Index(want, "\ndone\n") + len("\ndone\n")
			typed, want = want[:at], want[at:]
		}
		words := regexp.MustCompile(`"[^"]*"|\S+`).FindAllString(line, -1)
		require.Equal(t, "slipread", words[0])
		for i := range words {
			words[i] = strings.Trim(words[i], `"`)
		}
		var said, errs bytes.Buffer
		status := program{now: clock, open: openScan}.run(context.Background(), words[1:], strings.NewReader(typed), &said, &errs)
		require.Zero(t, status, errs.String())
		require.Equal(t, strings.TrimSuffix(want, "\n"), strings.TrimSuffix(said.String(), "\n"), line)
	}
}
