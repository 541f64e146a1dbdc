package manifest_test

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
	"golang.org/x/text/unicode/norm"

	"graftslip/layouts"
	"graftslip/records"
	"graftslip/records/manifest"
)

// Whatever the file, reading does not panic, every draft keeps to what the
// package documents, every error says what is expected, and a second reading
// gives the same.
func FuzzRead(f *testing.F) {
	for _, pattern := range []string{"../../testdata/demo/*.csv", "../../testdata/faults/*.csv"} {
		files, err := filepath.Glob(pattern)
		require.NoError(f, err)
		require.NotEmpty(f, files)
		for _, file := range files {
			data, err := os.ReadFile(file)
			require.NoError(f, err)
			f.Add(data, true)
			f.Add(data, false)
		}
	}
	for _, seed := range []string{
		"", "\n\n", "\xef\xbb\xbf", "\xff\xfed\x00", "a\x00", "PK\x03\x04", "\"", "date;variety;stock;grafts\n\"",
		"date\tvariety\tstock\tgrafts\ttray\n2026-11-25\t'A'\t«B»\t8999\t1\n",
		"variety,stock,grafts\r'A' × 'B',''t Hof',1\r\r\"a\"\"\rb\",c,2",
		"variety,stock,grafts,source,note\n=1',+A,1,'=1',''-1\n'=1','@B',2,'=1,\"'\"\n",
		"variety,stock,grafts,,\n\"a\nb\",c\"d,3,,x\n\xe9,\u202e,0\n",
	} {
		f.Add([]byte(seed), true)
	}
	f.Fuzz(func(t *testing.T, data []byte, dated bool) {
		var options manifest.Options
		if dated {
			options.Date = graftDay
		}
		read, err := manifest.Read("f.csv", bytes.NewReader(data), options)
		again, errAgain := manifest.Read("f.csv", bytes.NewReader(data), options)
		require.Equal(t, read, again)
		require.Equal(t, err, errAgain)
		row := 0
		for _, draft := range read.Drafts {
			require.Greater(t, draft.Row, row, "rows rise")
			row = draft.Row
			requireDocumented(t, draft)
		}
		for _, hint := range read.Hints {
			require.NotEmpty(t, hint)
		}
		if err == nil {
			require.NotEmpty(t, read.Drafts)
			requireWritten(t, read.Drafts)
			return
		}
		var faults manifest.Errors
		require.True(t, errors.As(err, &faults))
		require.NotEmpty(t, faults)
		for _, fault := range faults {
			require.GreaterOrEqual(t, fault.Row, 0)
			require.NotEmpty(t, fault.Found)
			require.NotEmpty(t, fault.Expected)
			require.True(t, utf8.ValidString(fault.Error()), "%q", fault.Error())
			require.NotContains(t, fault.Error(), "\n")
		}
	})
}

// requireWritten checks that drafts are the same after they were written and read, a stem to
// the micrometre.
func requireWritten(t *testing.T, drafts []records.Draft) {
	t.Helper()
	var file bytes.Buffer
	require.NoError(t, manifest.Write(&file, drafts))
	again, err := manifest.Read("f.csv", &file, manifest.Options{})
	require.NoError(t, err)
	require.Len(t, again.Drafts, len(drafts))
	for i, draft := range again.Drafts {
		require.InDelta(t, drafts[i].Stem, draft.Stem, 0.0005)
		draft.Row, draft.Stem = drafts[i].Row, drafts[i].Stem
		require.Equal(t, drafts[i], draft)
	}
}

// requireDocumented checks a draft against the package documentation.
func requireDocumented(t *testing.T, draft records.Draft) {
	t.Helper()
	require.GreaterOrEqual(t, draft.Row, 2)
	require.Equal(t, draft.Date, draft.Date.UTC().Truncate(24*time.Hour))
	require.True(t, draft.Date.Year() >= 2000 && draft.Date.Year() <= 2099)
	require.True(t, draft.Grafts >= 1 && draft.Grafts <= 8999)
	require.True(t, draft.TraySize >= 0 && draft.TraySize <= 8999)
	require.True(t, draft.Trays() <= 999)
	require.True(t, draft.Stem == 0 || draft.Stem >= 1 && draft.Stem <= 60)
	require.True(t, draft.Wrap <= layouts.Band)
	require.NotEmpty(t, draft.Variety)
	require.NotEmpty(t, draft.Stock)
	for i, text := range []string{draft.Variety, draft.Stock, draft.Source, draft.Grafter, draft.Note} {
		most := 60
		if i >= 2 {
			most = 120
		}
		require.True(t, utf8.ValidString(text))
		require.True(t, norm.NFC.IsNormalString(text))
		require.LessOrEqual(t, utf8.RuneCountInString(text), most)
		require.Equal(t, strings.Join(strings.Fields(text), " "), text)
		for _, r := range text {
			require.False(t, r > 0xFFFF || unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || r == utf8.RuneError, "%U", r)
		}
	}
}
