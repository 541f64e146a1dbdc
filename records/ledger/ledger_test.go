package ledger_test

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/layouts"
	"graftslip/records"
	"graftslip/records/ledger"
)

var (
	graftDay  = time.Date(2026, time.November, 25, 0, 0, 0, 0, time.UTC)
	issueTime = time.Date(2026, time.November, 24, 17, 30, 0, 0, time.FixedZone("UTC+2", 2*60*60))
)

func clock() time.Time { return issueTime }

// openNew opens a ledger in a folder of its own, closed when the test ends.
func openNew(t testing.TB) *ledger.Ledger {
	t.Helper()
	return openAt(t, filepath.Join(t.TempDir(), "ledger.db"))
}

func openAt(t testing.TB, path string) *ledger.Ledger {
	t.Helper()
	l, err := ledger.Open(context.Background(), path, ledger.WithClock(clock))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, l.Close()) })
	return l
}

// issue issues drafts that cannot fail. Rows that look like a batch become new ones anyway.
func issue(t testing.TB, l *ledger.Ledger, drafts ...records.Draft) []records.Issued {
	t.Helper()
	issued, err := l.Issue(context.Background(), drafts, nil, ledger.AsNew(records.Range(0, 99)))
	require.NoError(t, err)
	require.Len(t, issued, len(drafts))
	return issued
}

// kept is the batch of an outcome as the ledger has it: of no row.
func kept(issued records.Issued) records.Batch {
	issued.Row = 0
	return issued.Batch
}

// draft is a row about one pair, changed as a test needs it.
func draft(change func(*records.Draft)) records.Draft {
	d := records.Draft{Row: 2, Date: graftDay, Variety: "Ada Lantern", Stock: "Fen Hedge", Grafts: 40, Source: "Bed 2"}
	if change != nil {
		change(&d)
	}
	return d
}

// dump returns all that the tables of a ledger hold.
func dump(t testing.TB, path string) string {
	t.Helper()
	db, err := sql.Open("sqlite", "file:"+path+"?mode=ro")
	require.NoError(t, err)
	defer db.Close()
	rows, err := db.Query("SELECT * FROM batches ORDER BY date, number")
	require.NoError(t, err)
	defer rows.Close()
	columns, err := rows.Columns()
	require.NoError(t, err)
	var b strings.Builder
	for rows.Next() {
		values := make([]any, len(columns))
		for i := range values {
			values[i] = new(any)
		}
		require.NoError(t, rows.Scan(values...))
		for i, value := range values {
			fmt.Fprintf(&b, "%s=%v|", columns[i], *value.(*any))
		}
		b.WriteByte('\n')
	}
	require.NoError(t, rows.Err())
	return b.String()
}

func hint(err error) string {
	var advice interface{ Hint() string }
	if errors.As(err, &advice) {
		return advice.Hint()
	}
	return ""
}

func TestIssueAndFind(t *testing.T) {
	l := openNew(t)
	wanted := draft(func(d *records.Draft) {
		d.TraySize, d.Stem, d.Grafter, d.Wrap, d.Note = 25, 7.9375, "MK", layouts.Loop, `with "eyes"`
	})
	issued := issue(t, l, wanted, draft(func(d *records.Draft) { d.Row, d.Variety = 3, "Αυγή × Заря" }))

	code, err := codes.New(graftDay, 1)
	require.NoError(t, err)
	require.Equal(t, records.Issued{Batch: records.Batch{Code: code, Draft: wanted}, State: records.New}, issued[0])
	require.Equal(t, 2, issued[1].Code.Batch())
	require.Equal(t, 3, issued[1].Row)

	stem, err := code.Stem(40)
	require.NoError(t, err)
	tray, err := code.Tray(2)
	require.NoError(t, err)
	for _, asked := range []codes.Code{code, stem, tray} {
		record, err := l.Find(context.Background(), asked)
		require.NoError(t, err)
		require.Equal(t, records.Record{Batch: kept(issued[0]), Code: asked}, record)
	}
	require.Contains(t, dump(t, l.Path()), "issued_at=2026-11-24T15:30:00Z|", "the time of issue in UTC")
}

func TestFindWhatWasNotIssued(t *testing.T) {
	l := openNew(t)
	code := issue(t, l, draft(func(d *records.Draft) { d.TraySize = 25 }))[0].Code
	single := issue(t, l, draft(func(d *records.Draft) { d.Variety, d.Grafts = "Bo", 1 }))[0].Code
	other, err := codes.New(graftDay, 3)
	require.NoError(t, err)
	otherStem, err := other.Stem(1)
	require.NoError(t, err)
	stem, err := code.Stem(41)
	require.NoError(t, err)
	tray, err := code.Tray(3)
	require.NoError(t, err)
	second, err := single.Stem(2)
	require.NoError(t, err)
	for _, row := range []struct {
		reason  string
		code    codes.Code
		message string
	}{
		{"no such batch", other, other.String() + ": batch 3 of 2026-11-25 is not in the ledger"},
		{"a stem of no such batch", otherStem, otherStem.String() + ": batch 3 of 2026-11-25 is not in the ledger"},
		{"one stem beyond", stem, stem.String() + ": there is no stem 41; the batch has 40 stems"},
		{"one tray beyond", tray, tray.String() + ": there is no tray 3; the batch has 2 trays"},
		{"a batch of one", second, second.String() + ": there is no stem 2; the batch has 1 stem"},
	} {
		t.Run(row.reason, func(t *testing.T) {
			_, err := l.Find(context.Background(), row.code)
			require.ErrorIs(t, err, ledger.ErrNotIssued)
			require.EqualError(t, err, row.message)
			require.Equal(t, "if it was printed with another ledger than "+l.Path()+", name that one with --ledger FILE", hint(err))
		})
	}
	_, err = l.Find(context.Background(), codes.Code{})
	require.ErrorIs(t, err, ledger.ErrNotIssued, "the zero code was never issued")
}

func TestBatchesAreNumberedByDay(t *testing.T) {
	l := openNew(t)
	name := func(name string, days int) records.Draft {
		return draft(func(d *records.Draft) { d.Variety, d.Date = name, graftDay.AddDate(0, 0, days) })
	}
	issued := issue(t, l, name("A", 0), name("B", 1), name("C", 0), name("D", 1), name("E", -30))
	numbers := make([]int, len(issued))
	for i := range issued {
		numbers[i] = issued[i].Code.Batch()
		require.Equal(t, issued[i].Date, issued[i].Code.Date())
	}
	require.Equal(t, []int{1, 1, 2, 2, 1}, numbers)
	require.Equal(t, 3, issue(t, l, name("F", 1))[0].Code.Batch())
}

func TestTheClockTimeOfADateDoesNotCount(t *testing.T) {
	l := openNew(t)
	evening := draft(func(d *records.Draft) {
		d.Date = time.Date(2026, time.November, 25, 23, 0, 0, 0, time.FixedZone("UTC-10", -10*60*60))
	})
	first := issue(t, l, evening)[0]
	require.Equal(t, graftDay, first.Date)
	require.Equal(t, records.Known, issue(t, l, draft(nil))[0].State)
}

func TestBeforeSeesTheOutcomeAndCanUndoIt(t *testing.T) {
	l := openNew(t)
	issue(t, l, draft(nil))
	was := dump(t, l.Path())
	failed := errors.New("the paper is out")
	more := []records.Draft{draft(func(d *records.Draft) { d.Grafts = 60 }), draft(func(d *records.Draft) { d.Variety = "Bo" })}
	var seen []records.Issued
	issued, err := l.Issue(context.Background(), more, func(_ *ledger.Change, issued []records.Issued) error {
		seen = issued
		_, err := l.Find(context.Background(), issued[1].Code)
		require.ErrorIs(t, err, ledger.ErrNotIssued, "nobody else sees it yet")
		return failed
	})
	require.Same(t, failed, err)
	require.Nil(t, issued)
	require.Equal(t, []records.State{records.Extended, records.New}, []records.State{seen[0].State, seen[1].State})
	require.Equal(t, was, dump(t, l.Path()))

	require.Panics(t, func() {
		_, _ = l.Issue(context.Background(), more, func(*ledger.Change, []records.Issued) error { panic("printer on fire") })
	})
	require.Equal(t, was, dump(t, l.Path()))

	issued, err = l.Issue(context.Background(), more, func(*ledger.Change, []records.Issued) error { return nil })
	require.NoError(t, err)
	require.Equal(t, seen, issued)
}

func TestCancelledWhilePrinting(t *testing.T) {
	l := openNew(t)
	ctx, cancel := context.WithCancel(context.Background())
	_, err := l.Issue(ctx, []records.Draft{draft(nil)}, func(*ledger.Change, []records.Issued) error { cancel(); return nil })
	require.ErrorIs(t, err, context.Canceled)
	require.Empty(t, dump(t, l.Path()))
	_, err = l.Issue(ctx, []records.Draft{draft(nil)}, nil)
	require.ErrorIs(t, err, context.Canceled)
	_, err = ledger.Open(ctx, filepath.Join(t.TempDir(), "l.db"))
	require.ErrorIs(t, err, context.Canceled)
	require.Equal(t, records.New, issue(t, l, draft(nil))[0].State, "still of use")
}

func TestNothingToIssue(t *testing.T) {
	l := openNew(t)
	called := false
	issued, err := l.Issue(context.Background(), nil, func(_ *ledger.Change, issued []records.Issued) error { called = true; return nil })
	require.NoError(t, err)
	require.Empty(t, issued)
	require.True(t, called)
}

// The trigger of the schema, not only this package, keeps a code's meaning.
func TestTheFileItselfRefusesToChangeACode(t *testing.T) {
	l := openNew(t)
	issue(t, l, draft(nil))
	was := dump(t, l.Path())
	db, err := sql.Open("sqlite", "file:"+l.Path())
	require.NoError(t, err)
	defer db.Close()
	for _, statement := range []string{
		"DELETE FROM batches", "UPDATE batches SET variety = 'Bo'", "UPDATE batches SET stock = 'Bo'", "UPDATE batches SET source = 'Bo'",
		"UPDATE batches SET date = '2026-11-26'", "UPDATE batches SET number = 2", "UPDATE batches SET grafts = 39", "UPDATE batches SET tray_size = 5",
		"UPDATE batches SET grafts = 9000", "INSERT INTO batches SELECT date, 1000, variety, stock, source, grafts, tray_size, stem, wrap, grafter, note, issued_at FROM batches",
	} {
		_, err := db.Exec(statement)
		require.Error(t, err, statement)
	}
	require.Equal(t, was, dump(t, l.Path()))
	_, err = db.Exec("UPDATE batches SET grafts = 41, note = 'x'")
	require.NoError(t, err, "what may change can be changed")
}
