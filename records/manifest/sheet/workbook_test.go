package sheet_test

import (
	"archive/zip"
	"bytes"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"graftslip/records/manifest/sheet"
)

// workbook returns the bytes of a workbook that another program's library made.
func workbook(t testing.TB, build func(f *excelize.File, put func(cell string, value any, format string))) []byte {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	build(f, func(cell string, value any, format string) {
		require.NoError(t, f.SetCellValue("Sheet1", cell, value))
		if format != "" {
			style, err := f.NewStyle(&excelize.Style{CustomNumFmt: &format})
			require.NoError(t, err)
			require.NoError(t, f.SetCellStyle("Sheet1", cell, cell, style))
		}
	})
	var b bytes.Buffer
	require.NoError(t, f.Write(&b))
	return b.Bytes()
}

// A cell of a workbook, by what was put there and how it is shown.
func TestWorkbookCells(t *testing.T) {
	day := time.Date(2026, time.November, 25, 0, 0, 0, 0, time.UTC)
	for _, row := range []struct {
		reason string
		value  any
		format string
		want   string
	}{
		{"a text", "Ada “Été”\nBo", "", "Ada “Été”\nBo"},
		{"a text of digits", "00123", "", "00123"},
		{"a text with a character that XML cannot hold", "a_x000D__x005F_x0041_", "", "a\r_x0041_"},
		{"a text in runs", []excelize.RichTextRun{{Text: "Rosa "}, {Text: "alba", Font: &excelize.Font{Italic: true}}}, "", "Rosa alba"},
		{"a whole number", 40, "", "#40"},
		{"a whole number shown in thousands", 1025, "#,##0", "#1025"},
		{"a number shown rounded", 7.5, "0", "#7.5"},
		{"a number that has no short binary form", 0.1, "", "#0.1"},
		{"a number less than nothing", -3, "", "#-3"},
		{"a share", 0.9, "0%", "#0.9"},
		{"a number shown with zeros before it", 123, "00000", "#00123"},
		{"a number shown with zeros that has more digits", 123456, "0000", "#123456"},
		{"a code of ours", int64(26329004001763), "", "#26329004001763"},
		{"a number of more digits than are kept", 1e15, "", "!#1000000000000000"},
		{"truth", true, "", "TRUE"},

		{"a date, ISO", 46351, "yyyy-mm-dd", "@2026-11-25"},
		{"a date, German", 46351, `[$-407]dd/mm/yyyy;@`, "@2026-11-25"},
		{"a date, month first", 46351, "m/d/yy", "@2026-11-25"},
		{"a date in words", 46351, `[$-F800]dddd\,\ mmmm\ dd\,\ yyyy`, "@2026-11-25"},
		{"a date, Japanese", 46351, `yyyy"年"m"月"d"日"`, "@2026-11-25"},
		{"a month", 46351, "mmm yy", "@2026-11-25"},
		{"a date with a time of day", 46351.5, "dd.mm.yyyy hh:mm", "@2026-11-25 12:00:00"},
		{"a date a moment before midnight, from arithmetic", 46350.9999999999, "yyyy-mm-dd", "@2026-11-25"},
		{"a date as the library writes it", day, "", "@2026-11-25"},
		{"a date of the year 1900", 1, "yyyy-mm-dd", "@1900-01-01"},
		{"the first day counted right", 61, "yyyy-mm-dd", "@1900-03-01"},
		{"the last date", 2958465, "yyyy-mm-dd", "@9999-12-31"},
		{"no date: after the last", 2958466, "yyyy-mm-dd", "#2958466"},
		{"no date: before the first", -1, "yyyy-mm-dd", "#-1"},
		{"no date: a time of day", 0.5, "hh:mm", "#0.5"},
		{"no date: hours and more", 46351, "[h]:mm", "#46351"},
		{"no date: minutes and more", 46351, "[mm]:ss", "#46351"},
		{"no date: minutes and seconds", 46351, "mm:ss", "#46351"},
		{"no date: a unit in quotation marks", 46351, `0 "days"`, "#46351"},
		{"no date: an escaped letter", 46351, `0\d`, "#46351"},
		{"no date: a colour and a currency", 46351, `[Red]#,##0 [$DM-407]`, "#46351"},
		{"no date: an exponent", 46351, "0.00E+00", "#46351"},
	} {
		t.Run(row.reason, func(t *testing.T) {
			data := workbook(t, func(f *excelize.File, put func(string, any, string)) {
				if runs, ok := row.value.([]excelize.RichTextRun); ok {
					require.NoError(t, f.SetCellRichText("Sheet1", "B2", runs))
					return
				}
				put("B2", row.value, row.format)
			})
			require.Equal(t, reading{rows: []string{"2: |" + row.want}}, readAll(t, data, sheet.Options{}))
		})
	}
}

// partsOf returns the parts of a workbook by name.
func partsOf(t testing.TB, data []byte) map[string]string {
	t.Helper()
	archive, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	require.NoError(t, err)
	parts := map[string]string{}
	for _, entry := range archive.File {
		r, err := entry.Open()
		require.NoError(t, err)
		text, err := io.ReadAll(r)
		require.NoError(t, err)
		parts[entry.Name] = string(text)
	}
	return parts
}

// packed returns an archive of parts by name, compressed in no way.
func packed(t testing.TB, parts map[string]string) []byte {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, name := range slices.Sorted(maps.Keys(parts)) {
		to, err := w.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Store})
		require.NoError(t, err)
		_, err = io.WriteString(to, parts[name])
		require.NoError(t, err)
	}
	require.NoError(t, w.Close())
	return b.Bytes()
}

// altered returns a workbook with one part changed.
func altered(t testing.TB, data []byte, name string, change func(string) string) []byte {
	t.Helper()
	parts := partsOf(t, data)
	require.Contains(t, parts, name)
	parts[name] = change(parts[name])
	return packed(t, parts)
}

const sheetPart = "xl/worksheets/sheet1.xml"

// A workbook as a whole: its tabs, its rows, and what can be wrong with it.
func TestWorkbook(t *testing.T) {
	const (
		save  = ", expected a workbook (.xlsx) or a CSV file: open it in a spreadsheet program and save it as .xlsx"
		whole = " cannot be read, expected a whole one: open it in a spreadsheet program and save it again as .xlsx"
	)
	plain := workbook(t, func(f *excelize.File, put func(string, any, string)) {
		put("A1", "a", "")
		put("B1", 1, "")
		put("A3", "b", "")
	})
	rows := []string{"1: a|#1", "3: b"}
	tabs := func(change func(f *excelize.File)) []byte {
		return workbook(t, func(f *excelize.File, put func(string, any, string)) {
			put("A1", "first", "")
			_, err := f.NewSheet("Wunschliste")
			require.NoError(t, err)
			require.NoError(t, f.SetCellValue("Wunschliste", "A1", "second"))
			change(f)
		})
	}
	missing := partsOf(t, plain)
	delete(missing, sheetPart)
	two := tabs(func(*excelize.File) {})
	cells := func(xml string) []byte {
		return altered(t, plain, sheetPart, func(string) string {
			return `<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>` + xml + "</sheetData></worksheet>"
		})
	}
	for _, row := range []struct {
		reason string
		data   []byte
		tab    string
		want   reading
	}{
		{"rows that are there", plain, "", reading{rows: rows}},
		{"the first of two tabs", two, "", reading{rows: []string{"1: first"}, hints: []string{`only the first tab, "Sheet1", was read; to read another, give --tab: "Wunschliste"`}}},
		{"a tab by its name, in any case", two, "wunschLISTE", reading{rows: []string{"1: second"}}},
		{"a tab that is not there", two, "Wunsch", reading{fault: `found no tab "Wunsch", expected one of its tabs: "Sheet1", "Wunschliste"`}},
		{"the first tab is hidden", tabs(func(f *excelize.File) { f.SetActiveSheet(1); require.NoError(t, f.SetSheetVisible("Sheet1", false)) }), "", reading{rows: []string{"1: second"}}},
		{"a hidden tab by its name", tabs(func(f *excelize.File) { f.SetActiveSheet(1); require.NoError(t, f.SetSheetVisible("Sheet1", false)) }), "sheet1", reading{rows: []string{"1: first"}}},
		{"days from 1904", workbook(t, func(f *excelize.File, put func(string, any, string)) {
			yes := true
			require.NoError(t, f.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &yes}))
			put("A1", 44889, "yyyy-mm-dd")
		}), "", reading{rows: []string{"1: @2026-11-25"}}},
		{"hidden rows", workbook(t, func(f *excelize.File, put func(string, any, string)) {
			for _, cell := range []string{"A1", "A2", "A3"} {
				put(cell, "x", "")
			}
			require.NoError(t, f.SetRowVisible("Sheet1", 2, false))
			require.NoError(t, f.SetRowVisible("Sheet1", 4, false))
		}), "", reading{rows: []string{"1: x", "2: x", "3: x", "4: "}, hints: []string{"row 2 is hidden or filtered out; it was read like the others"}}},
		{"many hidden rows", cells(`<row r="7" hidden="1"><c t="b"><v>1</v></c></row><row r="9" hidden="true"><c t="b"><v>0</v></c></row>`), "",
			reading{rows: []string{"7: TRUE", "9: FALSE"}, hints: []string{"2 rows are hidden or filtered out, the first is row 7; they were read like the others"}}},
		{"borders far out", workbook(t, func(f *excelize.File, put func(string, any, string)) {
			put("A1", "a", "")
			put("XFD1048576", nil, "0.0")
		}), "",
			reading{rows: []string{"1: a", "1048576: "}}},
		{"a formula and its result", cells(`<row r="1"><c r="B1"><f>1+1</f><v>2</v></c><c t="str"><f>"a"</f><v>a</v></c><c t="str"><f>""</f><v></v></c><c t="str"><f>"d"</f><v>d</v></c></row>`), "",
			reading{rows: []string{"1: |#2|a||d"}}},
		{"formulas without a result", cells(`<row r="1"><c r="A1"><f>1+1</f></c><c><f>1+1</f><v></v></c></row>`), "",
			reading{rows: []string{"1: !a formula without its result|!a formula without its result"}}},
		{"a text too long for a cell", cells("<row><c t=\"str\"><v>" + strings.Repeat("é", 32_767) + "</v></c><c t=\"str\"><v>" + strings.Repeat("é", 32_768) + "</v></c></row>"), "",
			reading{rows: []string{"1: " + strings.Repeat("é", 32_767) + "|!a text of 32768 characters"}}},
		{"a formula that failed", cells(`<row r="1"><c r="A1" t="e"><f>A9</f><v>#REF!</v></c></row>`), "", reading{rows: []string{"1: !#REF!"}}},
		{"a text in its cell, and how it is spoken", cells(`<row><c t="inlineStr"><is><t>東京</t><rPh sb="0" eb="2"><t>トウキョウ</t></rPh></is></c></row>`), "", reading{rows: []string{"1: 東京"}}},
		{"dates written as ISO 8601", cells(`<row><c t="d"><v>2026-11-25</v></c><c t="d"><v>2026-11-25T00:00:00.000Z</v></c><c t="d"><v>2026-11-25T07:30:00</v></c></row>`), "",
			reading{rows: []string{"1: @2026-11-25|@2026-11-25|@2026-11-25 07:30:00"}}},
		{"rows and cells without a place", cells(`<row><c><v>1</v></c> <c r="D1"><v>2</v></c><c><v>3</v></c></row><row/><row><c><v>4</v></c></row>`), "", reading{rows: []string{"1: #1|||#2|#3", "2: ", "3: #4"}}},

		{"half a file", plain[:len(plain)/2], "", reading{fault: "found a damaged workbook: its list of parts" + whole}},
		{"a part in which a byte was changed", bytes.Replace(packed(t, partsOf(t, plain)), []byte(`<row r="3"`), []byte(`<row r="4"`), 1), "", reading{rows: []string{"1: a|#1", "4: b"}, fault: "found a damaged workbook: " + sheetPart + whole}},
		{"a part that ends too early", altered(t, plain, sheetPart, func(all string) string { return all[:strings.Index(all, `<row r="3"`)+20] }), "",
			reading{rows: rows[:1], fault: "found a damaged workbook: " + sheetPart + whole}},
		{"a sheet that is not there", packed(t, missing), "", reading{fault: "found a damaged workbook: " + sheetPart + whole}},
		{"a text that is not there", altered(t, plain, sheetPart, func(all string) string { return strings.Replace(all, `t="s"><v>1</v>`, `t="s"><v>9</v>`, 1) }), "", reading{rows: rows[:1], fault: "found a damaged workbook: " + sheetPart + whole}},
		{"an invalid number", cells("<row><c><v>7,5</v></c></row>"), "", reading{fault: "found a damaged workbook: " + sheetPart + whole}},
		{"rows that go back", cells(`<row r="3"/><row r="2"/>`), "", reading{rows: []string{"3: "}, fault: "found a damaged workbook: " + sheetPart + whole}},
		{"cells that go back", cells(`<row><c r="B1"><v>1</v></c><c r="B1"><v>1</v></c></row>`), "", reading{fault: "found a damaged workbook: " + sheetPart + whole}},
		{"an invalid cell reference", cells(`<row><c r="1"><v>1</v></c></row>`), "", reading{fault: "found a damaged workbook: " + sheetPart + whole}},
		{"styles that are no XML", altered(t, plain, "xl/styles.xml", func(string) string { return "<styles" }), "", reading{fault: "found a damaged workbook: xl/styles.xml" + whole}},
		{"an archive of something else", packed(t, map[string]string{"hello.txt": "hello"}), "", reading{fault: "found an archive that is no workbook (such as .zip or .docx)" + save}},
		{"an archive of nothing", packed(t, nil), "", reading{fault: "found an archive that is no workbook (such as .zip or .docx)" + save}},
		{"a text document", packed(t, map[string]string{"_rels/.rels": `<Relationships><Relationship Id="r" Type="http://x/officeDocument" Target="word/document.xml"/></Relationships>`}), "",
			reading{fault: "found an archive that is no workbook (such as .zip or .docx)" + save}},
		{"a binary workbook", packed(t, map[string]string{"_rels/.rels": `<Relationships><Relationship Id="r" Type="http://x/officeDocument" Target="xl/workbook.bin"/></Relationships>`}), "",
			reading{fault: "found a binary workbook (.xlsb)" + save}},
		{"an OpenDocument sheet", packed(t, map[string]string{"mimetype": "application/vnd.oasis.opendocument.spreadsheet", "content.xml": "<x/>"}), "",
			reading{fault: "found an OpenDocument file (such as .ods)" + save}},
	} {
		t.Run(row.reason, func(t *testing.T) {
			require.Equal(t, row.want, readAll(t, row.data, sheet.Options{Tab: row.tab}))
		})
	}
}

// Another library's reader finds the same cells in the same places, in workbooks of
// every program.
func TestExcelizeReadsAlike(t *testing.T) {
	files, err := filepath.Glob("../testdata/forms/*.xlsx")
	require.NoError(t, err)
	compared := 0
	for _, file := range files {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		book, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{RawCellValue: true})
		if filepath.Base(file) == "excelize-password.xlsx" {
			continue
		}
		require.NoError(t, err, file)
		properties, err := book.GetWorkbookProps()
		require.NoError(t, err)
		s, err := sheet.Open(bytes.NewReader(data), sheet.Options{})
		require.NoError(t, err)
		for row, err := s.Next(); err == nil; row, err = s.Next() {
			for i, cell := range row.Cells {
				place, err := excelize.CoordinatesToCellName(i+1, row.Number)
				require.NoError(t, err)
				raw, err := book.GetCellValue(book.GetSheetName(0), place)
				require.NoError(t, err)
				if cell.Kind == sheet.Date {
					days, err := strconv.ParseFloat(raw, 64)
					require.NoError(t, err)
					day, err := excelize.ExcelDateToTime(days, properties.Date1904 != nil && *properties.Date1904)
					require.NoError(t, err)
					raw = day.Format(time.DateOnly)
				}
				require.True(t, cell.Fault != nil || cell.Text == raw, "%s %s: %q, %q", file, place, cell.Text, raw)
				compared++
			}
		}
		require.NoError(t, book.Close())
	}
	require.Greater(t, compared, 1000)
}
