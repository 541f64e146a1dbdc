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
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/ledger"
)

// The test binary started as another process does its task before any test.
func init() {
	task, name, _ := strings.Cut(os.Getenv("LEDGER_TEST_TASK"), ":")
	path := os.Getenv("LEDGER_TEST_PATH")
	var err error
	switch task {
	case "log":
		err = logTwenty(path, name)
	case "history":
		err = readHistory(path)
	default:
		return // one of those of TestMain, or none
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	os.Exit(0)
}

// note is the nth of the entries that one writer sends.
func note(unit codes.Code, writer string, n int) records.Entry {
	return records.Entry{Key: fmt.Sprintf("%s-%d", writer, n), Unit: unit, Note: fmt.Sprintf("%s %d", writer, n), At: graftDay.Add(time.Duration(n) * time.Minute)}
}

// logTwenty sends twenty entries, each twice, and ten that all writers send.
func logTwenty(path, name string) error {
	ctx := context.Background()
	l, err := ledger.Open(ctx, path, ledger.WithClock(later))
	if err != nil {
		return err
	}
	defer l.Close()
	code, err := codes.New(graftDay, 1)
	if err != nil {
		return err
	}
	for n := range 20 {
		for range 2 {
			if _, _, err := l.Log(ctx, note(code, name, n)); err != nil {
				return err
			}
		}
		if n%2 == 0 {
			if _, _, err := l.Log(ctx, note(code, "all", n)); err != nil {
				return err
			}
		}
	}
	return nil
}

// Nothing is lost and nothing is there twice, whoever sends it, and at once.
func TestManyLogAtOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "ledger.db")
	l := openLater(t, path)
	code := inTrays(t, l).Code
	binary, err := os.Executable()
	require.NoError(t, err)
	var group sync.WaitGroup
	failures, errs := make([]error, 6), make([]bytes.Buffer, 6)
	for i := range 2 {
		cmd := command(t, binary, fmt.Sprintf("log:process %d", i), path)
		cmd.Stderr = &errs[i]
		require.NoError(t, cmd.Start())
		group.Go(func() { failures[i] = cmd.Wait() })
	}
	for i := 2; i < 6; i++ {
		group.Go(func() {
			for n := range 20 {
				for _, writer := range []string{fmt.Sprintf("goroutine %d", i), "all"} {
					if writer == "all" && n%2 == 1 {
						continue
					}
					for range 2 {
						_, _, err := l.Log(context.Background(), note(code, writer, n))
						failures[i] = errors.Join(failures[i], err)
					}
				}
			}
		})
	}
	group.Wait()
	for i, failure := range failures {
		require.NoError(t, failure, errs[i].String())
	}
	history, err := l.History(context.Background(), code)
	require.NoError(t, err)
	times, numbers := map[string]int{}, map[int]bool{}
	for _, entry := range history.Entries(code) {
		times[entry.Key+"|"+entry.Note]++
		numbers[entry.Number] = true
	}
	require.Len(t, times, 6*20+10)
	require.Len(t, numbers, 6*20+10)
	for n := range 20 {
		for _, writer := range []string{"process 0", "process 1", "goroutine 2", "goroutine 5"} {
			require.Equal(t, 1, times[fmt.Sprintf("%s-%d|%s %d", writer, n, writer, n)])
		}
	}
}

// Of two writers that sell the last ten stems only one is believed.
func TestTheLastStemsAreSoldOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "ledger.db")
	l := openLater(t, path)
	other := openLater(t, path)
	code := inTrays(t, l).Code
	var group sync.WaitGroup
	failures := make([]error, 8)
	for i := range failures {
		group.Go(func() {
			_, _, failures[i] = []*ledger.Ledger{l, other}[i%2].Log(context.Background(),
				records.Entry{Key: fmt.Sprint(i), Unit: code, Moves: records.Moves{Sold: 10}})
		})
	}
	group.Wait()
	refused := 0
	for _, err := range failures {
		if err != nil {
			var contradiction *records.EntryError
			require.ErrorAs(t, err, &contradiction)
			require.True(t, contradiction.Contradicts)
			refused++
		}
	}
	require.Equal(t, 4, refused)
	history, err := l.History(context.Background(), code)
	require.NoError(t, err)
	require.Equal(t, records.Tally{Stems: 40, Sold: 40}, history.Tally(code))
}

// readHistory reads the histories of a ledger that may only be read, and tries to
// enter something.
func readHistory(path string) error {
	ctx := context.Background()
	l, err := ledger.OpenExisting(ctx, path, ledger.WithClock(later))
	if err != nil {
		return err
	}
	defer l.Close()
	code, err := codes.New(graftDay, 2)
	if err != nil {
		return err
	}
	history, err := l.History(ctx, code)
	if err != nil {
		return err
	}
	histories, err := l.Histories(ctx)
	if err != nil {
		return err
	}
	_, is, err := l.Entry(ctx, 1)
	if err != nil {
		return err
	}
	fmt.Println(history.Batch.Variety, history.Tally(code).Alive, len(history.Entries(code)), len(histories), is)
	_, _, err = l.Log(ctx, records.Entry{Key: "late", Unit: code, Note: "x"})
	report(err)
	return nil
}

func TestCoursesOfALedgerThatMayOnlyBeRead(t *testing.T) {
	for _, row := range []struct {
		reason string
		make   func(t testing.TB, path string)
		first  string
	}{
		{"it knew no entries: there are none", makeSecondVersion, "Bo 50 0 2 false"},
		{"it has one", func(t testing.TB, path string) {
			makeSecondVersion(t, path)
			l, err := ledger.Open(context.Background(), path, ledger.WithClock(later))
			require.NoError(t, err)
			code, err := codes.New(graftDay, 2)
			require.NoError(t, err)
			logged(t, l, records.Entry{Key: "1", Unit: code, Moves: records.Moves{Sold: 7}})
			require.NoError(t, l.Close())
		}, "Bo 43 1 2 true"},
	} {
		t.Run(row.reason, func(t *testing.T) {
			base, err := os.MkdirTemp("", "ledger") // the folders that testing makes are its owner's alone
			require.NoError(t, err)
			defer os.RemoveAll(base)
			require.NoError(t, os.Chmod(base, 0o755))
			folder := filepath.Join(base, "records")
			require.NoError(t, os.Mkdir(folder, 0o755))
			path := filepath.Join(folder, "ledger.db")
			row.make(t, path)
			require.NoError(t, os.Chmod(path, 0o444))
			require.NoError(t, os.Chmod(folder, 0o555))
			defer os.Chmod(folder, 0o755)
			executable, err := os.Executable()
			require.NoError(t, err)
			program, err := os.ReadFile(executable)
			require.NoError(t, err)
			binary := filepath.Join(base, "child")
			require.NoError(t, os.WriteFile(binary, program, 0o755))
			cmd := command(t, binary, "history", path)
			cmd.Dir = base
			if os.Geteuid() == 0 { // root may write everywhere
				cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
			}
			var errs bytes.Buffer
			cmd.Stderr = &errs
			output, err := cmd.Output()
			require.NoError(t, err, errs.String())
			require.Equal(t, row.first+"\nledger "+path+": it is read-only / make the file and its folder writable, or name another ledger with --ledger FILE\n", string(output))
		})
	}
}
