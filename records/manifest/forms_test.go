package manifest_test

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/layouts"
	"graftslip/records"
	"graftslip/records/manifest"
	"graftslip/records/manifest/sheet"
)

// formDrafts is what testdata/forms holds in every form.
func formDrafts() []records.Draft {
	day := func(year int, month time.Month, day int) time.Time {
		return time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
	}
	first, second, third, fourth := day(2026, 12, 1), day(2026, 12, 13), day(2027, 1, 4), day(2027, 2, 28)
	return []records.Draft{
		{Date: first, Variety: "Ämter Kompass", Stock: "Marlpit Hedge", Grafts: 1025, Source: "House bed 2", TraySize: 25, Stem: 7.5, Grafter: "IV", Wrap: layouts.Flag, Note: "cut at noon; keep cool, damp"},
		{Date: first, Variety: "Étrier d'Orée", Stock: "Fen Hedge", Grafts: 60, Source: "House bed 2", TraySize: 30, Stem: 8, Grafter: "IV", Wrap: layouts.Flag, Note: `with "two" eyes`},
		{Date: second, Variety: "Märzgrün Zirkel", Stock: "Marlpit Hedge", Grafts: 40, Source: "Süd 4", Stem: 7.5, Grafter: "JÖ", Wrap: layouts.Loop, Note: "first line second line"},
		{Date: second, Variety: "Ñu Ladder", Stock: "Fen Hedge", Grafts: 120, TraySize: 60},
		{Date: third, Variety: "Œuvre Dial", Stock: "Dial Stock", Grafts: 2400, Source: "Süd 4", TraySize: 48, Stem: 12.5, Grafter: "JÖ", Wrap: layouts.Band, Note: `"soft", tender; 100 % ripe`},
		{Date: third, Variety: "Größe Sieben", Stock: "Dial Stock", Grafts: 8, Note: "café"},
		{Date: fourth, Variety: "Ångström Hinge", Stock: "Fen Hedge", Grafts: 35, Source: "Hof à côté", TraySize: 35, Stem: 6.25, Grafter: "IV"},
		{Date: fourth, Variety: "Çurve Tally", Stock: "Marlpit Hedge", Grafts: 1000, Source: "House bed 2", TraySize: 100, Stem: 9, Grafter: "IV", Wrap: layouts.Flag},
	}
}

// One manifest, saved by several programs, gives the same drafts, or one error that says
// what to do. testdata/forms/make.py made the files.
func TestForms(t *testing.T) {
	const save = ", expected a workbook (.xlsx) or a CSV file: open it in a spreadsheet program and save it as .xlsx"
	const windows = `the file is not UTF-8, so it was read as windows-1252, with words such as "Ämter"; if that looks wrong, give its --encoding, such as windows-1250 or macintosh`
	for _, form := range []struct {
		file    string
		options manifest.Options
		hints   []string
		message string // none: the drafts
		first   int    // row of the first draft; 0 for 2
	}{
		{file: "office-en-US-comma-utf8.csv"},
		{file: "office-en-US-comma-windows.csv", hints: []string{windows}},
		{file: "office-en-US-tab-utf16.csv"},
		{file: "office-de-DE-semicolon-utf8.csv"},
		{file: "office-de-DE-semicolon-windows.csv", hints: []string{windows}},
		{file: "office-fr-FR-semicolon-utf8.csv"},
		{file: "office-fr-FR-semicolon-macintosh.csv", options: manifest.Options{Sheet: sheet.Options{Encoding: "macintosh"}}},
		{file: "office-fr-FR-semicolon-windows-title.csv", hints: []string{windows}, first: 4},
		{file: "office-en-US.xlsx"},
		{file: "office-de-DE.xlsx"},
		{file: "office-formulas.xlsx"},
		{file: "office.ods", message: "m.csv: found an OpenDocument file (such as .ods)" + save},
		{file: "office.xls", message: "m.csv: found an old workbook (such as .xls)" + save},
		{file: "openpyxl.xlsx"},
		{file: "openpyxl-1904.xlsx"},
		{file: "openpyxl-dates-german-text.xlsx"},
		{file: "openpyxl-dates-in-words.xlsx"},
		{file: "openpyxl-dates-undecided.xlsx", message: `m.csv rows 2-9, date: found "01/12/2026", "12/12/2026", "04/01/2027" and others, expected dates that can be read in one way only: "01/12/2026" may be 1 December 2026 or 12 January 2026`},
		{file: "openpyxl-numbers-text.xlsx"},
		{file: "openpyxl-title-blank-rows.xlsx", first: 6},
		{file: "openpyxl-formulas.xlsx", message: "m.csv rows 2-9, grafts: found a formula without its result, expected a result: open the file in a spreadsheet program and save it"},
		{file: "openpyxl-second-tab.xlsx", options: manifest.Options{Sheet: sheet.Options{Tab: "grafts"}}},
		{file: "openpyxl-hidden-rows.xlsx", hints: []string{"2 rows are hidden or filtered out, the first is row 4; they were read like the others"}},
		{file: "python-utf8-mark.csv"},
		{file: "excelize.xlsx"},
		{file: "excelize-stream.xlsx"},
		{file: "excelize-password.xlsx", message: "m.csv: found a workbook with a password, expected one without: open it, take the password off and save it"},
		{file: "gnumeric.xlsx"},
		{file: "gnumeric.csv"},
		{file: "gnumeric-latin1.txt", options: manifest.Options{Sheet: sheet.Options{Encoding: "iso-8859-15"}}},
	} {
		t.Run(form.file, func(t *testing.T) {
			data, err := os.ReadFile(filepath.Join("testdata", "forms", form.file))
			require.NoError(t, err)
			read, err := manifest.Read("m.csv", bytes.NewReader(data), form.options)
			if form.message != "" {
				require.EqualError(t, err, form.message)
				return
			}
			require.NoError(t, err)
			require.Equal(t, max(form.first, 2), read.Drafts[0].Row)
			for i := range read.Drafts {
				read.Drafts[i].Row = 0
			}
			require.Equal(t, formDrafts(), read.Drafts)
			require.Equal(t, form.hints, read.Hints)
		})
	}
}

// A clone named 3-12 becomes a date unless the cell is text.
func TestNameMadeADate(t *testing.T) {
	const header = `<worksheet><sheetData><row><c t="str"><v>variety</v></c><c t="str"><v>stock</v></c><c t="str"><v>grafts</v></c></row>`
	data := bookOf(t, header, "", 0, `<row><c t="d"><v>2026-03-12</v></c><c><v>2612</v></c><c><v>40</v></c></row></sheetData></worksheet>`)
	_, err := manifest.Read("m.xlsx", bytes.NewReader(data), manifest.Options{Date: graftDay})
	require.EqualError(t, err, `m.xlsx row 2, variety: found "2026-03-12", expected a name: the spreadsheet turned it into a date, so format the cell as text and retype it`)
}
