package records_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
)

// longHistory has many entries about stems of two trays, a count of each tray
// before them, and growth from the first day.
func longHistory(t testing.TB, entries int) records.History {
	b := records.Batch{Draft: records.Draft{Grafts: 4000, TraySize: 2000}}
	code, err := codes.New(day(2026, time.November, 25), 4)
	require.NoError(t, err)
	b.Code, b.Date = code, code.Date()
	all := []records.Entry{{Number: 1, Unit: trayOf(t, b, 1), Of: 2000, At: b.Date, Counts: growing(1500)}}
	for n := 1; n < entries; n++ {
		all = append(all, records.Entry{Number: n + 1, Unit: stemOf(t, b, n), Of: 1, At: b.Date.Add(24*time.Hour + time.Duration(n)*time.Minute), Counts: alive(1)})
	}
	return records.NewHistory(b, all)
}

// Work with a long history takes no longer than a person waits.
func BenchmarkLongHistory(b *testing.B) {
	for _, entries := range []int{100, 2000} {
		c := longHistory(b, entries)
		last := c.Batch.Date.AddDate(0, 0, 40)
		b.Run(fmt.Sprintf("taken/%d", entries), func(b *testing.B) {
			for b.Loop() {
				if _, err := c.With(records.Entry{Unit: trayOf(b, c.Batch, 1), At: last, Counts: growing(9)}); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(fmt.Sprintf("refused/%d", entries), func(b *testing.B) {
			for b.Loop() {
				if _, err := c.With(records.Entry{Unit: trayOf(b, c.Batch, 1), At: c.Batch.Date, Counts: alive(0)}); err == nil {
					b.Fatal("taken")
				}
			}
		})
		b.Run(fmt.Sprintf("due/%d", entries), func(b *testing.B) {
			for b.Loop() {
				if len(c.Due(records.UsualDays(), last)) != 2 {
					b.Fatal("due")
				}
			}
		})
	}
}

// BenchmarkStemByStem is a batch of which each stem of each tray was entered.
func BenchmarkStemByStem(b *testing.B) {
	batch := records.Batch{Draft: records.Draft{Grafts: 4000, TraySize: 20}}
	code, err := codes.New(day(2026, time.November, 25), 4)
	require.NoError(b, err)
	batch.Code, batch.Date = code, code.Date()
	var all []records.Entry
	for n := 1; n <= batch.Grafts; n++ {
		all = append(all, records.Entry{Number: n, Unit: stemOf(b, batch, n), Of: 1, At: batch.Date.Add(24*time.Hour + time.Duration(n)*time.Minute), Counts: growing(1)})
	}
	c := records.NewHistory(batch, all)
	for b.Loop() {
		if len(c.Due(records.UsualDays(), batch.Date.AddDate(0, 0, 40))) != 200 {
			b.Fatal("due")
		}
	}
}
