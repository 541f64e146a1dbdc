package scan_test

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"image/jpeg"
	"maps"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/sync/errgroup"

	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/testdata/long"
)

// The photographs that `go run ./testdata/photos/corpus` makes: a folder for
// each kind, with a truth.json.
const (
	photographs = "testdata/photographs"
	leastReads  = photographs + "/least.txt"
)

var update = flag.Bool("update", false, "rewrite the least reads of the photographs")

// photograph is a file and what stands on it.
type photograph struct {
	kind   string
	file   string
	data   []byte
	Symbol string // "" without a code
	Codes  []standing
}

// standing is a symbol on a photograph. Lengths are pixels; corners go clockwise
// from the symbol's own upper left.
type standing struct {
	Text    string
	Corners [4][2]float64
	Module  float64
}

// allPhotographs reads the corpus, in the order of the names of its folders.
func allPhotographs(t testing.TB) []photograph {
	t.Helper()
	truths, err := filepath.Glob(photographs + "/*/truth.json")
	require.NoError(t, err)
	require.NotEmpty(t, truths, "go run ./testdata/photos/corpus writes them")
	var all []photograph
	for _, path := range truths {
		said, err := os.ReadFile(path)
		require.NoError(t, err)
		var folder []struct {
			File string
			photograph
		}
		require.NoError(t, json.Unmarshal(said, &folder), path)
		for _, p := range folder {
			p.kind, p.file = filepath.Base(filepath.Dir(path)), p.File
			p.data, err = os.ReadFile(filepath.Join(filepath.Dir(path), p.File))
			require.NoError(t, err)
			all = append(all, p.photograph)
		}
	}
	return all
}

func (p photograph) String() string { return p.kind + "/" + p.file }

// code is the symbol with a text.
func (p photograph) code(text string) (standing, bool) {
	i := slices.IndexFunc(p.Codes, func(s standing) bool { return s.Text == text })
	if i < 0 {
		return standing{}, false
	}
	return p.Codes[i], true
}

// isCode is what slipread asks of a text.
func isCode(text string) bool {
	_, err := codes.FromSymbol(text)
	return err == nil
}

// TestPhotographs reads every photograph of the corpus. least.txt says how many
// symbols must be read at least, for each kind and symbol; reading more is
// reported, and written there with -update. A text that does not stand on the
// photograph, and corners that are not those of the symbol, are a failure
// whatever the table says. The short form passes over those that take longest, since
// the reader looks at all there is: those of which nothing must be read, and, but for
// one, those without a code.
func TestPhotographs(t *testing.T) {
	if testing.Short() {
		t.Skip("reads all photographs")
	}
	t.Parallel()
	all := allPhotographs(t)
	if !long.Form() && !*update {
		all = quicker(t, all)
	}
	read := make([]map[string]bool, len(all)) // texts
	var faults []string
	var mutex sync.Mutex
	work, ctx := errgroup.WithContext(context.Background())
	work.SetLimit(runtime.GOMAXPROCS(0))
	for i, p := range all {
		work.Go(func() error {
			picture, err := jpeg.Decode(bytes.NewReader(p.data))
			if err != nil {
				return fmt.Errorf("%s: %w", p, err)
			}
			reading, err := scan.Photograph(ctx, picture, isCode)
			if err != nil {
				return fmt.Errorf("%s: %w", p, err)
			}
			read[i] = map[string]bool{}
			for _, found := range reading.Found {
				read[i][found.Text] = true
				if says := p.fault(found); says != "" {
					mutex.Lock()
					faults = append(faults, fmt.Sprintf("%s: %s", p, says))
					mutex.Unlock()
				}
			}
			return nil
		})
	}
	require.NoError(t, work.Wait())
	require.Empty(t, faults)

	got := reads{}
	for i, p := range all {
		if p.Symbol != "" {
			got.add(p, len(read[i]))
		}
	}
	if *update {
		require.NoError(t, os.WriteFile(leastReads, []byte(got.table()), 0o644))
	}
	least := tableOfReads(t)
	require.Equal(t, slices.Sorted(maps.Keys(got)), slices.Sorted(maps.Keys(least)), "the table and the corpus have the same kinds")
	for _, kind := range slices.Sorted(maps.Keys(got)) {
		for i, symbol := range inTable() {
			require.GreaterOrEqual(t, got[kind][i], least[kind][i], "%s, %s: fewer than the table says", kind, symbol)
			if got[kind][i] > least[kind][i] {
				t.Logf("better than the table: %s, %s: %d", kind, symbol, got[kind][i])
			}
		}
	}
}

// quicker are the photographs of which something must be read, and one without a code.
func quicker(t *testing.T, all []photograph) []photograph {
	least, without := tableOfReads(t), 0
	return slices.DeleteFunc(slices.Clone(all), func(p photograph) bool {
		if p.Symbol == "" {
			without++
			return without > 1
		}
		return least[p.kind][slices.Index(inTable(), p.Symbol)] == 0
	})
}

// fault says what is wrong with what was found on a photograph; "" when nothing
// is.
func (p photograph) fault(found scan.Found) string {
	code, stands := p.code(found.Text)
	switch {
	case !stands:
		return fmt.Sprintf("a wrong text was read: %q", found.Text)
	case found.Symbol != p.Symbol:
		return fmt.Sprintf("%q is a %s, not a %s", found.Text, p.Symbol, found.Symbol)
	}
	for i, corner := range found.Corners {
		if strings.HasPrefix(p.kind, "torn") && p.Symbol == scan.Code128 {
			continue // where the corner of a bar would be is a guess
		}
		if along, up := code.off(i, corner); p.Symbol == scan.Code128 && (along > 2*code.Module || up > 0.4*code.height()) ||
			p.Symbol != scan.Code128 && math.Hypot(along, up) > 1.5*code.Module {
			return fmt.Sprintf("corner %d of %s is off by %.1f modules along and %.1f up", i, found.Text, along/code.Module, up/code.Module)
		}
	}
	return ""
}

// off is how far a point is from a corner of the symbol, along its lower edge
// and across that.
func (s standing) off(corner int, at scan.Point) (along, up float64) {
	x, y := at.X-s.Corners[corner][0], at.Y-s.Corners[corner][1]
	left, right := s.Corners[3], s.Corners[2]
	if corner < 2 {
		left, right = s.Corners[0], s.Corners[1]
	}
	length := math.Hypot(right[0]-left[0], right[1]-left[1])
	wayX, wayY := (right[0]-left[0])/length, (right[1]-left[1])/length
	return math.Abs(x*wayX + y*wayY), math.Abs(x*wayY - y*wayX)
}

// height is the mean of the left and the right edge.
func (s standing) height() float64 {
	edge := func(a, b [2]float64) float64 { return math.Hypot(a[0]-b[0], a[1]-b[1]) }
	return (edge(s.Corners[0], s.Corners[3]) + edge(s.Corners[1], s.Corners[2])) / 2
}

// reads is how many symbols are read of each kind of photograph, in the order of
// inTable.
type reads map[string][3]int

func inTable() []string { return []string{scan.QR, scan.DataMatrix, scan.Code128} }

func (r reads) add(p photograph, count int) {
	row := r[p.kind]
	row[slices.Index(inTable(), p.Symbol)] += count
	r[p.kind] = row
}

// table is a line for each kind, and one above that names the columns.
func (r reads) table() string {
	const row = "%-24s %4v %11v %8v\n"
	var text strings.Builder
	fmt.Fprintf(&text, row, "kind", scan.QR, scan.DataMatrix, scan.Code128)
	for _, kind := range slices.Sorted(maps.Keys(r)) {
		fmt.Fprintf(&text, row, kind, r[kind][0], r[kind][1], r[kind][2])
	}
	return text.String()
}

// tableOfReads is the table as it was last written.
func tableOfReads(t *testing.T) reads {
	t.Helper()
	table, err := os.ReadFile(leastReads)
	require.NoError(t, err, "go test ./codes/scan -run TestPhotographs -update writes it")
	return parseReads(t, string(table))
}

func parseReads(t *testing.T, table string) reads {
	t.Helper()
	r := reads{}
	for line := range strings.Lines(table) {
		if strings.HasPrefix(line, "kind ") {
			continue
		}
		var kind string
		var row [3]int
		_, err := fmt.Sscan(line, &kind, &row[0], &row[1], &row[2])
		require.NoError(t, err, "%q in %s", line, leastReads)
		r[kind] = row
	}
	return r
}

// TestTableOfReads: the table is read as it was written.
func TestTableOfReads(t *testing.T) {
	r := reads{"plain": {1, 0, 1}, "soil-in-the-quiet-zone": {12, 3, 0}}
	require.Equal(t, r, parseReads(t, r.table()))
}

// TestFaultsOfReads: what is wrong with a reading is told, and what is right
// passes.
func TestFaultsOfReads(t *testing.T) {
	square := standing{Text: "27054001000183", Module: 2, Corners: [4][2]float64{{10, 10}, {52, 10}, {52, 52}, {10, 52}}}
	bars := standing{Text: "27054001000183", Module: 2, Corners: [4][2]float64{{10, 10}, {212, 10}, {212, 50}, {10, 50}}}
	for _, test := range []struct {
		reason, symbol string
		stands         standing
		text           string
		x, y           float64 // by which its corners are off
		says           string
	}{
		{"all right", scan.QR, square, square.Text, 2, 2, ""},
		{"a code that is not there", scan.QR, square, "27054001000280", 0, 0, "wrong text"},
		{"more than a module and a half aside", scan.QR, square, square.Text, 2.2, 2.2, "corner 0"},
		{"bars have their height left free", scan.Code128, bars, bars.Text, 3.9, 15.9, ""},
		{"bars more than two modules aside", scan.Code128, bars, bars.Text, 4.1, 0, "2.0 modules along"},
		{"bars of twice the height", scan.Code128, bars, bars.Text, 0, -16.5, "8.2 up"},
	} {
		found := scan.Found{Text: test.text, Symbol: test.symbol}
		for i, c := range test.stands.Corners {
			found.Corners[i] = scan.Point{X: c[0] + test.x, Y: c[1] + test.y}
		}
		p := photograph{Symbol: test.symbol, Codes: []standing{test.stands}}
		says := p.fault(found)
		if test.says == "" {
			require.Empty(t, says, test.reason)
		} else {
			require.Contains(t, says, test.says, test.reason)
		}
		found.Symbol = "runes"
		require.NotEmpty(t, p.fault(found), "a symbol of another kind")
	}
}
