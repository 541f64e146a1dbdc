package main

import (
	"fmt"
	"io"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/labels"
	"graftslip/layouts"
	"graftslip/records"
)

// TestPartsOf: the files of a pile hold all slips, in order, none twice, on at
// most 500 sheets each.
func TestPartsOf(t *testing.T) {
	for _, row := range []struct {
		reason string
		stock  string
		free   records.Numbers
		slips  int
		names  []string
		ends   []int
	}{
		{"nothing", "letter-2x10", records.Range(1, 20), 0, nil, nil},
		{"one label", "letter-2x10", records.Range(1, 20), 1, []string{"day-stems.pdf"}, []int{1}},
		{"500 whole sheets", "letter-2x10", records.Range(1, 20), 10_000, []string{"day-stems.pdf"}, []int{10_000}},
		{"one label more", "letter-2x10", records.Range(1, 20), 10_001, []string{"day-stems-1.pdf", "day-stems-2.pdf"}, []int{10_000, 10_001}},
		{"500 sheets, of which the first has two places", "letter-2x10", records.Numbers{3, 20}, 9_982, []string{"day-stems.pdf"}, []int{9_982}},
		{"one label more than these", "letter-2x10", records.Numbers{3, 20}, 9_983, []string{"day-stems-1.pdf", "day-stems-2.pdf"}, []int{9_982, 9_983}},
		{"a roll", "strip-25x200", records.Range(1, 1), 1200, []string{"day-stems-1.pdf", "day-stems-2.pdf", "day-stems-3.pdf"}, []int{500, 1000, 1200}},
	} {
		t.Run(row.reason, func(t *testing.T) {
			stock, err := layouts.Lookup(row.stock)
			require.NoError(t, err)
			p := &press{name: "day"}
			p.stemPile.options.Stock, p.stemPile.suffix, p.stemPile.title = stock, "-stems", labels.StemTitle
			p.stemPile.places.Filling = layouts.Filling{Stock: stock, Free: row.free}
			p.stemPile.count = row.slips
			var names []string
			var ends []int
			from := 0
			for i, part := range p.partsOf(&p.stemPile) {
				require.Equal(t, from, part.from)
				filling := layouts.Filling{Stock: stock, Free: part.free}
				require.LessOrEqual(t, filling.Sheets(part.to-part.from), mostSheets)
				require.Equal(t, i == 0, len(part.free) > 0)
				names, ends, from = append(names, part.name), append(ends, part.to), part.to
			}
			require.Equal(t, row.names, names)
			require.Equal(t, row.ends, ends)
		})
	}
	many := &press{name: "day"}
	stock, err := layouts.Lookup("strip-25x200")
	require.NoError(t, err)
	many.stemPile.options.Stock, many.stemPile.suffix, many.stemPile.title = stock, "-stems", labels.StemTitle
	many.stemPile.places.Filling = layouts.Filling{Stock: stock, Free: records.Range(1, 1)}
	many.stemPile.count = 10 * mostSheets
	parts := many.partsOf(&many.stemPile)
	require.Equal(t, "day-stems-01.pdf", parts[0].name, "names sort as the files do")
	require.Equal(t, "Stem labels day 10/10", parts[9].title)
}

// TestContentBetween: any stretch of slips is that of the whole.
func TestContentBetween(t *testing.T) {
	var all content
	var want []string
	for batch, count := range []int{3, 0, 5, 1} {
		all = append(all, run{count, func(n int) (labels.Design, error) {
			if n >= count {
				return labels.Design{}, io.ErrUnexpectedEOF
			}
			return labels.Design{Texts: []labels.Text{{String: fmt.Sprint(batch, n)}}}, nil
		}})
		for n := range count {
			want = append(want, fmt.Sprint(batch, n))
		}
	}
	for from := range len(want) + 1 {
		for to := from; to <= len(want); to++ {
			got := []string{}
			for slip, err := range all.between(from, to) {
				require.NoError(t, err)
				got = append(got, slip.Texts[0].String)
			}
			require.Equal(t, want[from:to], got)
		}
	}
}
