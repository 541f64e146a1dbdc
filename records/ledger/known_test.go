package ledger_test

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/layouts"
	"graftslip/records"
	"graftslip/records/ledger"
)

// One row is issued, then the same row with a change.
func TestSecondPrint(t *testing.T) {
	for _, row := range []struct {
		reason         string
		first, second  func(*records.Draft)
		state          records.State
		grafts, before int
		notes          []string
	}{
		{reason: "the same", state: records.Known, grafts: 40, before: 40},
		{reason: "another row of the spreadsheet", second: func(d *records.Draft) { d.Row = 9 }, state: records.Known, grafts: 40, before: 40},
		{reason: "more grafts", second: func(d *records.Draft) { d.Grafts = 55 }, state: records.Extended, grafts: 55, before: 40},
		{reason: "fewer grafts", second: func(d *records.Draft) { d.Grafts = 30 }, state: records.Kept, grafts: 40, before: 40,
			notes: []string{"the row asks for 30 grafts, but 40 stems have codes and keep them"}},
		{reason: "another date", second: func(d *records.Draft) { d.Date = graftDay.AddDate(0, 0, 1) }, state: records.New, grafts: 40,
			notes: []string{"a new batch, although it looks like batch 26329-001, moved from 2026-11-25 to 2026-11-26"}},
		{reason: "another variety", second: func(d *records.Draft) { d.Variety = "Ada Lanterns" }, state: records.New, grafts: 40,
			notes: []string{`a new batch, although it looks like batch 26329-001, "Ada Lantern", with one of the names mistyped`}},
		{reason: "another stock", second: func(d *records.Draft) { d.Stock = "Fen" }, state: records.New, grafts: 40},
		{reason: "another source", second: func(d *records.Draft) { d.Source = "Bed 3" }, state: records.New, grafts: 40},
		{reason: "no source is another source", second: func(d *records.Draft) { d.Source = "" }, state: records.New, grafts: 40},
		{reason: "spaces that part numbers are no matter of spelling", first: func(d *records.Draft) { d.Source = "Bed 1 12" },
			second: func(d *records.Draft) { d.Source = "Bed 11 2" }, state: records.New, grafts: 40},
		{reason: "variety and stock exchanged", second: func(d *records.Draft) { d.Variety, d.Stock = d.Stock, d.Variety }, state: records.New, grafts: 40},
		{reason: "a part of a name moved to the next field", first: func(d *records.Draft) { d.Stock, d.Source = "Fen Hedge", "" },
			second: func(d *records.Draft) { d.Stock, d.Source = "Fen", "Hedge" }, state: records.New, grafts: 40},
		{reason: "letter case and spaces", second: func(d *records.Draft) { d.Variety, d.Source = "ADA  lantern", "bed 2 " }, state: records.Known, grafts: 40, before: 40,
			notes: []string{`the variety stays as first issued, "Ada Lantern"; the row has "ADA  lantern"`, `the source stays as first issued, "Bed 2"; the row has "bed 2 "`}},
		{reason: "letter case beyond ASCII", first: func(d *records.Draft) { d.Stock = "Straße Ύ" }, second: func(d *records.Draft) { d.Stock = "STRASSE ύ" },
			state: records.Known, grafts: 40, before: 40, notes: []string{`the stock stays as first issued, "Straße Ύ"; the row has "STRASSE ύ"`}},
		{reason: "accents in another normalisation form", first: func(d *records.Draft) { d.Stock = "\u00c9t\u00e9" }, second: func(d *records.Draft) { d.Stock = "E\u0301te\u0301" },
			state: records.Known, grafts: 40, before: 40, notes: []string{"the stock stays as first issued, \"\u00c9t\u00e9\"; the row has \"E\u0301te\u0301\""}},
		{reason: "hybrid sign with a space, curly apostrophe", first: func(d *records.Draft) { d.Variety = "×ambra d'Or" }, second: func(d *records.Draft) { d.Variety = "× ambra d’Or" },
			state: records.Known, grafts: 40, before: 40, notes: []string{`the variety stays as first issued, "×ambra d'Or"; the row has "× ambra d’Or"`}},
		{reason: "no accent is another name", first: func(d *records.Draft) { d.Stock = "Été" }, second: func(d *records.Draft) { d.Stock = "Ete" }, state: records.New, grafts: 40},

		{reason: "another grafter", first: func(d *records.Draft) { d.Grafter = "MK" }, second: func(d *records.Draft) { d.Grafter = "TL" }, state: records.New, grafts: 40},
		{reason: "the same grafter in another case", first: func(d *records.Draft) { d.Grafter = "MK" }, second: func(d *records.Draft) { d.Grafter = "mk" }, state: records.Known, grafts: 40, before: 40},
		{reason: "no grafter any more", first: func(d *records.Draft) { d.Grafter = "MK" }, state: records.Known, grafts: 40, before: 40},
		{reason: "a grafter where there was none", second: func(d *records.Draft) { d.Grafter = "MK" }, state: records.Known, grafts: 40, before: 40, notes: []string{`grafter "MK"`}},

		{reason: "another tray size", first: func(d *records.Draft) { d.TraySize = 25 }, second: func(d *records.Draft) { d.TraySize = 30 }, state: records.Known, grafts: 40, before: 40,
			notes: []string{"trays of 25, as first issued; the row asks for trays of 30"}},
		{reason: "a tray size where all stood in one", second: func(d *records.Draft) { d.TraySize = 30 }, state: records.Known, grafts: 40, before: 40,
			notes: []string{"one tray for the whole batch, as first issued; the row asks for trays of 30"}},
		{reason: "all in one where there were trays", first: func(d *records.Draft) { d.TraySize = 25 }, state: records.Known, grafts: 40, before: 40,
			notes: []string{"trays of 25, as first issued; the row asks for one tray for the whole batch"}},

		{reason: "stem, wrap and note where there were none", second: func(d *records.Draft) { d.Stem, d.Wrap, d.Note = 6.35, layouts.Flag, "soft" }, state: records.Known, grafts: 40, before: 40,
			notes: []string{"stem diameter 6.35 mm", "label wrap flag", `note "soft"`}},
		{reason: "other stem, wrap and note, and more grafts", first: func(d *records.Draft) { d.Stem, d.Wrap, d.Note = 6, layouts.Flag, "soft" },
			second: func(d *records.Draft) { d.Stem, d.Wrap, d.Note, d.Grafts = 7, layouts.Band, "hard", 41 }, state: records.Extended, grafts: 41, before: 40,
			notes: []string{"stem diameter 7 mm, previously 6 mm", "label wrap band, previously flag", `note "hard", previously "soft"`}},
		{reason: "stem, wrap and note not said any more", first: func(d *records.Draft) { d.Stem, d.Wrap, d.Note = 6, layouts.Flag, "soft" }, state: records.Known, grafts: 40, before: 40},
	} {
		t.Run(row.reason, func(t *testing.T) {
			l := openNew(t)
			first := issue(t, l, draft(row.first))[0]
			require.Empty(t, first.Notes)
			asked := draft(row.second)
			second := issue(t, l, asked)[0]
			require.Equal(t, row.state, second.State)
			require.Equal(t, row.grafts, second.Grafts)
			require.Equal(t, row.before, second.Before)
			require.Equal(t, row.notes, second.Notes)
			require.Equal(t, asked.Row, second.Row)
			require.Equal(t, row.state == records.New, first.Code != second.Code)
			record, err := l.Find(context.Background(), second.Code)
			require.NoError(t, err)
			require.Equal(t, kept(second), record.Batch, "what is returned is what the ledger holds")
		})
	}
}

func TestReprintUpdatesTheBatch(t *testing.T) {
	l := openNew(t)
	issue(t, l, draft(func(d *records.Draft) { d.Stem, d.TraySize = 6, 25 }))
	updated := issue(t, l, draft(func(d *records.Draft) {
		d.Stem, d.Wrap, d.Note, d.Grafter, d.TraySize, d.Grafts = 7, layouts.Loop, "soft", "MK", 10, 60
	}))[0]
	want := draft(func(d *records.Draft) {
		d.Stem, d.Wrap, d.Note, d.Grafter, d.TraySize, d.Grafts = 7, layouts.Loop, "soft", "MK", 25, 60
	})
	require.Equal(t, want, updated.Draft)
	kept := issue(t, l, draft(func(d *records.Draft) { d.Grafts, d.TraySize = 10, 25 }))[0]
	require.Equal(t, want, kept.Draft, "silence changes nothing")
}

// Rows of one pair in one manifest, issued over a ledger that has some.
func TestRowsOfOnePair(t *testing.T) {
	row := func(grafter string, grafts int) records.Draft {
		return draft(func(d *records.Draft) { d.Grafter, d.Grafts = grafter, grafts })
	}
	noted := func(note string, traySize int) records.Draft {
		return draft(func(d *records.Draft) { d.Note, d.TraySize = note, traySize })
	}
	for _, test := range []struct {
		reason        string
		first, second []records.Draft
		numbers       []int // of the second
	}{
		{reason: "equal rows are separate, in order", first: nil, second: []records.Draft{row("", 40), row("", 40), row("", 40)}, numbers: []int{1, 2, 3}},
		{reason: "another equal row is one more batch", first: []records.Draft{row("", 40)}, second: []records.Draft{row("", 40), row("", 40)}, numbers: []int{1, 2}},
		{reason: "different grafters stay apart when exchanged", first: []records.Draft{row("MK", 40), row("TL", 40)}, second: []records.Draft{row("TL", 40), row("MK", 40)}, numbers: []int{2, 1}},
		{reason: "the equal grafter before the missing one", first: []records.Draft{row("", 40), row("MK", 40)}, second: []records.Draft{row("MK", 40)}, numbers: []int{2}},
		{reason: "the missing grafter before another's", first: []records.Draft{row("MK", 40), row("", 40)}, second: []records.Draft{row("", 40)}, numbers: []int{2}},
		{reason: "a row without grafter leaves the batch to the row that names it", first: []records.Draft{row("MK", 40)}, second: []records.Draft{row("", 40), row("MK", 40)}, numbers: []int{2, 1}},
		{reason: "two rows without grafter over one that has", first: []records.Draft{row("MK", 50)}, second: []records.Draft{row("", 50), row("", 30)}, numbers: []int{1, 2}},
		{reason: "two rows of a grafter over one of theirs and one of none", first: []records.Draft{row("", 40), row("MK", 40)}, second: []records.Draft{row("MK", 50), row("MK", 30)}, numbers: []int{1, 2}},
		{reason: "sorted by another column", first: []records.Draft{row("", 50), row("", 30), row("", 40)}, second: []records.Draft{row("", 30), row("", 40), row("", 50)}, numbers: []int{2, 3, 1}},
		{reason: "the fewest stems are added", first: []records.Draft{row("", 50), row("", 30)}, second: []records.Draft{row("", 28), row("", 45)}, numbers: []int{2, 1}},
		{reason: "exchanged, and only the notes tell", first: []records.Draft{noted("left", 0), noted("right", 0)}, second: []records.Draft{noted("right", 0), noted("left", 0)}, numbers: []int{2, 1}},
		{reason: "exchanged, and only the tray sizes tell", first: []records.Draft{noted("", 20), noted("", 40)}, second: []records.Draft{noted("", 40), noted("", 20)}, numbers: []int{2, 1}},
		{reason: "both grown, in order", first: []records.Draft{row("", 50), row("", 30)}, second: []records.Draft{row("", 60), row("", 45)}, numbers: []int{1, 2}},
	} {
		t.Run(test.reason, func(t *testing.T) {
			l := openNew(t)
			issue(t, l, test.first...)
			issued := issue(t, l, test.second...)
			numbers := make([]int, len(issued))
			for i := range issued {
				numbers[i] = issued[i].Code.Batch()
			}
			require.Equal(t, test.numbers, numbers)
			requireSettled(t, l, test.second, issued)
		})
	}
}

// requireSettled issues drafts once more: every one finds its batch, and
// nothing changes.
func requireSettled(t *testing.T, l *ledger.Ledger, drafts []records.Draft, issued []records.Issued) {
	t.Helper()
	was := dump(t, l.Path())
	for i, again := range issue(t, l, drafts...) {
		require.Equal(t, issued[i].Batch, again.Batch, "draft %d", i)
		require.Contains(t, []records.State{records.Known, records.Kept}, again.State, "draft %d", i)
	}
	require.Equal(t, was, dump(t, l.Path()))
}

func TestRefusals(t *testing.T) {
	full := make([]records.Draft, codes.MaxBatch)
	for i := range full {
		full[i] = draft(func(d *records.Draft) { d.Row, d.Variety = i+2, fmt.Sprintf("Seedling %d", i) })
	}
	zero := 0.0
	for _, row := range []struct {
		reason        string
		first, second []records.Draft
		message       string
	}{
		{"a day is full", full, []records.Draft{draft(func(d *records.Draft) { d.Row = 7 })},
			`row 7, "Ada Lantern": 2026-11-25 has no batch number left: a day has at most 999 batches`},
		{"one row more than a day can have", nil, append(full[:len(full):len(full)], draft(func(d *records.Draft) { d.Row = 1001 })),
			`row 1001, "Ada Lantern": 2026-11-25 has no batch number left: a day has at most 999 batches`},
		{"an extension with too many trays", []records.Draft{draft(func(d *records.Draft) { d.TraySize = 5 })},
			[]records.Draft{draft(func(d *records.Draft) { d.Grafts, d.TraySize = 4996, 100 })},
			`row 2, "Ada Lantern": 4996 grafts would fill 1000 trays of 5, the size this batch was issued with; a batch has at most 999`},
		{"drafts that no manifest lets through, all named", nil, []records.Draft{
			draft(func(d *records.Draft) { d.Grafts, d.Row = 0, 0 }),
			draft(func(d *records.Draft) { d.Grafts = 9000 }),
			draft(func(d *records.Draft) { d.Variety = "" }),
			draft(func(d *records.Draft) { d.Stock = "" }),
			draft(func(d *records.Draft) { d.TraySize, d.Grafts = 1, 1000 }),
			draft(func(d *records.Draft) { d.TraySize = -1 }),
			draft(func(d *records.Draft) { d.Stem = zero / zero }),
			draft(func(d *records.Draft) { d.Date = graftDay.AddDate(100, 0, 0) }),
		}, `"Ada Lantern": 0 grafts is not from 1 to 8999
row 2, "Ada Lantern": 9000 grafts is not from 1 to 8999
row 2, "": the variety or the rootstock has no name
row 2, "Ada Lantern": the variety or the rootstock has no name
row 2, "Ada Lantern": trays of 1 for 1000 grafts do not make 1 to 999 trays
row 2, "Ada Lantern": trays of -1 for 40 grafts do not make 1 to 999 trays
row 2, "Ada Lantern": a stem of NaN mm is not from 1 to 60 mm
row 2, "Ada Lantern": the date 2126-11-25 is not in the years 2000-2099`},
	} {
		t.Run(row.reason, func(t *testing.T) {
			l := openNew(t)
			issue(t, l, row.first...)
			was := dump(t, l.Path())
			called := false
			_, err := l.Issue(context.Background(), row.second, func(*ledger.Change, []records.Issued) error { called = true; return nil })
			require.EqualError(t, err, row.message)
			require.NotEmpty(t, hint(err))
			require.False(t, called)
			require.Equal(t, was, dump(t, l.Path()))
		})
	}
}

// Row 1000 of a day is fine when it is not another batch: on a full day known
// rows are still known and can grow.
func TestFullDayCanBePrintedAgain(t *testing.T) {
	l := openNew(t)
	full := make([]records.Draft, codes.MaxBatch)
	for i := range full {
		full[i] = draft(func(d *records.Draft) { d.Row = i + 2 })
	}
	issued := issue(t, l, full...)
	require.Equal(t, codes.MaxBatch, issued[codes.MaxBatch-1].Code.Batch())
	requireSettled(t, l, full, issued)
	full[500].Grafts++
	require.Equal(t, records.Extended, issue(t, l, full...)[500].State)
}
