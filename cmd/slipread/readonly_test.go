//go:build unix

package main

import (
	"bytes"
	"cmp"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records"
	"graftslip/records/ledger"
)

// A ledger that may only be read is read by all that only read, and takes no
// entry.
func TestLedgerMayOnlyBeRead(t *testing.T) {
	// The folders that testing makes are its owner's alone.
	folder, err := os.MkdirTemp("", "book")
	require.NoError(t, err)
	defer os.RemoveAll(folder)
	book := filepath.Join(folder, "book.db")
	open, err := ledger.Open(t.Context(), book)
	require.NoError(t, err)
	issued, err := open.Issue(t.Context(), []records.Draft{{Date: day(2026, 11, 9), Variety: "Lantern Wren", Stock: "Quarry Thorn", Grafts: 3}}, nil)
	require.NoError(t, err)
	_, _, err = open.Log(t.Context(), records.Entry{Key: "first", Unit: issued[0].Code, Note: "soft", At: day(2026, 11, 20)})
	require.NoError(t, err)
	require.NoError(t, open.Close())
	executable, err := os.ReadFile(os.Args[0])
	require.NoError(t, err)
	program := filepath.Join(folder, "slipread") // by this name the test is the program
	require.NoError(t, os.WriteFile(program, executable, 0o755))
	require.NoError(t, os.Chmod(book, 0o444))
	require.NoError(t, os.Chmod(folder, 0o555))
	defer os.Chmod(folder, 0o755)

	run := func(arguments ...string) (stdout, stderr string, err error) {
		command := exec.Command(program, append(arguments, "--ledger", book)...)
		command.Env = []string{"HOME=" + folder}
		command.Dir = folder
		if os.Geteuid() == 0 { // root may write everywhere
			command.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
		}
		var out, errs bytes.Buffer
		command.Stdout, command.Stderr = &out, &errs
		err = command.Run()
		return out.String(), errs.String(), err
	}
	code := issued[0].Code.String()
	tray, err := issued[0].Code.Tray(1)
	require.NoError(t, err)
	shown := map[string]string{"due": tray.String(), "bed": tray.String()}
	for _, arguments := range [][]string{{code}, {"due"}, {"bed"}, {"history", code}} {
		stdout, stderr, err := run(arguments...)
		require.NoError(t, err, "%v: %s", arguments, stderr)
		require.Contains(t, stdout, cmp.Or(shown[arguments[0]], code), "%v", arguments)
	}
	_, stderr, err := run("log", code, "--alive", "3")
	require.Error(t, err)
	require.Contains(t, stderr, "error: ledger "+book+": it is read-only")
}
