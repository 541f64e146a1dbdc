//go:build unix

package main

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A page over a ledger that may only be read does not wait for the mist bed to
// say so: it is not served, but for reading.
func TestServeLedgerMayOnlyBeRead(t *testing.T) {
	folder, err := os.MkdirTemp("", "page") // the folders that testing makes are its owner's alone
	require.NoError(t, err)
	defer os.RemoveAll(folder)
	made, _ := newBook(t, 1)
	content, err := os.ReadFile(made)
	require.NoError(t, err)
	executable, err := os.ReadFile(os.Args[0])
	require.NoError(t, err)
	book, program := filepath.Join(folder, "book.db"), filepath.Join(folder, "slipread") // by this name the test is the program
	require.NoError(t, os.WriteFile(book, content, 0o444))
	require.NoError(t, os.WriteFile(program, executable, 0o755))
	require.NoError(t, os.Chmod(folder, 0o555))
	defer os.Chmod(folder, 0o755)

	serve := func(ctx context.Context, flags ...string) (*exec.Cmd, *screen, *bytes.Buffer) {
		command := exec.CommandContext(ctx, program, append([]string{"serve", "--addr", "127.0.0.1:0", "--ledger", book}, flags...)...)
		command.Env = []string{"HOME=" + folder}
		command.Dir = folder
		if os.Geteuid() == 0 { // root may write everywhere
			command.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
		}
		var stdout screen
		var stderr bytes.Buffer
		command.Stdout, command.Stderr = &stdout, &stderr
		return command, &stdout, &stderr
	}
	soon, end := context.WithTimeout(t.Context(), 20*time.Second)
	defer end()
	command, stdout, stderr := serve(soon)
	require.Error(t, command.Run())
	require.NoError(t, soon.Err(), "it ends by itself")
	require.Empty(t, stdout.String())
	require.Contains(t, stderr.String(), "error: ledger "+book+": it is read-only")
	require.Contains(t, stderr.String(), "hint: or use --read-only: the page then shows records and takes no entries")

	command, stdout, stderr = serve(soon, "--read-only")
	require.NoError(t, command.Start())
	require.Eventually(t, func() bool { return strings.Contains(stdout.String(), "key to type: ") }, 20*time.Second, 5*time.Millisecond, "%s", stderr)
	end()
	require.Error(t, command.Wait(), "it was served until it was ended")
}
