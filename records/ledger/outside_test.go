package ledger_test

import (
	"os/exec"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records"
	"graftslip/testdata/outside"
)

// SQLite as Python has it, which is not the one this program is built with,
// finds the file sound and reads what was issued.
func TestAnotherSQLiteReadsTheLedger(t *testing.T) {
	python := outside.Python(t, "sqlite3")
	l := openNew(t)
	issue(t, l, draft(func(d *records.Draft) { d.Variety, d.Stem = "Ólafur's Αυγή", 7.9375 }), draft(nil))
	const script = `
import sqlite3, sys
ledger = sqlite3.connect(sys.argv[1])
print(ledger.execute("PRAGMA integrity_check").fetchall())
print(ledger.execute("SELECT date, number, variety, grafts, stem FROM batches ORDER BY number").fetchall())
`
	output, err := exec.Command(python, "-c", script, l.Path()).CombinedOutput()
	require.NoError(t, err, string(output))
	require.Equal(t, `[('ok',)]
[('2026-11-25', 1, "Ólafur's Αυγή", 40, 7.9375), ('2026-11-25', 2, 'Ada Lantern', 40, 0.0)]
`, string(output))
}
