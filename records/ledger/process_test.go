//go:build unix

package ledger_test

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/ledger"
)

func TestMain(m *testing.M) {
	if task := os.Getenv("LEDGER_TEST_TASK"); task != "" {
		os.Exit(child(task, os.Getenv("LEDGER_TEST_PATH")))
	}
	os.Exit(m.Run())
}

// child is what the test binary does when a test starts it as another process.
func child(task, path string) int {
	task, name, _ := strings.Cut(task, ":")
	var err error
	switch task {
	case "issue":
		err = issueFifty(path, name)
	case "hang":
		err = hangWhilePrinting(path)
	case "read":
		err = readOnly(path)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	return 0
}

// command starts the test binary as another process.
func command(t *testing.T, binary, task, path string) *exec.Cmd {
	t.Helper()
	cmd := exec.Command(binary)
	cmd.Env = append(os.Environ(), "LEDGER_TEST_TASK="+task, "LEDGER_TEST_PATH="+path)
	return cmd
}

// issueFifty opens a ledger, issues 50 batches of varieties of its own in ten
// calls and prints their codes.
func issueFifty(path, name string) error {
	ctx := context.Background()
	l, err := ledger.Open(ctx, path)
	if err != nil {
		return err
	}
	defer l.Close()
	for call := range 10 {
		drafts := make([]records.Draft, 5)
		for i := range drafts {
			drafts[i] = draft(func(d *records.Draft) { d.Variety = fmt.Sprintf("%s %d-%d", name, call, i) })
		}
		issued, err := l.Issue(ctx, drafts, nil)
		if err != nil {
			return err
		}
		for _, one := range issued {
			fmt.Println(one.Code, one.Variety)
		}
	}
	return nil
}

func TestEightProcessesIssueAtOnce(t *testing.T) {
	const processes = 8
	path := filepath.Join(t.TempDir(), "new", "ledger.db")
	binary, err := os.Executable()
	require.NoError(t, err)
	outputs, errs := make([]bytes.Buffer, processes), make([]bytes.Buffer, processes)
	var group sync.WaitGroup
	failures := make([]error, processes)
	for i := range processes {
		cmd := command(t, binary, fmt.Sprintf("issue:Process %d", i), path)
		cmd.Stdout, cmd.Stderr = &outputs[i], &errs[i]
		require.NoError(t, cmd.Start())
		group.Go(func() { failures[i] = cmd.Wait() })
	}
	group.Wait()
	varieties := map[string]string{} // by code
	for i := range processes {
		require.NoError(t, failures[i], errs[i].String())
		for line := range strings.Lines(outputs[i].String()) {
			code, variety, _ := strings.Cut(strings.TrimSpace(line), " ")
			require.NotContains(t, varieties, code, "issued twice")
			varieties[code] = variety
		}
	}
	require.Len(t, varieties, 400)
	l, err := ledger.OpenExisting(context.Background(), path)
	require.NoError(t, err)
	defer l.Close()
	for text, variety := range varieties {
		code, err := codes.Parse(text)
		require.NoError(t, err)
		record, err := l.Find(context.Background(), code)
		require.NoError(t, err)
		require.Equal(t, variety, record.Batch.Variety)
	}
	require.Equal(t, 400, strings.Count(dump(t, path), "\n"))
}

func TestGoroutinesIssueAtOnce(t *testing.T) {
	l := openNew(t)
	var group sync.WaitGroup
	failures := make([]error, 8)
	for i := range failures {
		group.Go(func() {
			for j := range 5 {
				_, failures[i] = l.Issue(context.Background(), []records.Draft{draft(func(d *records.Draft) { d.Variety = fmt.Sprintf("%d-%d", i, j) })}, nil)
			}
		})
	}
	group.Wait()
	for _, err := range failures {
		require.NoError(t, err)
	}
	require.Equal(t, 40, strings.Count(dump(t, l.Path()), "\n"))
}

// hangWhilePrinting stops for good just before the commit.
func hangWhilePrinting(path string) error {
	l, err := ledger.Open(context.Background(), path)
	if err != nil {
		return err
	}
	_, err = l.Issue(context.Background(), []records.Draft{
		draft(func(d *records.Draft) { d.Grafts = 90 }),
		draft(func(d *records.Draft) { d.Variety = "Bo" }),
	}, func(*ledger.Change, []records.Issued) error {
		fmt.Println("printing")
		time.Sleep(time.Hour)
		return nil
	})
	return err
}

func TestKilledWhilePrinting(t *testing.T) {
	path := filepath.Join(t.TempDir(), "ledger.db")
	l := openAt(t, path)
	issue(t, l, draft(nil))
	was := dump(t, path)
	binary, err := os.Executable()
	require.NoError(t, err)
	cmd := command(t, binary, "hang", path)
	stdout, err := cmd.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	line, err := bufio.NewReader(stdout).ReadString('\n')
	require.NoError(t, err)
	require.Equal(t, "printing\n", line)
	require.NoError(t, cmd.Process.Kill())
	require.Error(t, cmd.Wait())

	require.Equal(t, was, dump(t, path))
	issued := issue(t, l, draft(nil), draft(func(d *records.Draft) { d.Variety = "Bo" }))
	require.Equal(t, records.Known, issued[0].State)
	require.Equal(t, records.New, issued[1].State)
	require.Equal(t, 2, issued[1].Code.Batch(), "the number was not used up")
}
