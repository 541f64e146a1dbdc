package manifest_test

import (
	"archive/zip"
	"bytes"
	"io"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/records/manifest"
)

// bookOf returns a workbook whose one sheet is a text, repeated so often between two
// others. It has one shared text, of 30 KB.
func bookOf(t *testing.T, begin, repeated string, count int, end string) []byte {
	t.Helper()
	const links = `<Relationships><Relationship Id="r" Type="http://x/`
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	put := func(name string, texts ...string) {
		part, err := w.Create(name)
		require.NoError(t, err)
		for _, text := range texts {
			_, err = io.WriteString(part, text)
			require.NoError(t, err)
		}
	}
	put("_rels/.rels", links+`officeDocument" Target="xl/workbook.xml"/></Relationships>`)
	put("xl/_rels/workbook.xml.rels", links+`worksheet" Target="sheet.xml"/><Relationship Id="t" Type="http://x/sharedStrings" Target="texts.xml"/></Relationships>`)
	put("xl/texts.xml", "<sst><si><t>"+strings.Repeat("1  ", 10_000)+"</t></si></sst>")
	put("xl/workbook.xml", `<workbook><sheets><sheet name="S" id="r"/></sheets></workbook>`)
	const atOnce = 1000
	put("xl/sheet.xml", append(append([]string{begin}, slices.Repeat([]string{strings.Repeat(repeated, atOnce)}, count/atOnce)...), end)...)
	require.NoError(t, w.Close())
	return b.Bytes()
}

// A file that is far too large, or hostile, is refused with one message, quickly and
// with little memory. Each is large enough to show costs that grow with its square.
func TestBadFiles(t *testing.T) {
	// Each takes less than 2 s on a quiet machine. What grew with the square of its marks took
	// six minutes.
	const patience = 30 * time.Second
	const (
		header = "date,variety,stock,grafts\n"
		row    = "2026-11-25,A,F,4\n"
		begin  = `<worksheet><sheetData><row><c t="str"><v>date</v></c><c t="str"><v>variety</v></c><c t="str"><v>stock</v></c><c t="str"><v>grafts</v></c></row>`
		end    = "</sheetData></worksheet>"
		cells  = `<row><c t="d"><v>2026-11-25</v></c><c t="str"><v>A</v></c><c t="str"><v>F</v></c><c><v>4</v></c></row>`
		long   = `found more than 256 KiB in row 2, expected a smaller row: close each quotation mark (") that begins a cell`
		large  = "found a workbook that holds too much to read (xl/sheet.xml), expected a smaller one: delete what is not needed, or save the tab as CSV"
		rows   = "found more than 100,000 rows, expected at most 100,000 rows in a file"
	)
	for _, bad := range []struct {
		reason  string
		data    []byte
		message string
	}{
		{"a line of 20 MB", []byte(header + strings.Repeat("a", 20_000_000)), "m: found more than 16 MiB, expected a file of at most 16 MiB"},
		{"a line of 15 MB", []byte(header + strings.Repeat("a", 15_000_000)), "m: " + long},
		{"15 million columns", []byte(header + strings.Repeat(",", 15_000_000)), "m: " + long},
		{"columns with line breaks in them", []byte(header + strings.Repeat("\"\n\",", 3_000_000)), "m: " + long},
		{"a million rows", []byte(header + strings.Repeat(row, 900_000)), "m row 100002: " + rows},
		{"15 million empty rows", []byte(header + strings.Repeat("\n", 15_000_000)), "m: found a header and no rows, expected a row for each batch"},
		{"rows in UTF-16", []byte("\xfe\xff" + strings.Repeat("\x00a\x00\n", 4_000_000)), "m row 1"},
		{"a cell of 160,000 quotation marks", []byte(header + "2026-11-25," + strings.Repeat("\"", 160_000) + ",F,4\n"), "m row 2, variety"},
		{"a cell of 160,000 other marks", []byte(header + "2026-11-25," + strings.Repeat("'", 160_000) + ",F,4\n"), "m row 2, variety"},
		{"marks in every row", []byte(header + strings.Repeat("2026-11-25,"+strings.Repeat("'", 16_000)+",F,4\n", 900)), "m rows 2-901, variety"},
		{"faults in every row", []byte(header + strings.Repeat("x,A,F,4\n", 99_000)), "m rows 2-99001, date"},
		{"a million rows of a workbook", bookOf(t, begin, cells, 150_000, end), "m row 100002: " + rows},
		{"empty rows of a workbook", bookOf(t, begin, "<row/>", 1_000_000, end), "m: found a header and no rows, expected a row for each batch"},
		{"a sheet that unpacks to 40 MB", bookOf(t, begin, strings.Repeat(" ", 1000), 40_000, end), "m: " + large},
		{"an attribute of 30 MB", bookOf(t, `<worksheet a="`, strings.Repeat(" ", 1000), 30_000, `">`), "m: found a damaged workbook"},
		{"a cell of 30 MB", bookOf(t, begin+"<row><c t=\"d\"><v>", strings.Repeat("1", 1000), 30_000, "</v></c><c t=\"str\"><v>A</v></c><c t=\"str\"><v>F</v></c><c><v>4</v></c></row>"+end), "m row 2, date: found a text of 30000000 characters, expected at most 32767 in a cell"},
		{"a million elements in each other", bookOf(t, begin, "<a>", 1_000_000, ""), "m: " + large},
		{"a million elements in each other in a cell", bookOf(t, begin+"<row><c>", "<a>", 1_000_000, ""), "m: " + large},
		{"cells far out", bookOf(t, begin, `<row><c r="XFD1"><v>1</v></c></row>`, 1_000, end), "m: found more than 256 columns in row 2, expected at most that many"},
		{"five million attributes", bookOf(t, begin+"<row", ` a=""`, 5_000_000, "></row>"+end), "m: " + large},
		{"one long text in every row", bookOf(t, begin, strings.Replace(cells, `t="d"><v>2026-11-25`, `t="s"><v>0`, 1), 90_000, end), "m: " + large},
		{"a million empty cells", bookOf(t, begin, "<row>"+strings.Repeat("<c/>", 20)+"</row>", 60_000, end), "m: " + large},
	} {
		t.Run(bad.reason, func(t *testing.T) {
			before, start := allocated(), time.Now()
			read, err := manifest.Read("m", bytes.NewReader(bad.data), manifest.Options{})
			took := time.Since(start)
			require.ErrorContains(t, err, bad.message)
			require.NotContains(t, err.Error(), "\n", "one message")
			require.Empty(t, read.Drafts)
			t.Logf("%v, %d MB", took.Round(time.Millisecond), (allocated()-before)>>20)
			require.Less(t, took, patience)
			require.Less(t, allocated()-before, uint64(500<<20), "bytes, of which not half are held at once")
		})
	}
}

// allocated is the bytes allocated so far.
func allocated() uint64 {
	var memory runtime.MemStats
	runtime.ReadMemStats(&memory)
	return memory.TotalAlloc
}
