//go:build unix

package ledger_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/ledger"
)

// nobody is a user without rights to other people's files.
const nobody = 65534

// readOnly reads the first batch of a ledger, then tries to issue into it, and
// to open it for issuing.
func readOnly(path string) error {
	ctx := context.Background()
	l, err := ledger.OpenExisting(ctx, path)
	if err != nil {
		return err
	}
	defer l.Close()
	code, err := codes.New(graftDay, 1)
	if err != nil {
		return err
	}
	record, err := l.Find(ctx, code)
	if err != nil {
		return err
	}
	fmt.Println("found", record.Batch.Variety)
	if _, err := l.Reprints(ctx, code); err != nil {
		return err
	}
	if _, err := l.Sheets(ctx); err != nil {
		return err
	}
	if found, err := l.Search(ctx, ledger.Wanted{Date: graftDay}); err != nil || len(found) != 1 {
		return fmt.Errorf("%d batches of the day: %w", len(found), err)
	}
	if _, err := l.Amendments(ctx); err != nil {
		return err
	}
	folder, err := os.MkdirTemp("", "backup")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	if has, err := l.Backup(ctx, filepath.Join(folder, "copy.db")); err != nil || has.Batches != 1 {
		return fmt.Errorf("a backup of %d batches: %w", has.Batches, err)
	}
	_, err = l.Issue(ctx, []records.Draft{draft(func(d *records.Draft) { d.Variety = "Bo" })}, nil)
	report(err)
	writer, err := ledger.Open(ctx, path)
	if err == nil {
		_, err = writer.Issue(ctx, []records.Draft{draft(func(d *records.Draft) { d.Variety = "Bo" })}, nil)
		defer writer.Close()
	}
	report(err)
	_, err = ledger.Open(ctx, filepath.Join(filepath.Dir(path), "sub", "ledger.db"))
	report(err)
	return nil
}

// report prints an error and its advice.
func report(err error) {
	var advice interface{ Hint() string }
	if errors.As(err, &advice) {
		fmt.Println(err.Error() + " / " + advice.Hint())
		return
	}
	fmt.Println("no advice:", err)
}

func TestReadOnly(t *testing.T) {
	const (
		readOnly  = ": it is read-only / make the file and its folder writable, or name another ledger with --ledger FILE"
		noFolder  = ": its folder cannot be made: permission denied / check that you may write to the folder, or name another ledger with --ledger FILE"
		reachable = 0o555
	)
	for _, row := range []struct {
		reason       string
		file, folder os.FileMode
		open         bool // another process has the ledger open, with changes in the write-ahead log
		old          bool // the ledger was made by the first version, which knew no reprints
		messages     []string
	}{
		{"the folder and the file", 0o444, reachable, false, false, []string{readOnly, readOnly}},
		{"the folder", 0o666, reachable, false, false, []string{readOnly, readOnly}},
		{"an old ledger, and its folder", 0o444, reachable, false, true, []string{readOnly, readOnly}},
		{"the folder and the file, while another writes", 0o444, reachable, true, false, []string{readOnly, readOnly}},
	} {
		t.Run(row.reason, func(t *testing.T) {
			// The folders that testing makes are its owner's alone.
			base, err := os.MkdirTemp("", "ledger")
			require.NoError(t, err)
			defer os.RemoveAll(base)
			require.NoError(t, os.Chmod(base, 0o755))
			folder := filepath.Join(base, "records")
			path := filepath.Join(folder, "ledger.db")
			if row.old {
				require.NoError(t, os.Mkdir(folder, 0o755))
				makeFirstVersion(t, path)
			} else {
				l, err := ledger.Open(context.Background(), path)
				require.NoError(t, err)
				issue(t, l, draft(nil))
				if row.open {
					defer l.Close()
				} else {
					require.NoError(t, l.Close())
				}
			}
			require.NoError(t, os.Chmod(path, row.file))
			require.NoError(t, os.Chmod(folder, row.folder))
			defer os.Chmod(folder, 0o755)

			executable, err := os.Executable()
			require.NoError(t, err)
			binary := filepath.Join(base, "child")
			program, err := os.ReadFile(executable)
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(binary, program, 0o755))
			cmd := command(t, binary, "read", path)
			cmd.Dir = base
			if os.Geteuid() == 0 { // root may write everywhere
				cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
			}
			var errs bytes.Buffer
			cmd.Stderr = &errs
			output, err := cmd.Output()
			require.NoError(t, err, errs.String())
			want := []string{"found Ada Lantern"}
			for _, message := range row.messages {
				want = append(want, "ledger "+path+message)
			}
			want = append(want, "ledger "+filepath.Join(folder, "sub", "ledger.db")+noFolder)
			require.Equal(t, want, strings.Split(strings.TrimSpace(string(output)), "\n"))
		})
	}
}
