package command

import (
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// No file replaces one in use, whatever it is called.
func TestStagedKeepsFilesInUse(t *testing.T) {
	folder := t.TempDir()
	at := func(name string) string { return filepath.Join(folder, name) }
	t.Setenv(SettingsVariable, at("settings.toml"))
	require.NoError(t, os.Mkdir(at("far"), 0o700))
	for _, name := range []string{"far/ledger.db", "far/ledger.db-wal", "orders.csv", "settings.toml"} {
		require.NoError(t, os.WriteFile(at(name), []byte("text"), 0o600))
	}
	require.NoError(t, os.Symlink(at("far/ledger.db"), at("ledger.db")))
	require.NoError(t, os.Link(at("far/ledger.db"), at("second.csv")))
	require.NoError(t, os.Link(at("far/ledger.db-wal"), at("log.csv")))
	for _, row := range []struct{ name, replaced, reason string }{
		{"ledger.db", "far/ledger.db", "the ledger by its symbolic link"},
		{"far/ledger.db", "far/ledger.db", "where the link leads"},
		{"second.csv", "far/ledger.db", "a hard link"},
		{"log.csv", "far/ledger.db-wal", "the write-ahead log"},
		{"far/ledger.db-shm", "far/ledger.db-shm", "not there now"},
		{"far/LEDGER.db-journal", "far/ledger.db-journal", "not there now, on a disk that may not tell letter case apart"},
		{"ledger.db-wal", "ledger.db-wal", "beside the symbolic link"},
		{"orders.csv", "orders.csv", "what is read"},
		{"settings.toml", "settings.toml", "the settings"},
		{"far/orders.csv", "", "another folder"},
		{"ledger.csv", "", "another ending"},
	} {
		path := at(row.name)
		s, err := Stage(filepath.Dir(path), at("ledger.db"), at("orders.csv"))
		require.NoError(t, err)
		err = s.Write(filepath.Base(path), func(w io.Writer) error { _, err := io.WriteString(w, "new"); return err })
		s.Discard()
		if row.replaced == "" {
			require.NoError(t, err, row.reason)
			continue
		}
		require.EqualError(t, err, "cannot write "+path+": it would replace "+at(row.replaced)+", which is in use", row.reason)
		require.ErrorAs(t, err, new(*UsageError), row.reason)
	}
	left, err := filepath.Glob(at("*/.*.part"))
	require.NoError(t, err)
	require.Empty(t, left)
}

// A file replaces only one of its kind.
func TestStagedKeepsOtherKinds(t *testing.T) {
	t.Setenv(SettingsVariable, filepath.Join(t.TempDir(), "settings.toml"))
	starts := []struct{ kind, start string }{
		{"a PDF", "%PDF-1.7\n"}, {"a PNG picture", "\x89PNG\r\n\x1a\n\x00\x00"}, {"a workbook", "PK\x03\x04\x14\x00"}, {"a database", "SQLite format 3\x00\x10"},
		{"a calendar", "BEGIN:VCALENDAR\r\n"}, {"an SVG or XML file", "<?xml version"}, {"a text file", "date,variety\n"},
		{"a text file", "\xff\xfed\x00a\x00t\x00e\x00"}, {"a text file", "Caf\xe9,1\n"}, {"something else", "\x37\x7f\x06\x82\x00\x2d\xe2\x18"},
	}
	for _, held := range append(starts, struct{ kind, start string }{"", ""}) {
		for _, written := range starts {
			path := filepath.Join(t.TempDir(), "file")
			require.NoError(t, os.WriteFile(path, []byte(held.start), 0o600))
			s, err := Stage(filepath.Dir(path))
			require.NoError(t, err)
			err = s.Write("file", func(w io.Writer) error { _, err := io.WriteString(w, written.start); return err })
			if held.kind == "" || held.kind == written.kind {
				require.NoError(t, err, "%s over %q", written.kind, held.start)
			} else {
				require.EqualError(t, err, "cannot write "+path+": the file there is "+held.kind+", not "+written.kind)
			}
			s.Discard()
			kept, err := os.ReadFile(path)
			require.NoError(t, err)
			require.Equal(t, held.start, string(kept))
		}
	}
}
