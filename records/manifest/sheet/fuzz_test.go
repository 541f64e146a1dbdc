package sheet_test

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records/manifest/sheet"
)

// requireSound reads a file and checks what the package promises for any file.
func requireSound(t *testing.T, data []byte, options sheet.Options) {
	t.Helper()
	require.Equal(t, readAll(t, data, options), readAll(t, data, options), "a second reading gives the same")
	s, err := sheet.Open(bytes.NewReader(data), options)
	for number := 0; err == nil; {
		var row sheet.Row
		if row, err = s.Next(); err != nil {
			break
		}
		require.Greater(t, row.Number, number, "rows rise")
		number = row.Number
		require.LessOrEqual(t, len(row.Cells), sheet.MaxColumns+1)
		require.True(t, !row.Lost || row.Cells[len(row.Cells)-1].Fault != nil)
		for _, cell := range row.Cells {
			switch cell.Kind {
			case sheet.Number:
				_, err := strconv.ParseFloat(cell.Text, 64)
				require.NoError(t, err)
			case sheet.Date:
				require.NotEmpty(t, cell.Text)
			}
			require.True(t, cell.Fault == nil || cell.Fault.Expected != "")
		}
	}
	var fault *sheet.Fault
	require.True(t, errors.Is(err, io.EOF) || errors.As(err, &fault), "%v", err)
	if fault == nil {
		for _, hint := range s.Hints() {
			require.NotEmpty(t, hint)
		}
	}
}

// Any file at all.
func FuzzFile(f *testing.F) {
	files, err := filepath.Glob("../testdata/forms/*.*[vstx]")
	require.NoError(f, err)
	require.NotEmpty(f, files)
	for _, file := range files {
		data, err := os.ReadFile(file)
		require.NoError(f, err)
		f.Add(data, "", "")
	}
	f.Add([]byte("sep=;\na;\"b\r\nc\r\n"), "macintosh", "")
	f.Add([]byte("\xfe\xff\x00a\xd8"), "", "")
	f.Add([]byte("PK\x05\x06"), "", "x")
	f.Fuzz(func(t *testing.T, data []byte, encoding, tab string) {
		requireSound(t, data, sheet.Options{Encoding: encoding, Tab: tab})
	})
}

// Any parts of a workbook, in an archive that is whole.
func FuzzWorkbook(f *testing.F) {
	names := []string{"xl/workbook.xml", "xl/worksheets/sheet1.xml", "xl/sharedStrings.xml", "xl/styles.xml"}
	var whole []byte
	for _, file := range []string{"office-formulas.xlsx", "openpyxl-1904.xlsx", "excelize-stream.xlsx", "gnumeric.xlsx"} {
		data, err := os.ReadFile(filepath.Join("../testdata/forms", file))
		require.NoError(f, err)
		parts := partsOf(f, data)
		f.Add(parts[names[0]], parts[names[1]], parts[names[2]], parts[names[3]])
		whole = data
	}
	f.Add("", `<worksheet><sheetData><row r="1048576" hidden="1"><c r="IV1" s="-1" t="s"><v>0</v></c></row></sheetData></worksheet>`, "<sst><si><r><t>_x0000_</t></r></si></sst>", "")
	f.Add("", `<a><row><c t="d"><v>T</v></c><c t="e"><f/><v/></c><c><v>1e400</v></c><c><v>NaN</v></c><c><v>-0</v></c></row></a>`, "", "")
	f.Fuzz(func(t *testing.T, workbook, worksheet, texts, styles string) {
		parts := partsOf(t, whole)
		for i, text := range []string{workbook, worksheet, texts, styles} {
			if text != "" {
				parts[names[i]] = text
			}
		}
		requireSound(t, packed(t, parts), sheet.Options{})
	})
}
