package manifest_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records/manifest"
	"graftslip/testdata/outside"
)

// Python's csv module, which keeps empty lines as rows as a spreadsheet does,
// counts the rows alike and reads the same cells.
func TestAnotherReaderCountsTheRowsAlike(t *testing.T) {
	python := outside.Python(t, "csv")
	text := "\r\n\"date\",variety,stock,\"gra\"\"fts\",grafts\r\n\r\n" +
		"2026-11-25,\"Ada\r\n\r\nLantern, red\",Fen,,1\r\n,,,,\r\n\r\n\r\n2026-11-25,Bo,\"Fen; \"\"x\"\" Hedge\",,2\r\n" +
		"\"\",\"\",\"\",\"\",\"\"\r\n2026-11-25,Cy,Fen,\"\n\",3"
	path := filepath.Join(t.TempDir(), "rows.csv")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	const script = `
import csv, sys
for number, row in enumerate(csv.reader(open(sys.argv[1], newline="", encoding="utf-8"), strict=True), 1):
    if any(cell.strip() for cell in row) and row[0] != "date":
        print(number, " ".join(row[1].split()), row[2], row[4], sep="|")
`
	output, err := exec.Command(python, "-c", script, path).CombinedOutput()
	require.NoError(t, err, string(output))
	read, err := manifest.Read("rows.csv", strings.NewReader(text), manifest.Options{})
	require.NoError(t, err)
	var b strings.Builder
	for _, draft := range read.Drafts {
		fmt.Fprintf(&b, "%d|%s|%s|%d\n", draft.Row, draft.Variety, draft.Stock, draft.Grafts)
	}
	require.Equal(t, string(output), b.String())
	require.Equal(t, 3, strings.Count(b.String(), "\n"))
}
