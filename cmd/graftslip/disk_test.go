//go:build linux

package main

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/testdata/outside"
)

// smallDisk mounts a file system in memory, which needs the rights of root.
func smallDisk(t *testing.T, options string) string {
	t.Helper()
	mount := outside.Tool(t, "mount")
	folder := t.TempDir()
	if out, err := exec.Command(mount, "-t", "tmpfs", "-o", options, "tmpfs", folder).CombinedOutput(); err != nil {
		if outside.Required() {
			t.Fatalf("mount: %v: %s", err, out)
		}
		t.Skip("mounting a file system is not allowed here")
	}
	t.Cleanup(func() { _ = exec.Command("umount", folder).Run() })
	return folder
}

func printDemo(t *testing.T, folder, book string) (status int, stderr string) {
	t.Helper()
	var stdout, faults bytes.Buffer
	clock := func() time.Time { return time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC) }
	status = program{now: clock}.run(context.Background(),
		[]string{"print", filepath.Join("..", "..", "testdata", "demo", "session.csv"), "--out", folder, "--ledger", book}, nil, &stdout, &faults)
	return status, faults.String()
}

// The files do not fit on the disk, or may not be written: one message, no
// half file, and the ledger as it was.
func TestFullDisk(t *testing.T) {
	for _, test := range []struct{ reason, options, says string }{
		{"not even the first file fits", "size=64k", "no space left on device"},
		{"the second file does not fit", "size=200k", "no space left on device"},
		{"nothing may be written", "ro", "read-only file system"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			disk := smallDisk(t, test.options)
			book := filepath.Join(t.TempDir(), "book.db")
			status, _ := printDemo(t, t.TempDir(), book)
			require.Zero(t, status)
			before, err := os.ReadFile(book)
			require.NoError(t, err)

			// A manifest of another day would issue new codes.
			status, stderr := printOther(t, disk, book)
			require.Equal(t, 1, status)
			require.Contains(t, stderr, test.says)
			require.Equal(t, 2, strings.Count(stderr, "\n"), "one message: %s", stderr)
			require.Contains(t, stderr, "hint: free some disk space or name another folder with --out; no code was issued and no file was written\n")
			require.NotContains(t, stderr, ".tmp")
			left, err := os.ReadDir(disk)
			require.NoError(t, err)
			require.Empty(t, left)
			after, err := os.ReadFile(book)
			require.NoError(t, err)
			require.Equal(t, before, after, "the ledger is as it was")
		})
	}
}

// printOther prints the demo's batches for another day into a new folder of a
// disk.
func printOther(t *testing.T, disk, book string) (status int, stderr string) {
	t.Helper()
	demo, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", "session.csv"))
	require.NoError(t, err)
	manifest := filepath.Join(t.TempDir(), "other.csv")
	require.NoError(t, os.WriteFile(manifest, bytes.ReplaceAll(demo, []byte("2026-11-25"), []byte("2026-11-26")), 0o600))
	var stdout, faults bytes.Buffer
	status = program{now: time.Now}.run(context.Background(), []string{"print", manifest, "--out", filepath.Join(disk, "made"), "--ledger", book, "--as-new", "2-16"}, nil, &stdout, &faults)
	if status != 0 {
		require.Empty(t, stdout.String())
	}
	return status, faults.String()
}

// The ledger's own disk is full, which shows when it commits: by then the files
// are whole, but they get no names.
func TestFullDiskOfTheLedger(t *testing.T) {
	disk := smallDisk(t, "size=160k")
	book := filepath.Join(disk, "book.db")
	status, _ := printDemo(t, t.TempDir(), book)
	require.Zero(t, status)
	room, err := os.Create(filepath.Join(disk, "other"))
	require.NoError(t, err)
	size := int64(0)
	for {
		n, err := room.Write(make([]byte, 4096))
		size += int64(n)
		if err != nil {
			break
		}
	}
	const forTheLog = 36 << 10 // SQLite's index of its log, 32 KiB, and less than the batches need in the log
	require.NoError(t, room.Truncate(size-forTheLog))
	require.NoError(t, room.Close())
	folder := t.TempDir()
	status, stderr := printOther(t, folder, book)
	require.Equal(t, 1, status)
	require.Contains(t, stderr, "the disk")
	left, err := os.ReadDir(folder)
	require.NoError(t, err)
	require.Empty(t, left)
	require.NoError(t, os.Remove(filepath.Join(disk, "other")))
	require.Equal(t, 15, batches(t, book))
	status, stderr = printOther(t, folder, book)
	require.Zero(t, status, stderr)
}
