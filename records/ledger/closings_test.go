package ledger_test

import (
	"database/sql"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/records"
	"graftslip/records/ledger"
)

// What is closed stays closed until it is opened; what was opened can be closed again.
func TestClosings(t *testing.T) {
	ctx := t.Context()
	batch := issue(t, openNew(t), draft(nil))[0].Batch
	l := openNew(t)
	day := func(n int) time.Time { return graftDay.AddDate(0, 0, n) }
	for _, row := range []struct {
		reason  string
		close   int
		open    int // 0: it closes
		problem string
		until   int
	}{
		{"closed by the card alone", -3, 0, "", 0},
		{"further", 20, 0, "", 20},
		{"what is closed stays so", 5, 0, "", 20},
		{"a day that is not closed", 0, 21, day(21).Format(time.DateOnly) + " is not closed: the last closed day is " + day(20).Format(time.DateOnly), 20},
		{"the last day alone", 0, 20, "", 19},
		{"more", 0, 10, "", 9},
		{"which holds for all that was closed before", 0, 10, day(10).Format(time.DateOnly) + " is not closed: the last closed day is " + day(9).Format(time.DateOnly), 9},
		{"closed again", 12, 0, "", 12},
		{"no further than that", 11, 0, "", 12},
		{"days before the card", 0, -30, "", -31},
	} {
		var err error
		if row.open != 0 {
			err = l.Reopen(ctx, day(row.open), "MK", "a slip of the pen")
		} else {
			_, err = restore(l, day(row.close), batch)
		}
		if row.problem == "" {
			require.NoError(t, err, row.reason)
		} else {
			require.EqualError(t, err, row.problem, row.reason)
		}
		until, err := l.Until(ctx)
		require.NoError(t, err)
		require.Equal(t, day(row.until), until, row.reason)
	}
	closings, err := l.Closings(ctx)
	require.NoError(t, err)
	var steps []int // closed up to, or minus a thousand opened from
	for _, c := range closings {
		if c.Opened.IsZero() {
			steps = append(steps, records.DaysBetween(graftDay, c.Until))
		} else {
			require.Equal(t, []string{"MK", "a slip of the pen"}, []string{c.By, c.Reason})
			steps = append(steps, records.DaysBetween(graftDay, c.Opened)-1000)
		}
	}
	require.Equal(t, []int{0, 20, 5, 20 - 1000, 10 - 1000, 12, 11, -30 - 1000}, steps)

	require.EqualError(t, l.Reopen(ctx, day(-40), "", ""), "no reason is given")
	fresh := openNew(t)
	require.EqualError(t, fresh.Reopen(ctx, graftDay, "", "none"), graftDay.Format(time.DateOnly)+" is not closed: no day is")
}

// Restore closes days up to a year ahead, and no more.
func TestRestoreFarAhead(t *testing.T) {
	now := graftDay.Add(11 * time.Hour)
	latest := time.Date(2027, time.November, 25, 0, 0, 0, 0, time.UTC)
	require.Equal(t, latest, records.LatestGraft(graftDay))
	for _, row := range []struct {
		reason       string
		until, graft time.Time
		problem      string
	}{
		{"both on the last day", latest, latest, ""},
		{"closed a day more", latest.AddDate(0, 0, 1), graftDay, "2027-11-26 is more than a year ahead"},
		{"a card of a day more", graftDay, latest.AddDate(0, 0, 1), "27330-001-0000-14: its day is more than a year ahead"},
	} {
		source, err := ledger.Open(t.Context(), filepath.Join(t.TempDir(), "lost.db"))
		require.NoError(t, err)
		defer source.Close()
		batch := issue(t, source, draft(func(d *records.Draft) { d.Date = row.graft }))[0].Batch
		l, err := ledger.Open(t.Context(), filepath.Join(t.TempDir(), "l.db"), ledger.WithClock(func() time.Time { return now }))
		require.NoError(t, err)
		defer l.Close()
		_, err = restore(l, row.until, batch)
		closings, failed := l.Closings(t.Context())
		require.NoError(t, failed)
		if row.problem == "" {
			require.NoError(t, err, row.reason)
			require.Len(t, closings, 1)
			continue
		}
		require.EqualError(t, err, row.problem, row.reason)
		require.Empty(t, closings, row.reason)
	}
}

// An older program closed decades; they open like any other days.
func TestReopenOldClosing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "l.db")
	makeSecondVersion(t, path)
	db, err := sql.Open("sqlite", "file:"+path)
	require.NoError(t, err)
	_, err = db.Exec("INSERT INTO restorations (at, until) VALUES ('2026-11-20T10:00:00Z', '2062-11-26')")
	require.NoError(t, err)
	require.NoError(t, db.Close())
	l := openLater(t, path)
	_, err = l.Issue(t.Context(), []records.Draft{draft(func(d *records.Draft) { d.Variety = "Cy" })}, nil)
	require.ErrorContains(t, err, "batches were brought back from tray cards")
	require.NoError(t, l.Reopen(t.Context(), graftDay, "MK", "the year was mistyped"))
	require.Equal(t, records.New, issue(t, l, draft(func(d *records.Draft) { d.Variety = "Cy" }))[0].State)
}
