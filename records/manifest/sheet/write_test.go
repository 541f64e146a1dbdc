package sheet_test

import (
	"bytes"
	"encoding/csv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"graftslip/records/manifest/sheet"
)

// OWASP's CSV Injection page has the characters and the first example
// (owasp.org/www-community/attacks/CSV_Injection, seen).
func TestWriteCSV(t *testing.T) {
	for _, test := range []struct{ reason, text, want string }{
		{"a formula, with a quotation mark and another separator", `=1+2";=1+2`, `"'=1+2"";=1+2"`},
		{"a plus", "+1", "'+1"},
		{"a minus", "-1", "'-1"},
		{"an at sign", "@SUM(A1)", "'@SUM(A1)"},
		{"a tab", "\t=1", "'\t=1"},
		{"a line feed", "\n=1", "\"'\n=1\""},
		{"a carriage return", "\r=1", "\"'\r=1\""},
		{"an apostrophe of its own", "'=1", "''=1"},
		{"an apostrophe at the end", "=1'", "''=1'"},
		{"an apostrophe before a letter is safe", "'t Hof", "'t Hof"},
		{"a sign inside is safe", "a=1", "a=1"},
		{"nothing", "", ""},
	} {
		t.Run(test.reason, func(t *testing.T) {
			var out bytes.Buffer
			require.NoError(t, sheet.WriteCSV(csv.NewWriter(&out), [][]string{{"a", test.text, "b"}}))
			require.Equal(t, "a,"+test.want+",b\n", out.String())
		})
	}
}

// What a person typed between apostrophes stays, and a workbook that a spreadsheet program
// made of the file is read like the file.
func TestApostrophes(t *testing.T) {
	workbook := excelize.NewFile()
	require.NoError(t, workbook.SetSheetRow("Sheet1", "A1", &[]any{"'=1", "'+1'", -1, "'t Hof"}))
	saved, err := workbook.WriteToBuffer()
	require.NoError(t, err)
	require.Equal(t, []string{"1: =1|'+1'|#-1|'t Hof"}, readAll(t, saved.Bytes(), sheet.Options{}).rows)
	require.Equal(t, []string{"1: =1|'+1'|-1|'t Hof"}, readAll(t, []byte("'=1,'+1',-1,'t Hof\n"), sheet.Options{}).rows)
}

// No cell that was written begins a formula, and it is read as it was. A line end is read as
// a line feed.
func FuzzWriteCSV(f *testing.F) {
	for _, seed := range []string{"=1", "'=1", "''=1", "=1'", "'=1'", "''=1''", "'", "''", "'t Hof", "\"=", "\t@", "\n-", ",;\t+", " =", "'\n'"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if !validText(text) {
			t.Skip()
		}
		rows := [][]string{strings.Split("a,b,c,d,e,f,g,h,i", ","), {"a", text, "b", "", "", "", "", "", text}}
		var out bytes.Buffer
		require.NoError(t, sheet.WriteCSV(csv.NewWriter(&out), rows))
		written, err := csv.NewReader(bytes.NewReader(out.Bytes())).ReadAll()
		require.NoError(t, err)
		if cell := written[1][1]; cell != "" {
			require.NotContains(t, "=+-@\t\r\n", cell[:1])
		}
		s, err := sheet.Open(&out, sheet.Options{})
		require.NoError(t, err)
		_, err = s.Next()
		require.NoError(t, err)
		row, err := s.Next()
		require.NoError(t, err)
		require.Equal(t, text, row.Cells[1].Text)
		require.Equal(t, text, row.Cells[8].Text)
	})
}

// validText reports whether a CSV file of the text can be read: it is short, in UTF-8, and
// has no zero byte and no carriage return.
func validText(text string) bool {
	return len(text) < 1000 && strings.ToValidUTF8(text, "") == text && !strings.ContainsAny(text, "\x00\r\ufeff")
}
