package ledger_test

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/ledger"
)

// change makes a change that cannot fail.
func change(t testing.TB, l *ledger.Ledger, do func(*ledger.Change) error) {
	t.Helper()
	require.NoError(t, l.Change(context.Background(), do))
}

func TestSheetsAreRemembered(t *testing.T) {
	l := openNew(t)
	ctx := context.Background()
	change(t, l, func(c *ledger.Change) error {
		_, known, err := c.Sheet(ctx, "wet")
		require.False(t, known)
		require.NoError(t, err)
		return c.Remember(ctx, records.Sheet{Name: "wet", Stock: "letter-2x10", Free: records.Numbers{3, 5, 6, 7}})
	})
	change(t, l, func(c *ledger.Change) error {
		sheet, known, err := c.Sheet(ctx, "WET") // typed in a hurry
		require.True(t, known)
		require.Equal(t, records.Sheet{Name: "wet", Stock: "letter-2x10", Free: records.Numbers{3, 5, 6, 7}, Used: 1}, sheet)
		if err != nil {
			return err
		}
		return c.Remember(ctx, records.Sheet{Name: "wet", Stock: "letter-2x10"})
	})
	// What was remembered in a change that failed is not.
	undone := errors.New("undone")
	require.Equal(t, undone, l.Change(ctx, func(c *ledger.Change) error {
		require.NoError(t, c.Remember(ctx, records.Sheet{Name: "other", Stock: "a4-5x13", Free: records.Numbers{1}}))
		return undone
	}))
	sheets, err := l.Sheets(ctx)
	require.NoError(t, err)
	require.Equal(t, []records.Sheet{{Name: "wet", Stock: "letter-2x10", Used: 2}}, sheets)
}

func TestReprintsAreWrittenDown(t *testing.T) {
	l := openNew(t)
	ctx := context.Background()
	batch := issue(t, l, draft(nil))[0].Code
	stem, err := batch.Stem(18)
	require.NoError(t, err)
	other, err := batch.Stem(24)
	require.NoError(t, err)
	tray, err := batch.Tray(1)
	require.NoError(t, err)
	stems := records.Reprint{At: issueTime.UTC(), Batch: batch, Kind: codes.Stem, Units: records.Numbers{17, 18, 40}, Count: 3}
	again := records.Reprint{At: issueTime.UTC(), Batch: batch, Kind: codes.Stem, Units: records.Numbers{18}, Count: 1}
	spares := records.Reprint{At: issueTime.UTC(), Batch: batch, Kind: codes.Batch, Count: 5}
	change(t, l, func(c *ledger.Change) error { return c.Reprinted(ctx, []records.Reprint{stems, spares, again}) })
	for _, row := range []struct {
		name string
		code codes.Code
		want []records.Reprint
	}{
		{"a stem that was printed twice more", stem, []records.Reprint{stems, again}},
		{"a stem between those that were", other, nil},
		{"a card, although stems were", tray, nil},
		{"the batch stands for its spare labels", batch, []records.Reprint{spares}},
	} {
		t.Run(row.name, func(t *testing.T) {
			reprints, err := l.Reprints(ctx, row.code)
			require.NoError(t, err)
			require.Equal(t, row.want, reprints)
		})
	}
	// What was printed cannot be taken back, nor can a batch that is not there
	// have been printed.
	for _, statement := range []string{"DELETE FROM reprints", "UPDATE reprints SET slips = 1"} {
		db, err := sql.Open("sqlite", "file:"+l.Path())
		require.NoError(t, err)
		_, err = db.Exec(statement)
		require.ErrorContains(t, err, "cannot be", statement)
		require.NoError(t, db.Close())
	}
	missing, err := codes.New(graftDay, 9)
	require.NoError(t, err)
	require.Error(t, l.Change(ctx, func(c *ledger.Change) error {
		return c.Reprinted(ctx, []records.Reprint{{Batch: missing, Kind: codes.Stem, Units: records.Numbers{1}, Count: 1}})
	}))
}

func TestSearch(t *testing.T) {
	l := openNew(t)
	ctx := context.Background()
	later := graftDay.AddDate(0, 0, 3)
	issued := issue(t, l,
		draft(nil),
		draft(func(d *records.Draft) { d.Stock = "Weir Elm" }),
		draft(func(d *records.Draft) { d.Date = later }),
		draft(func(d *records.Draft) { d.Variety, d.Date = "Bo’s Lantern", later }),
	)
	for _, row := range []struct {
		name   string
		wanted ledger.Wanted
		want   []int
	}{
		{"a variety on all days", ledger.Wanted{Variety: "ada lantern"}, []int{0, 1, 2}},
		{"a variety on one stock", ledger.Wanted{Variety: "Ada  Lantern", Stock: "weir elm"}, []int{1}},
		{"a variety of a day", ledger.Wanted{Variety: "ADA LANTERN", Date: later}, []int{2}},
		{"everything of a day", ledger.Wanted{Date: later}, []int{2, 3}},
		{"a straight apostrophe for a curly one", ledger.Wanted{Variety: "Bo's Lantern"}, []int{3}},
		{"a part of a name is another name", ledger.Wanted{Variety: "Ada"}, nil},
		{"a day without batches", ledger.Wanted{Date: graftDay.AddDate(0, 0, 1)}, nil},
	} {
		t.Run(row.name, func(t *testing.T) {
			batches, err := l.Search(ctx, row.wanted)
			require.NoError(t, err)
			var want []records.Batch
			for _, i := range row.want {
				want = append(want, kept(issued[i]))
			}
			require.Equal(t, want, batches)
		})
	}
}

func TestKnownKeepsOrderAndLeavesOutWhatWasNotIssued(t *testing.T) {
	l := openNew(t)
	issued := issue(t, l, draft(func(d *records.Draft) { d.TraySize = 15 }), draft(func(d *records.Draft) { d.Variety = "Bo" }))
	unit := func(i int, of func(codes.Code) (codes.Code, error)) codes.Code {
		code, err := of(issued[i].Code)
		require.NoError(t, err)
		return code
	}
	stem := func(n int) func(codes.Code) (codes.Code, error) {
		return func(c codes.Code) (codes.Code, error) { return c.Stem(n) }
	}
	tray := func(n int) func(codes.Code) (codes.Code, error) {
		return func(c codes.Code) (codes.Code, error) { return c.Tray(n) }
	}
	missing, err := codes.New(graftDay, 3)
	require.NoError(t, err)
	found, err := l.Known(context.Background(), []codes.Code{
		unit(1, stem(40)), unit(0, tray(4)), missing, unit(0, tray(3)), {}, unit(0, stem(41)), issued[0].Code, unit(1, tray(2)),
	})
	require.NoError(t, err)
	var got []codes.Code
	for _, record := range found {
		got = append(got, record.Code)
		one, err := l.Find(context.Background(), record.Code)
		require.NoError(t, err)
		require.Equal(t, one, record)
	}
	require.Equal(t, []codes.Code{unit(1, stem(40)), unit(0, tray(3)), issued[0].Code}, got)
	none, err := l.Known(context.Background(), nil)
	require.NoError(t, err)
	require.Empty(t, none)
}

// restore brings batches back into a ledger.
func restore(l *ledger.Ledger, until time.Time, batches ...records.Batch) ([]records.Issued, error) {
	var outcomes []records.Issued
	err := l.Change(context.Background(), func(c *ledger.Change) (err error) {
		outcomes, err = c.Restore(context.Background(), batches, until)
		return err
	})
	return outcomes, err
}

func TestRestore(t *testing.T) {
	ctx := context.Background()
	lost := openNew(t)
	issued := issue(t, lost,
		draft(func(d *records.Draft) { d.TraySize, d.Note, d.Grafter, d.Stem = 15, "two eyes", "MK", 7 }),
		draft(func(d *records.Draft) { d.Variety = "Bo" }),
		draft(func(d *records.Draft) { d.Variety, d.Date = "Cy", graftDay.AddDate(0, 0, -2) }))
	fresh := openNew(t)
	until, err := fresh.Until(ctx)
	require.NoError(t, err)
	require.Zero(t, until)

	outcomes, err := restore(fresh, graftDay.AddDate(0, 0, -1), issued[0].Batch, issued[2].Batch)
	require.NoError(t, err)
	require.Equal(t, []records.State{records.New, records.New}, []records.State{outcomes[0].State, outcomes[1].State})
	record, err := fresh.Find(ctx, issued[0].Code)
	require.NoError(t, err)
	require.Equal(t, kept(issued[0]), record.Batch)
	until, err = fresh.Until(ctx)
	require.NoError(t, err)
	require.Equal(t, graftDay, until)

	// What is there stays; a card that is newer extends.
	grown := issued[0].Batch
	grown.Grafts = 44
	outcomes, err = restore(fresh, time.Time{}, issued[0].Batch, grown, issued[1].Batch)
	require.NoError(t, err)
	require.Equal(t, []records.State{records.Known, records.Extended, records.New}, []records.State{outcomes[0].State, outcomes[1].State, outcomes[2].State})
	record, err = fresh.Find(ctx, issued[0].Code)
	require.NoError(t, err)
	require.Equal(t, 44, record.Batch.Grafts)

	// What was brought back is known; more stems of it may be on labels already.
	again := issue(t, fresh, draft(func(d *records.Draft) { d.TraySize, d.Grafts = 15, 46 }))
	require.Equal(t, records.Extended, again[0].State)
	require.Contains(t, again[0].Notes, "stems 45–46 may already be on labels from the lost ledger: check before you use them")

	// Who thinks of later labels says so by bringing the cards back once more.
	_, err = restore(fresh, graftDay.AddDate(0, 0, 5), issued[1].Batch)
	require.NoError(t, err)
	until, err = fresh.Until(ctx)
	require.NoError(t, err)
	require.Equal(t, graftDay.AddDate(0, 0, 5), until)
	_, err = restore(fresh, graftDay.AddDate(0, 0, 2), issued[1].Batch)
	require.NoError(t, err)
	until, err = fresh.Until(ctx)
	require.NoError(t, err)
	require.Equal(t, graftDay.AddDate(0, 0, 5), until, "what is closed stays closed")

	// Another batch under the same code is refused, and nothing of the call saved.
	other := issued[0].Batch
	other.Variety = "Eft"
	later, err := codes.New(graftDay.AddDate(0, 0, 9), 1)
	require.NoError(t, err)
	_, err = restore(fresh, time.Time{}, records.Batch{Code: later, Draft: issued[1].Draft}, other)
	require.EqualError(t, err, "26329-001-0000-98: the ledger has ‘Ada Lantern’ / ‘Fen Hedge’, 46 grafts, trays of 15, source Bed 2, but what was read has ‘Eft’ / ‘Fen Hedge’, 40 grafts, trays of 15, source Bed 2")
	_, err = fresh.Find(ctx, later)
	require.ErrorIs(t, err, ledger.ErrNotIssued)

	// So is one that cannot be, beside it.
	none := issued[1].Batch
	none.Grafts = 0
	_, err = restore(fresh, time.Time{}, none, other)
	require.ErrorContains(t, err, "26329-002-0000-")
	require.ErrorContains(t, err, ": 0 grafts is not from 1 to 8999\n26329-001-0000-98: the ledger has ")
	var advice *records.Problem
	require.ErrorAs(t, err, &advice)
	require.Equal(t, "leave out the cards of that batch", advice.Hint())
}

// TestRestoredDaysAreClosed: codes of which no card is left must not be given
// again, so days that the lost ledger may have known get no new batches.
func TestRestoredDaysAreClosed(t *testing.T) {
	day := func(n int) time.Time { return graftDay.AddDate(0, 0, n) }
	for _, row := range []struct {
		reason  string
		until   time.Time
		grafted int // days from graftDay to that of the card
		held    int // grafts of the card's batch that the ledger has already
		closed  int // the last day without new batches
	}{
		{"the grower says until when labels were printed", day(1), -9, 0, 1},
		{"by the calendar of the grower", time.Date(2026, 11, 26, 0, 30, 0, 0, time.FixedZone("east", 13*60*60)), -9, 0, 1},
		{"a card of labels printed ahead closes the days before it", day(1), 5, 0, 5},
		{"a card that extends shows that the ledger is an old copy", day(1), 0, 30, 1},
		{"a card that is known says nothing of others", day(1), 0, 40, 1},
	} {
		t.Run(row.reason, func(t *testing.T) {
			l, err := ledger.Open(context.Background(), filepath.Join(t.TempDir(), "l.db"))
			require.NoError(t, err)
			defer l.Close()
			card := draft(func(d *records.Draft) { d.Date = day(row.grafted) })
			if row.held > 0 {
				held := card
				held.Grafts = row.held
				issue(t, l, held)
			}
			code, err := codes.New(card.Date, 1)
			require.NoError(t, err)
			_, err = restore(l, row.until, records.Batch{Code: code, Draft: card})
			require.NoError(t, err)
			for n := -3; n <= 8; n++ {
				_, err := l.Issue(context.Background(), []records.Draft{draft(func(d *records.Draft) { d.Variety, d.Date = "Dee", day(n) })}, nil, ledger.AsNew(records.Range(2, 2)))
				if n > row.closed {
					require.NoError(t, err, "day %d", n)
					continue
				}
				require.EqualError(t, err, fmt.Sprintf(`row 2, "Dee": batches were brought back from tray cards, and labels with other codes of %s may exist`, day(n).Format(time.DateOnly)), "day %d", n)
				require.Contains(t, hint(err), "give new batches a date after "+day(row.closed).Format(time.DateOnly))
			}
		})
	}
}

// TestLedgerOfTheFirstVersion brings a ledger up to date that only the first
// migration has made.
func TestLedgerOfTheFirstVersion(t *testing.T) {
	path := filepath.Join(t.TempDir(), "l.db")
	makeFirstVersion(t, path)
	l, err := ledger.OpenExisting(context.Background(), path)
	require.NoError(t, err)
	defer l.Close()
	require.Equal(t, records.Known, issue(t, l, draft(nil))[0].State)
	sheets, err := l.Sheets(context.Background())
	require.NoError(t, err)
	require.Empty(t, sheets)
}

// makeFirstVersion makes a ledger with one batch as the first version of the
// program did.
func makeFirstVersion(t testing.TB, path string) {
	t.Helper()
	first, err := os.ReadFile("migrations/0001_batches.sql")
	require.NoError(t, err)
	db, err := sql.Open("sqlite", "file:"+path+"?_pragma=journal_mode(WAL)")
	require.NoError(t, err)
	for _, statement := range []string{string(first), "PRAGMA user_version = 1",
		`INSERT INTO batches VALUES ('2026-11-25', 1, 'Ada Lantern', 'Fen Hedge', 'Bed 2', 40, 0, 0, '', '', '', '2026-11-24T15:30:00Z')`} {
		_, err = db.Exec(statement)
		require.NoError(t, err)
	}
	require.NoError(t, db.Close())
}

// BenchmarkKnown holds the candidates of a repair against a ledger of many
// batches: 1,000 codes of 1,000 days.
func BenchmarkKnown(b *testing.B) {
	l := openNew(b)
	issue(b, l, tenThousand()...)
	var of []codes.Code
	for day := range 1000 {
		code, err := codes.New(graftDay.AddDate(0, 0, day-500), 1+day%999)
		require.NoError(b, err)
		of = append(of, code)
	}
	for b.Loop() {
		if _, err := l.Known(context.Background(), of); err != nil {
			b.Fatal(err)
		}
	}
}
