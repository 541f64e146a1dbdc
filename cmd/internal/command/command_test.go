package command

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestReport(t *testing.T) {
	advised := func(text, advice string) error { return &HintedError{errors.New(text), advice} }
	for _, test := range []struct {
		reason string
		err    error
		want   string
	}{
		{"one error", errors.New("no room"), "error: no room\n"},
		{"a line break does not make a second line", errors.New("no\nroom"), "error: no room\n"},
		{"advice comes after it", advised("no room", "make room"), "error: no room\nhint: make room\n"},
		{"equal advice comes once, after all errors", errors.Join(advised("a", "make room"), errors.Join(advised("b", "make room"), errors.New("c"))),
			"error: a\nerror: b\nerror: c\nhint: make room\n"},
		{"advice of a wrapped error holds", fmt.Errorf("row 3: %w", advised("no room", "make room")), "error: row 3: no room\nhint: make room\n"},
		{"the inner advice comes first", &HintedError{advised("no room", "make room"), "print again"}, "error: no room\nhint: make room\nhint: print again\n"},
		{"a file's error loses the name of the system call", func() error { _, err := os.Open("none.csv"); return err }(), "error: none.csv: no such file or directory\n"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			var out strings.Builder
			Report(&out, test.err)
			require.Equal(t, test.want, out.String())
		})
	}
}

func TestSpare(t *testing.T) {
	for _, test := range []struct {
		reason, text string
		grafts, want int
	}{
		{"a number", "3", 40, 3},
		{"a share", "5%", 40, 2},
		{"a share is rounded up", "5%", 41, 3},
		{"none", "0", 40, 0},
		{"no share", "0%", 40, 0},
		{"all again", "100%", 7, 7},
	} {
		t.Run(test.reason, func(t *testing.T) {
			var s SpareLabels
			flag := Spare(&s)
			require.NoError(t, flag.Set(test.text))
			require.Equal(t, test.want, s.Of(test.grafts))
			require.Equal(t, test.text, flag.String())
		})
	}
	for _, bad := range []string{"", "-1", "+1", "1.5", "101%", "1001", "%", "many"} {
		require.Error(t, Spare(new(SpareLabels)).Set(bad), "%q", bad)
	}
}

func TestStaged(t *testing.T) {
	write := func(text string) func(io.Writer) error {
		return func(w io.Writer) error { _, err := io.WriteString(w, text); return err }
	}
	t.Run("files appear when they are kept, in folders made for them", func(t *testing.T) {
		folder := filepath.Join(t.TempDir(), "a", "b")
		s, err := Stage(folder)
		require.NoError(t, err)
		require.NoError(t, s.Write("one.pdf", write("one")))
		require.NoFileExists(t, filepath.Join(folder, "one.pdf"))
		paths, err := s.Keep()
		require.NoError(t, err)
		require.Equal(t, []string{filepath.Join(folder, "one.pdf")}, paths)
		s.Discard()
		content, err := os.ReadFile(paths[0])
		require.NoError(t, err)
		require.Equal(t, "one", string(content))
	})
	t.Run("a failed file leaves nothing, and what stood there stays", func(t *testing.T) {
		parent := t.TempDir()
		require.NoError(t, os.WriteFile(filepath.Join(parent, "two.pdf"), []byte("old"), 0o600))
		s, err := Stage(parent)
		require.NoError(t, err)
		require.NoError(t, s.Write("one.pdf", write("one")))
		err = s.Write("two.pdf", func(w io.Writer) error {
			_, _ = io.WriteString(w, strings.Repeat("new", 10_000))
			return errors.New("no ink")
		})
		require.EqualError(t, err, "cannot write "+filepath.Join(parent, "two.pdf")+": no ink")
		s.Discard()
		entries, err := os.ReadDir(parent)
		require.NoError(t, err)
		require.Len(t, entries, 1)
		content, err := os.ReadFile(filepath.Join(parent, "two.pdf"))
		require.NoError(t, err)
		require.Equal(t, "old", string(content))
	})
	t.Run("folders made for nothing go again", func(t *testing.T) {
		parent := t.TempDir()
		s, err := Stage(filepath.Join(parent, "a", "b"))
		require.NoError(t, err)
		s.Discard()
		entries, err := os.ReadDir(parent)
		require.NoError(t, err)
		require.Empty(t, entries)
	})
	t.Run("a folder below a file cannot be made", func(t *testing.T) {
		file := filepath.Join(t.TempDir(), "file")
		require.NoError(t, os.WriteFile(file, nil, 0o600))
		_, err := Stage(filepath.Join(file, "folder"))
		require.Error(t, err)
	})
}

func TestLedgerPath(t *testing.T) {
	t.Setenv("HOME", "/home/grower")
	t.Setenv("XDG_DATA_HOME", "")
	path, err := LedgerPath("mine.db")
	require.NoError(t, err)
	require.Equal(t, "mine.db", path, "the flag beats the standard place")
	standard, err := LedgerPath("")
	require.NoError(t, err)
	require.Contains(t, filepath.ToSlash(standard), "graftslip/ledger.db")
}
