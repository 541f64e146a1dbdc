package main

import (
	"bytes"
	"context"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Control characters of files, their names and settings never reach the terminal.
func TestControlCharacters(t *testing.T) {
	folder := t.TempDir()
	t.Chdir(folder)
	for name, content := range map[string]string{
		"good.csv":       "variety,stock,grafts\nAda,Fen,1\n",
		"bad\x1b[2J.csv": "variety,stock,grafts,note\nAda,Fen,1,a\x1b[2Jb\n",
		"key.toml":       `printers."a\u001b[2Jb" = 1`,
		"quoted.toml":    `"a\u001b[2Jb\u202e" = 1`,
		"printer.toml":   `printers."a\u001b[2Jb".dpi = 600`,
	} {
		require.NoError(t, os.WriteFile(name, []byte(content), 0o600))
	}
	for _, test := range []struct {
		reason, settings string
		args             []string
		status           int
		stdout, stderr   string
	}{
		{"the name of a missing file", "", []string{"print", "b\x1b[2J\u202e.csv"}, 1, "", `error: cannot read the manifest: b\u001b[2J\u202e.csv: no such file or directory
hint: name a spreadsheet with the columns date, variety, stock, grafts
`},
		{"a file's name and a note in it", "", []string{"print", "bad\x1b[2J.csv"}, 1, "", `error: bad\u001b[2J.csv row 2, note: found "a\x1b[2Jb", expected text without control characters (U+001B)
hint: correct these and print again; no code was issued and no file was written
`},
		{"a key of the settings", "key.toml", []string{"settings"}, 1, "", `error: settings key.toml: printers.a\u001b[2Jb must be a table: [printers.a\u001b[2Jb]
hint: give each printer a table of its own, such as [printers.office]
`},
		{"a key between quotation marks", "quoted.toml", []string{"settings"}, 1, "", `error: settings quoted.toml: there is no setting "a\x1b[2Jb\u202e"
hint: settings are nursery, stems, trays, label-wrap, stem, clearance, spare, symbol, card-symbol, link, date-form, dates, encoding, font, dpi, printer, shift, scale, ledger, cautions, by, bed-spaces, tray-size, and tables such as [days], [columns], [names] and [printers.office]
`},
		{"a key in a hint", "printer.toml", []string{"print", "good.csv", "--printer", "b"}, 1, "", `error: there is no printer "b" in the settings
hint: printers in the settings: a\u001b[2Jb
`},
		{"names of written files and of the ledger", "", []string{"print", "good.csv", "--out", "o\x1b[2J"}, 0, `rows: 1 (new 1, known 0, extended 0, kept 0)
stem labels: 1, sheets of letter-2x10: 1, positions left: 19 (2-20), o\u001b[2J/good-stems.pdf
tray cards: 1, sheets of letter-2x2: 1, positions left: 3 (2-4), o\u001b[2J/good-trays.pdf
ledger: FOLDER/l\u001b[2J.db
`, `hint: this ledger is new; only the ledger keeps a code from being given twice, so use one for the whole nursery and back it up
`},
	} {
		t.Run(test.reason, func(t *testing.T) {
			t.Setenv("GRAFTSLIP_SETTINGS", test.settings)
			t.Setenv("GRAFTSLIP_LEDGER", "l\x1b[2J.db")
			t.Setenv("GRAFTSLIP_CAUTIONS", "false")
			var stdout, stderr bytes.Buffer
			clock := func() time.Time { return time.Date(2026, 11, 25, 12, 0, 0, 0, time.Local) }
			status := program{now: clock}.run(context.Background(), test.args, nil, &stdout, &stderr)
			require.Equal(t, test.stderr, stderr.String())
			require.Equal(t, test.stdout, strings.ReplaceAll(stdout.String(), folder, "FOLDER"))
			require.Equal(t, test.status, status)
		})
	}
}
