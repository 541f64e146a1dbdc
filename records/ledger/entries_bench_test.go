package ledger_test

import (
	"context"
	"database/sql"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/records"
	"graftslip/records/ledger"
)

// seed writes entries past the ledger, in one transaction: on each batch of a
// day as many, of its trays in turn, one count in four, the rest notes.
func seed(t testing.TB, path string, batches []records.Batch, each int) {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+path)
	require.NoError(t, err)
	defer db.Close()
	tx, err := db.Begin()
	require.NoError(t, err)
	insert, err := tx.Prepare(`INSERT INTO observations (key, at, entered_at, seen_by, date, batch, unit, stems, alive, growing, out_of_mist, flushed, unwrapped, sold, planted, culled, unused, note)
		VALUES (?, ?, ?, '', ?, ?, ?, 20, ?, ?, 0, 0, 0, 0, 0, 0, 0, 'x')`)
	require.NoError(t, err)
	for i, batch := range batches {
		for n := range each {
			at := batch.Date.Add(time.Duration(24+n) * time.Hour / 4).Format(time.RFC3339)
			alive, growing := sql.NullInt64{}, sql.NullInt64{}
			if n%4 == 0 {
				alive = sql.NullInt64{Int64: int64(20 - 5*n/each), Valid: true}
				growing = sql.NullInt64{Int64: int64(12 * n / each), Valid: true}
			}
			_, err := insert.Exec(fmt.Sprintf("seed-%d-%d", i, n), at, at, batch.Date.Format(time.DateOnly), batch.Code.Batch(), 9001+n/4%2, alive, growing)
			require.NoError(t, err)
		}
	}
	require.NoError(t, tx.Commit())
}

// muchLater is a clock after all that seed writes.
func muchLater() time.Time { return time.Date(2028, time.March, 1, 12, 0, 0, 0, time.UTC) }

func openMuchLater(t testing.TB) *ledger.Ledger {
	t.Helper()
	l, err := ledger.Open(context.Background(), filepath.Join(t.TempDir(), "ledger.db"), ledger.WithClock(muchLater))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, l.Close()) })
	return l
}

// BenchmarkLog enters one entry into a batch that has some.
func BenchmarkLog(b *testing.B) {
	for _, entries := range []int{0, 100, 2000} {
		b.Run(fmt.Sprint(entries), func(b *testing.B) {
			l := openMuchLater(b)
			drafts := make([]records.Draft, 999)
			for i := range drafts { // a batch for each time, up to as many
				drafts[i] = draft(func(d *records.Draft) { d.Variety, d.TraySize = fmt.Sprint(i), 20 })
			}
			if entries == 2000 {
				drafts = drafts[:20]
			}
			var batches []records.Batch
			for _, issued := range issue(b, l, drafts...) {
				batches = append(batches, issued.Batch)
			}
			seed(b, l.Path(), batches, entries)
			n := 0
			for b.Loop() {
				n++
				o := records.Entry{Key: fmt.Sprint(n), Unit: tray(b, batches[n%len(batches)].Code, 1), Counts: records.Counts{Growing: records.Said(9)}}
				if _, _, err := l.Log(context.Background(), o); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkHistoriesAndDue is what all trays of a nursery wait for: 2,000 batches
// with ten entries each.
func BenchmarkHistoriesAndDue(b *testing.B) {
	l := openMuchLater(b)
	drafts := make([]records.Draft, 2000)
	for i := range drafts {
		drafts[i] = draft(func(d *records.Draft) {
			d.Variety, d.TraySize, d.Date = fmt.Sprint(i), 20, graftDay.AddDate(0, 0, i%100)
		})
	}
	var batches []records.Batch
	for _, issued := range issue(b, l, drafts...) {
		batches = append(batches, issued.Batch)
	}
	seed(b, l.Path(), batches, 10)
	today := graftDay.AddDate(0, 0, 120)
	for b.Loop() {
		histories, err := l.Histories(context.Background())
		require.NoError(b, err)
		due := 0
		for _, c := range histories {
			due += len(c.Due(records.UsualDays(), today))
		}
		require.Equal(b, 4000, due)
	}
}
