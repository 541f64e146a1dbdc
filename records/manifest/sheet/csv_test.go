package sheet_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"graftslip/records/manifest/sheet"
)

func TestText(t *testing.T) {
	const (
		assumed = "the file is not UTF-8, so it was read as windows-1252, with words such as %s; if that looks wrong, give its --encoding, such as windows-1250 or macintosh"
		save    = "expected a workbook (.xlsx) or a CSV file: open it in a spreadsheet program and save it as .xlsx"
		lost    = `!a cell that begins with a quotation mark (") and does not end with one`
	)
	hint := func(word string) []string { return []string{strings.Replace(assumed, "%s", `"`+word+`"`, 1)} }
	encode := func(name, text string) string {
		encoded, err := map[string]interface{ String(string) (string, error) }{
			"1252": charmap.Windows1252.NewEncoder(), "1250": charmap.Windows1250.NewEncoder(), "mac": charmap.Macintosh.NewEncoder(), "850": charmap.CodePage850.NewEncoder(),
			"16le": unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM).NewEncoder(), "16be": unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM).NewEncoder(),
		}[name].String(text)
		require.NoError(t, err)
		return encoded
	}
	for _, row := range []struct {
		reason, text string
		options      sheet.Options
		want         reading
	}{
		{reason: "nothing"},
		{"commas", "a,b\nc,d\n", sheet.Options{}, reading{rows: []string{"1: a|b", "2: c|d"}}},
		{"semicolons, with commas in numbers", "a;b;c\nd;7,5;8,5\n", sheet.Options{}, reading{rows: []string{"1: a|b|c", "2: d|7,5|8,5"}}},
		{"semicolons, with a comma in the header and many in a note", "a;b;c, d\n1;2;e, f, g, h\n", sheet.Options{}, reading{rows: []string{"1: a|b|c, d", "2: 1|2|e, f, g, h"}}},
		{"tabs, with an empty cell", "a\tb\tc\n\t\t7,5\n", sheet.Options{}, reading{rows: []string{"1: a|b|c", "2: ||7,5"}}},
		{"a title with the other separator", "Grafts, winter, 2026\n\na;b;c\nd;e;f\n", sheet.Options{}, reading{rows: []string{"1: Grafts, winter, 2026", "3: a|b|c", "4: d|e|f"}}},
		{"separators inside quotation marks do not count", "\"a,,,,\";b;c\n", sheet.Options{}, reading{rows: []string{"1: a,,,,|b|c"}}},
		{"a named separator, no row of the sheet", "sep=;\na,b;c\n", sheet.Options{}, reading{rows: []string{"1: a,b|c"}}},
		{"a named separator of another kind, in capitals", "SEP=|\r\na|b,c\r\n", sheet.Options{}, reading{rows: []string{"1: a|b,c"}}},
		{"a name that only begins like it", "sep=,b\n", sheet.Options{}, reading{rows: []string{"1: sep=|b"}}},

		{"CRLF, CR and LF in one file", "a,b\r\nc,d\re,f\n\r\ng,h", sheet.Options{}, reading{rows: []string{"1: a|b", "2: c|d", "3: e|f", "5: g|h"}}},
		{"empty lines and line breaks in cells count as they do on the screen", "\n\na,\"b\n\nc\"\n,,\n\nd,e\n", sheet.Options{}, reading{rows: []string{"3: a|b\n\nc", "4: ||", "6: d|e"}}},
		{"a mark inside a cell", "a,4\" pots,b\nc,d,e\n", sheet.Options{}, reading{rows: []string{"1: a|!4\" pots|b", "2: c|d|e"}}},
		{"more columns than are read", strings.Repeat(",", sheet.MaxColumns) + "\n", sheet.Options{}, reading{fault: "found more than 256 columns in row 1, expected at most that many"}},
		{"as many columns as are read", strings.Repeat("a,", sheet.MaxColumns-1) + "a\n", sheet.Options{}, reading{rows: []string{"1: " + strings.Repeat("a|", sheet.MaxColumns-1) + "a"}}},
		{"more columns after a mark inside a cell", "a\"," + strings.Repeat(",", sheet.MaxColumns) + "\n", sheet.Options{}, reading{fault: "found more than 256 columns in row 1, expected at most that many"}},
		{"a mark that is not closed", "a,b\nc,\"d\ne,f\n", sheet.Options{}, reading{rows: []string{"1: a|b", "2: c|" + lost}}},

		{"UTF-8", "é,b\n", sheet.Options{}, reading{rows: []string{"1: é|b"}}},
		{"UTF-8 with a mark, whatever the option", "\xef\xbb\xbfé,b\n", sheet.Options{Encoding: "macintosh"}, reading{rows: []string{"1: é|b"}}},
		{"UTF-8, whatever the option", "é,b\n", sheet.Options{Encoding: "macintosh"}, reading{rows: []string{"1: é|b"}}},
		{"UTF-8 with a damaged byte, which is left for its cell", "é,ü\x80\n", sheet.Options{}, reading{rows: []string{"1: é|ü\x80"}}},
		{"UTF-16, little end first", "\xff\xfe" + encode("16le", "é,b\r\nc,Ω\r\n"), sheet.Options{}, reading{rows: []string{"1: é|b", "2: c|Ω"}}},
		{"UTF-16, big end first", "\xfe\xff" + encode("16be", "é;b\n"), sheet.Options{}, reading{rows: []string{"1: é|b"}}},
		{"UTF-16 without a mark", encode("16le", "a,b\n"), sheet.Options{}, reading{fault: "found zero bytes, as in a binary file, " + save + "; or give --encoding utf-16le if it is text in UTF-16"}},
		{"UTF-16 without a mark, named", encode("16le", "a,b\n"), sheet.Options{Encoding: "utf-16le"}, reading{rows: []string{"1: a|b"}}},
		{"windows-1252", encode("1252", "name – x\nÉté,“b”\n"), sheet.Options{}, reading{rows: []string{"1: name – x", "2: Été|“b”"}, hints: hint("Été")}},
		{"windows-1252 without an accent", encode("1252", "7 €,b\n"), sheet.Options{}, reading{rows: []string{"1: 7 €|b"}, hints: hint("€")}},
		{"windows-1252, named", encode("1252", "é,b\n"), sheet.Options{Encoding: "Latin1"}, reading{rows: []string{"1: é|b"}}},
		{"windows-1250, named", encode("1250", "Růže,b\n"), sheet.Options{Encoding: "windows-1250"}, reading{rows: []string{"1: Růže|b"}}},
		{"an old Macintosh, named", encode("mac", "Été,b\rc,d\r"), sheet.Options{Encoding: "macintosh"}, reading{rows: []string{"1: Été|b", "2: c|d"}}},
		{"an MS-DOS program, named", encode("850", "Märzgrün,b\n"), sheet.Options{Encoding: "cp850"}, reading{rows: []string{"1: Märzgrün|b"}}},
		{"an unknown encoding", "a", sheet.Options{Encoding: "klingon"}, reading{fault: `found text that cannot be read as klingon, expected another --encoding: "klingon" is not a known encoding; give a name such as windows-1250, macintosh or IBM850`}},
		{"zero bytes", "a,\x00b\n", sheet.Options{}, reading{fault: "found zero bytes, as in a binary file, " + save + "; or give --encoding utf-16le if it is text in UTF-16"}},
		{"a tab of a CSV file", "a", sheet.Options{Tab: "x"}, reading{fault: "found a CSV file, which has no tabs, expected no --tab, or a workbook (.xlsx)"}},
		{"a PDF file by another name", "%PDF-1.7\n\xe2\xe3\n1 0 obj\n", sheet.Options{}, reading{fault: "found a PDF file, expected a workbook (.xlsx) or a CSV file: save the spreadsheet that it was made from"}},
		{"an old workbook", "\xd0\xcf\x11\xe0\xa1\xb1", sheet.Options{}, reading{fault: "found an old workbook (such as .xls), " + save}},
		{"a workbook with a password", "\xd0\xcf\x11\xe0\xa1\xb1" + encode("16le", "EncryptedPackage"), sheet.Options{},
			reading{fault: "found a workbook with a password, expected one without: open it, take the password off and save it"}},
	} {
		t.Run(row.reason, func(t *testing.T) {
			require.Equal(t, row.want, readAll(t, []byte(row.text), row.options))
		})
	}
}
