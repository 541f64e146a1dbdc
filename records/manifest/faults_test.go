package manifest_test

import (
	"errors"
	"io"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/records"
	"graftslip/records/manifest"
	"graftslip/records/manifest/sheet"
)

// faultsOf reads a text and returns the rows it gave and its messages.
func faultsOf(t *testing.T, text string, options manifest.Options) (manifest.Manifest, []string) {
	t.Helper()
	read, err := manifest.Read("t.csv", strings.NewReader(text), options)
	if err == nil {
		return read, nil
	}
	var faults manifest.Errors
	require.True(t, errors.As(err, &faults), "%v", err)
	var messages []string
	for _, fault := range faults.Unwrap() {
		messages = append(messages, fault.Error())
	}
	require.Equal(t, strings.Join(messages, "\n"), err.Error())
	return read, messages
}

// A cell of one column is faulty, the rest of the row is not.
func TestCellFaults(t *testing.T) {
	const (
		number = "a whole number from 1 to 8999"
		date   = "a date such as 2026-11-25, 25.11.2026 or 25 Nov 2026"
	)
	long := strings.Repeat("é", 61)
	for _, row := range []struct {
		reason, column, cell string
		found, expected      string
	}{
		{"two separators", "date", "25-11/2026", `"25-11/2026"`, date},
		{"a time of day that none is", "date", "2026-11-25 24:00", `"2026-11-25 24:00"`, date},
		{"a time in another zone, where the day may be another", "date", "2026-11-25T23:00Z", `"2026-11-25T23:00Z"`, date},
		{"a month that does not exist", "date", "25 Nix 2026", `"25 Nix 2026"`, date},
		{"a month of two letters", "date", "25 Ju 2026", `"25 Ju 2026"`, date},
		{"a year in three digits", "date", "25.11.026", `"25.11.026"`, date},
		{"no year", "date", "25.11.", `"25.11."`, date},
		{"a spreadsheet's day number", "date", "46351", `"46351"`, date},
		{"digits of another script", "date", "２０２６-11-25", `"２０２６-11-25"`, date},
		{"empty without a default", "date", "", "nothing", date},
		{"a day of ours or a spreadsheet's", "date", "26329", `"26329"`, date},
		{"day 31 of November, day first", "date", "31.11.2026", `"31.11.2026"`, "a date that exists"},
		{"month 25 with dots", "date", "11.25.2026", `"11.25.2026"`, "a date that exists"},
		{"31 November", "date", "2026-11-31", `"2026-11-31"`, "a date that exists"},
		{"29 February of a common year", "date", "2027-02-29", `"2027-02-29"`, "a date that exists"},
		{"month 13", "date", "2026-13-01", `"2026-13-01"`, "a date that exists"},
		{"the year before the first", "date", "1999-12-31", `"1999-12-31"`, "a date from 2000-01-01 to 2099-12-31"},
		{"the year after the last", "date", "2100-01-01", `"2100-01-01"`, "a date from 2000-01-01 to 2099-12-31"},
		{"year 0", "date", "0000-01-01", `"0000-01-01"`, "a date from 2000-01-01 to 2099-12-31"},

		{"nothing", "variety", "", "nothing", "a name"},
		{"white space alone", "variety", " \u00a0\u3000", "nothing", "a name"},
		{"quotation marks around nothing", "variety", "‘ ’", `"‘ ’"`, "a name"},
		{"marks within marks around nothing", "stock", "“‘’”", `"“‘’”"`, "a name"},
		{"one character too long", "variety", long, `"` + strings.Repeat("é", 39) + `…"`, "at most 60 characters (it has 61)"},
		{"an escape", "variety", "Ada\x1b[1m", `"Ada\x1b[1m"`, "text without control characters (U+001B)"},
		{"delete", "stock", "Fen\x7f", `"Fen\x7f"`, "text without control characters (U+007F)"},
		{"a C1 control", "stock", "Fen\u009b", `"Fen\u009b"`, "text without control characters (U+009B)"},
		{"zero-width joiner", "variety", "A\u200dda", `"A\u200dda"`, "text without invisible characters (U+200D)"},
		{"soft hyphen", "variety", "A\u00adda", `"A\u00adda"`, "text without invisible characters (U+00AD)"},
		{"byte order mark inside", "variety", "A\ufeffda", `"A\ufeffda"`, "text without invisible characters (U+FEFF)"},
		{"grapheme joiner", "variety", "A\u034fda", "\"A\u034fda\"", "text without invisible characters (U+034F)"},
		{"variation selector", "variety", "A\ufe0fda", "\"A\ufe0fda\"", "text without invisible characters (U+FE0F)"},
		{"right-to-left mark", "stock", "Fen\u200f", `"Fen\u200f"`, "text without characters that change the direction of writing (U+200F)"},
		{"isolate", "stock", "\u2067Fen\u2069", `"\u2067Fen\u2069"`, "text without characters that change the direction of writing (U+2067)"},
		{"an emoji", "stock", "Fen 🌱", `"Fen 🌱"`, "text without characters above U+FFFF, which cannot be printed (U+1F331)"},
		{"mathematical letter", "stock", "𝐅en", `"𝐅en"`, "text without characters above U+FFFF, which cannot be printed (U+1D405)"},
		{"replacement character", "variety", "R\ufffdve", "\"R\ufffdve\"", "text without lost characters; one was lost when the file was saved, so retype it (U+FFFD)"},

		{"nothing", "grafts", "", "nothing", number},
		{"a word", "grafts", "forty", `"forty"`, number},
		{"a sign", "grafts", "+40", `"+40"`, number},
		{"less than none", "grafts", "-40", `"-40"`, number},
		{"half a graft", "grafts", "40.5", `"40.5"`, number},
		{"a thousand and a half", "grafts", "\"1.000,5\"", `"1.000,5"`, number},
		{"a group of two", "grafts", "1 00", `"1 00"`, number},
		{"a group too long", "grafts", "1 0000", `"1 0000"`, number},
		{"one or a thousand", "grafts", "1.000", `"1.000"`, `a number without separators: the file does not show whether "." marks thousands or decimals`},
		{"an exponent", "grafts", "4e1", `"4e1"`, number},
		{"a leading zero", "grafts", "040", `"040"`, number},
		{"hexadecimal", "grafts", "0x28", `"0x28"`, number},
		{"a digit separator of programs", "grafts", "4_0", `"4_0"`, number},
		{"zero", "grafts", "0", `"0"`, number},
		{"one too many", "grafts", "9000", `"9000"`, number},
		{"more than an int holds", "grafts", "99999999999999999999", `"99999999999999999999"`, number},
		{"digits of another script", "grafts", "٤٠", `"٤٠"`, number},
		{"a unit", "grafts", "40 pcs", `"40 pcs"`, number},

		{"zero", "tray", "0", `"0"`, number},
		{"one too many", "tray", "9000", `"9000"`, number},
		{"a grid", "tray", "5x10", `"5x10"`, number},

		{"no unit", "stem", "8", `"8"`, "a diameter with its unit, such as 8mm or 5/16in"},
		{"an unknown unit", "stem", "8 pt", `"8 pt"`, "a diameter with its unit, such as 8mm or 5/16in"},
		{"a word", "stem", "pencil", `"pencil"`, "a diameter with its unit, such as 8mm or 5/16in"},
		{"less than nothing", "stem", "-8mm", `"-8mm"`, "a diameter with its unit, such as 8mm or 5/16in"},
		{"too thin", "stem", "0.9mm", `"0.9mm"`, "a diameter from 1 mm to 60 mm"},
		{"zero", "stem", "0mm", `"0mm"`, "a diameter from 1 mm to 60 mm"},
		{"too thick", "stem", "6.1cm", `"6.1cm"`, "a diameter from 1 mm to 60 mm"},

		{"no such wrap", "wrap", "spiral", `"spiral"`, "flag, loop, band or flat"},
		{"two wraps", "wrap", "flag band", `"flag band"`, "flag, loop, band or flat"},

		{"too long", "source", strings.Repeat("s", 121), `"` + strings.Repeat("s", 39) + `…"`, "at most 120 characters (it has 121)"},
		{"too long", "grafter", strings.Repeat("s", 121), `"` + strings.Repeat("s", 39) + `…"`, "at most 120 characters (it has 121)"},
		{"too long", "note", strings.Repeat("s", 500), `"` + strings.Repeat("s", 39) + `…"`, "at most 120 characters (it has 500)"},
		{"bell", "note", "ring\x07", `"ring\a"`, "text without control characters (U+0007)"},
		{"an emoji", "grafter", "🙂", `"🙂"`, "text without characters above U+FFFF, which cannot be printed (U+1F642)"},
	} {
		t.Run(row.column+" "+row.reason, func(t *testing.T) {
			columns := []string{"date", "variety", "stock", "grafts", "source", "tray", "stem", "grafter", "wrap", "note"}
			cells := []string{"2026-11-25", "Ada Lantern", "Fen Hedge", "40", "", "", "", "", "", ""}
			for i, column := range columns {
				if column == row.column {
					cells[i] = row.cell
				}
			}
			text := strings.Join(columns, ",") + "\n" + strings.Join(cells, ",") + "\n2026-11-25,Bo,Fen,1\n"
			read, messages := faultsOf(t, text, manifest.Options{})
			require.Equal(t, []string{"t.csv row 2, " + row.column + ": found " + row.found + ", expected " + row.expected}, messages)
			require.Len(t, read.Drafts, 1, "the next row is good")
			require.Equal(t, 3, read.Drafts[0].Row)
		})
	}
}

// The whole file, or its shape, is faulty.
func TestFileFaults(t *testing.T) {
	const (
		header = "date,variety,stock,grafts\n"
		good   = "2026-11-25,Ada,Fen,40\n"
		empty  = "t.csv: found an empty file, expected a header with the columns date, variety, stock and grafts, and a row for each batch"
		quoted = `found a cell that begins with a quotation mark (") and does not end with one, expected a mark at both ends of the cell and each mark inside doubled; the rows below were not read`
		mark   = `, expected quotation marks round a cell that contains one ("), and the inner one doubled`
	)
	for _, row := range []struct {
		reason, text string
		drafts       int
		messages     []string
	}{
		{"nothing", "", 0, []string{empty}},
		{"a byte order mark and nothing", "\xef\xbb\xbf", 0, []string{empty}},
		{"empty lines", "\n\r\n,,,\n  \n", 0, []string{empty}},
		{"a header alone", header, 0, []string{"t.csv: found a header and no rows, expected a row for each batch"}},
		{"a header and empty rows", header + ",,,\n\n ,\u00a0, ,\n", 0, []string{"t.csv: found a header and no rows, expected a row for each batch"}},
		{"zero bytes", header + "2026-11-25,A\x00da,Fen,40\n", 0, []string{"t.csv: found zero bytes, as in a binary file, expected a workbook (.xlsx) or a CSV file: open it in a spreadsheet program and save it as .xlsx; or give --encoding utf-16le if it is text in UTF-16"}},
		{"too large", header + strings.Repeat(" ", sheet.MaxBytes), 0, []string{"t.csv: found more than 16 MiB, expected a file of at most 16 MiB"}},
		{"one row too many", header + strings.Repeat(good, manifest.MaxRows+1), 0,
			[]string{"t.csv row 100002: found more than 100,000 rows, expected at most 100,000 rows in a file"}},

		{"two columns are missing", "Variety,sort,stock\nAda,x,Fen\n", 0, []string{
			`t.csv row 1: found only the columns "Variety", "sort", "stock", expected "date" and "grafts" too`}},
		{"a delimiter that is none", "date|variety\n", 0, []string{
			`t.csv row 1: found only the column "date|variety" (commas, semicolons or tabs separate columns), expected "date", "variety", "stock" and "grafts" too`}},
		{"many columns, one missing", "date,variety,stock,a,b,c,d,e,f,g,h,i,j,k\n", 0, []string{
			`t.csv row 1: found only the columns "date", "variety", "stock", "a", "b", "c", "d", "e", "f", "g", "h", "i", …, expected "grafts" too`}},
		{"a column is missing below a title", "Session 1\n\nvariety,stock,grafts\nAda,Fen,40\n", 0, []string{
			`t.csv row 3: found only the columns "variety", "stock", "grafts", expected "date" too`}},
		{"a column twice", "date,variety,stock,grafts, GRAFTS\n" + good, 0, []string{
			`t.csv row 1, column E: found "GRAFTS" beside "grafts" in column D, expected one column for grafts`}},
		{"a column in two languages", "date,variety,stock,grafts,Sorte\n" + good, 0, []string{
			`t.csv row 1, column E: found "Sorte" beside "variety" in column B, expected one column for variety`}},
		{"bytes that are not UTF-8 in a file that is", "\xef\xbb\xbf" + header + "2026-11-25,R\xeave,Fen,40\n2026-11-25,Ada,R\xc3,40\n2026-11-25,\xed\xa0\x80,Fen,40\n", 0, []string{
			`t.csv rows 2, 4, variety: found "R\xeave" and "\xed\xa0\x80", expected text in UTF-8: save the spreadsheet as "CSV UTF-8"`,
			`t.csv row 3, stock: found "R\xc3", expected text in UTF-8: save the spreadsheet as "CSV UTF-8"`}},
		{"a header in Latin-1, though the file is UTF-8", "\xef\xbb\xbfdate,variety,stock,grafts,\xe9tage\n" + good, 0, []string{
			`t.csv row 1, column E: found "\xe9tage", expected text in UTF-8: save the spreadsheet as "CSV UTF-8"`}},
		{"a mark inside a header", "date,variety,stock,grafts,4\" pots\n" + good, 0, []string{`t.csv row 1, column E: found "4\" pots"` + mark}},
		{"an open mark in the header", "date,variety,\"stock,grafts\n" + good, 0, []string{"t.csv row 1, column C: " + quoted}},

		{"an open mark to the end of the file", header + good + "2026-11-25,\"Bo,Fen,40\n" + good, 1, []string{"t.csv row 3, variety: " + quoted}},
		{"an open mark that meets another", header + good + "2026-11-25,\"Bo,Fen,40\n2026-11-25,\"Cy\",Fen,40\n", 1, []string{"t.csv row 3, variety: " + quoted}},
		{"text after the closing mark", header + good + "2026-11-25,\"Bo\"x,Fen,40\n" + good, 1, []string{"t.csv row 3, variety: " + quoted}},
		{"an open mark beyond the header", header + "2026-11-25,Ada,Fen,40,\"x\n", 0, []string{"t.csv row 2, column E: " + quoted}},
		{"a mark inside a cell, and other faults in the row", header + "x,Ada \"Bo\" Cy,,40\n" + good, 1, []string{
			`t.csv row 2, date: found "x", expected a date such as 2026-11-25, 25.11.2026 or 25 Nov 2026`,
			`t.csv row 2, variety: found "Ada \"Bo\" Cy"` + mark,
			`t.csv row 2, stock: found nothing, expected a name`}},
		{"a mark inside a cell beyond the header", header + "2026-11-25,Ada,Fen,40,4\" pots\n", 0, []string{
			`t.csv row 2, column E: found "4\" pots", expected nothing after the last column of the header`}},
		{"more cells than columns", header + "2026-11-25,Ada,Fen,40,,x,y\n", 0, []string{
			`t.csv row 2, column F: found "x", expected nothing after the last column of the header`}},
		{"fewer cells than columns", header + "2026-11-25,Ada\n", 0, []string{
			"t.csv row 2, stock: found nothing, expected a name",
			"t.csv row 2, grafts: found nothing, expected a whole number from 1 to 8999"}},
		{"too many trays", "date,variety,stock,grafts,tray\n2026-11-25,Ada,Fen,1999,2\n2026-11-25,Ada,Fen,1998,2\n", 1, []string{
			`t.csv row 2, tray: found "2", expected at least 3 for 1999 grafts: a batch has at most 999 trays`}},
		{"every cell of a row, in the order of the columns", "grafts,stock,variety,date\n0,,,x\n", 0, []string{
			`t.csv row 2, grafts: found "0", expected a whole number from 1 to 8999`,
			`t.csv row 2, stock: found nothing, expected a name`,
			`t.csv row 2, variety: found nothing, expected a name`,
			`t.csv row 2, date: found "x", expected a date such as 2026-11-25, 25.11.2026 or 25 Nov 2026`}},
		{"empty lines and quoted line breaks are counted as a spreadsheet counts them",
			"\n" + header + "\n\r\n2026-11-25,\"Ada\nBo\r\nCy\",Fen,x\n,,,\n\n" + good + "2026-11-25,Ada,Fen,y", 1, []string{
				`t.csv rows 5, 9, grafts: found "x" and "y", expected a whole number from 1 to 8999`}},
	} {
		t.Run(row.reason, func(t *testing.T) {
			read, messages := faultsOf(t, row.text, manifest.Options{})
			require.Equal(t, row.messages, messages)
			require.Len(t, read.Drafts, row.drafts)
		})
	}
}

func TestDefaultDateOutOfRange(t *testing.T) {
	options := manifest.Options{Date: time.Date(2100, time.January, 1, 0, 0, 0, 0, time.UTC)}
	_, messages := faultsOf(t, "variety,stock,grafts\nAda,Fen,40\n", options)
	require.Equal(t, []string{"t.csv, date: found the date 2100-01-01 for rows without one, expected a date from 2000-01-01 to 2099-12-31"}, messages)
}

func TestFaultsCanBeTakenApart(t *testing.T) {
	_, err := manifest.Read("t.csv", strings.NewReader("date,variety,stock,grafts\nx,Ada,Fen,y\n"), manifest.Options{})
	var first *manifest.CellError
	require.True(t, errors.As(err, &first), "through Unwrap")
	require.Equal(t, manifest.CellError{File: "t.csv", Row: 2, Column: "date", Found: `"x"`,
		Expected: "a date such as 2026-11-25, 25.11.2026 or 25 Nov 2026"}, *first)
}

func TestReaderFails(t *testing.T) {
	read, err := manifest.Read("t.csv", io.MultiReader(strings.NewReader("date,variety"), iotest.ErrReader(io.ErrUnexpectedEOF)), manifest.Options{})
	require.ErrorIs(t, err, io.ErrUnexpectedEOF)
	require.EqualError(t, err, "reading t.csv: unexpected EOF")
	require.Equal(t, []records.Draft(nil), read.Drafts)
}
