package ledger_test

import (
	"context"
	"errors"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/ledger"
)

// A file is printed, corrected, and printed again.
func TestQuestions(t *testing.T) {
	amber := draft(func(d *records.Draft) { d.Row, d.Variety = 2, "Amber Weathercock" })
	cobbler := draft(func(d *records.Draft) { d.Row, d.Variety = 3, "Cobbler" })
	with := func(d records.Draft, change func(*records.Draft)) records.Draft {
		change(&d)
		return d
	}
	typed := with(amber, func(d *records.Draft) { d.Variety = "Ambr Weathercock" })
	later := func(d records.Draft, days int) records.Draft {
		return with(d, func(d *records.Draft) { d.Date = d.Date.AddDate(0, 0, days) })
	}
	rows := func(drafts ...records.Draft) []records.Draft { return drafts }
	for _, row := range []struct {
		reason        string
		first, second []records.Draft
		between       func(*testing.T, *ledger.Ledger, []records.Issued)
		later         time.Duration // between the prints
		errors, hints []string
	}{
		{reason: "a mistyped name is put right", first: rows(typed, cobbler), second: rows(amber, cobbler),
			errors: []string{`row 2, "Amber Weathercock": looks like batch 26329-001, "Ambr Weathercock", with one of the names mistyped`},
			hints:  []string{`if row 2 is that batch, amend it and print again: graftslip amend 26329-001 --variety "Amber Weathercock"`}},
		{reason: "a name is mistyped in another file", first: rows(amber), second: rows(later(typed, 3), later(cobbler, 3)), later: 3 * 24 * time.Hour,
			errors: []string{`row 2, "Ambr Weathercock": looks like batch 26329-001, "Amber Weathercock", with one of the names mistyped`},
			hints:  []string{`if row 2 is that batch, amend it and print again: graftslip amend 26329-001 --date 2026-11-28 --variety "Ambr Weathercock"`}},
		{reason: "a row is moved to another day", first: rows(amber, cobbler), second: rows(later(amber, 2), cobbler),
			errors: []string{`row 2, "Amber Weathercock": looks like batch 26329-001, moved from 2026-11-25 to 2026-11-27`},
			hints:  []string{`if row 2 is that batch, amend it and print again: graftslip amend 26329-001 --date 2026-11-27`}},
		{reason: "a row is moved and mistyped", first: rows(typed, cobbler), second: rows(later(amber, 2), cobbler),
			errors: []string{`row 2, "Amber Weathercock": looks like batch 26329-001, "Ambr Weathercock", with one of the names mistyped`},
			hints:  []string{`if row 2 is that batch, amend it and print again: graftslip amend 26329-001 --date 2026-11-27 --variety "Amber Weathercock"`}},
		{reason: "all questions come at once", first: rows(typed, cobbler), second: rows(amber, later(cobbler, -1), draft(func(d *records.Draft) { d.Row = 4 })),
			errors: []string{`row 2, "Amber Weathercock": looks like batch 26329-001, "Ambr Weathercock", with one of the names mistyped`,
				`row 3, "Cobbler": looks like batch 26329-002, moved from 2026-11-25 to 2026-11-24`},
			hints: []string{`if row 2 is that batch, amend it and print again: graftslip amend 26329-001 --variety "Amber Weathercock"`,
				`if row 3 is that batch, amend it and print again: graftslip amend 26329-002 --date 2026-11-24`}},
		{reason: "the only row is moved before its day", first: rows(amber), second: rows(later(amber, 5)),
			errors: []string{`row 2, "Amber Weathercock": looks like batch 26329-001, moved from 2026-11-25 to 2026-11-30`},
			hints:  []string{`if row 2 is that batch, amend it and print again: graftslip amend 26329-001 --date 2026-11-30`}},
		{reason: "one row again after its day is another session", first: rows(amber), second: rows(later(amber, 5)), later: 24 * time.Hour},
		{reason: "moved by more than a month is another session", first: rows(amber, cobbler), second: rows(later(amber, 32), cobbler)},
		{reason: "other grafts on another day", first: rows(amber, cobbler),
			second: rows(with(later(amber, 2), func(d *records.Draft) { d.Grafts = 41 }), cobbler)},
		{reason: "another source on another day", first: rows(amber, cobbler),
			second: rows(with(later(amber, 2), func(d *records.Draft) { d.Source = "Bed 3" }), cobbler)},
		{reason: "another grafter on another day", first: rows(with(amber, func(d *records.Draft) { d.Grafter = "MK" }), cobbler),
			second: rows(with(later(amber, 2), func(d *records.Draft) { d.Grafter = "TL" }), cobbler)},
		{reason: "both stand in the file", first: rows(typed), second: rows(typed, with(amber, func(d *records.Draft) { d.Row = 3 }))},
		{reason: "rows of one file", second: rows(typed, with(amber, func(d *records.Draft) { d.Row = 3 }), later(amber, 1))},
		{reason: "on another stock it is another batch", first: rows(typed), second: rows(with(amber, func(d *records.Draft) { d.Stock = "Quarry Thorn" }))},
		{reason: "a name with another number", first: rows(with(amber, func(d *records.Draft) { d.Variety = "Blue Lantern 2" })),
			second: rows(with(amber, func(d *records.Draft) { d.Variety = "Blue Lantern 3" }))},
		{reason: "an entry says that it was made", first: rows(typed, cobbler), second: rows(amber, later(cobbler, 1)), later: 3 * 24 * time.Hour,
			between: func(t *testing.T, l *ledger.Ledger, issued []records.Issued) {
				for i, one := range issued {
					_, _, err := l.Log(context.Background(), records.Entry{Key: string(rune('a' + i)), Unit: one.Code, Note: "soft"})
					require.NoError(t, err)
				}
			}},
		{reason: "an undone entry proves nothing", first: rows(amber, cobbler), second: rows(later(amber, 2), cobbler), later: 3 * 24 * time.Hour,
			between: func(t *testing.T, l *ledger.Ledger, issued []records.Issued) {
				wrong := logged(t, l, records.Entry{Key: "a", Unit: issued[0].Code, Note: "soft"})
				logged(t, l, records.Entry{Key: "b", Unit: issued[0].Code, Corrects: wrong.Number})
			},
			errors: []string{`row 2, "Amber Weathercock": looks like batch 26329-001, moved from 2026-11-25 to 2026-11-27`},
			hints:  []string{`if row 2 is that batch, amend it and print again: graftslip amend 26329-001 --date 2026-11-27`}},
		{reason: "an entry that was corrected stands", first: rows(amber, cobbler), second: rows(later(amber, 2), cobbler), later: 3 * 24 * time.Hour,
			between: func(t *testing.T, l *ledger.Ledger, issued []records.Issued) {
				wrong := logged(t, l, records.Entry{Key: "a", Unit: issued[0].Code, Note: "soft"})
				logged(t, l, records.Entry{Key: "b", Unit: issued[0].Code, Note: "firm", Corrects: wrong.Number})
			}},
		{reason: "an undone amendment answers no question", first: rows(amber, cobbler), second: rows(later(amber, 2), cobbler),
			between: func(t *testing.T, l *ledger.Ledger, issued []records.Issued) {
				amend(t, l, issued[0].Code, to("date", "2026-11-27"), undo)
			},
			errors: []string{`row 2, "Amber Weathercock": looks like batch 26329-001, moved from 2026-11-25 to 2026-11-27`},
			hints:  []string{`if row 2 is that batch, amend it and print again: graftslip amend 26329-001 --date 2026-11-27`}},
		{reason: "a standing amendment answers it", first: rows(amber, cobbler), second: rows(later(amber, 2), cobbler),
			between: func(t *testing.T, l *ledger.Ledger, issued []records.Issued) {
				amend(t, l, issued[0].Code, to("date", "2026-11-24"))
			}},
		{reason: "both names were printed separately", first: rows(typed), second: rows(with(amber, func(d *records.Draft) { d.Grafts = 3 })),
			between: func(t *testing.T, l *ledger.Ledger, _ []records.Issued) {
				for _, d := range rows(later(amber, -200), later(typed, -100)) {
					issue(t, l, d)
				}
			}},
	} {
		t.Run(row.reason, func(t *testing.T) {
			now := issueTime
			l, err := ledger.Open(context.Background(), filepath.Join(t.TempDir(), "l.db"), ledger.WithClock(func() time.Time { return now }))
			require.NoError(t, err)
			defer l.Close()
			issued := issue(t, l, row.first...)
			if row.later == 0 {
				row.later = time.Minute
			}
			now = now.Add(row.later)
			if row.between != nil {
				row.between(t, l, issued)
				now = now.Add(time.Minute)
			}
			before := dump(t, l.Path())
			_, err = l.Issue(context.Background(), row.second, nil)
			var texts, hints []string
			for _, each := range flat(err) {
				var question *ledger.Question
				require.ErrorAs(t, each, &question)
				texts, hints = append(texts, question.Error()), append(hints, question.Hint())
			}
			require.Equal(t, row.errors, texts)
			require.Equal(t, row.hints, hints)
			if err == nil {
				return
			}
			require.Equal(t, before, dump(t, l.Path()), "nothing is written")
			issued, err = l.Issue(context.Background(), row.second, nil, ledger.AsNew(records.Range(2, 9)))
			require.NoError(t, err)
			asked := 0
			for _, one := range issued {
				if one.AsNew {
					asked++
					require.Equal(t, records.New, one.State)
					require.Len(t, one.Notes, 1)
				}
			}
			require.Equal(t, len(row.errors), asked)
			now = now.Add(time.Minute)
			for _, again := range issue(t, l, row.second...) {
				require.Equal(t, records.Known, again.State, "what was answered is not asked again")
			}
		})
	}
}

// Restored batches share one time of issue, but do not count as one print.
func TestNoQuestionAboutWhatWasBroughtBack(t *testing.T) {
	l := openMuchLater(t)
	rows := []records.Draft{draft(nil), draft(func(d *records.Draft) { d.Row, d.Variety = 3, "Cobbler" })}
	var lost []records.Batch
	for i, row := range rows {
		code, err := codes.New(graftDay, i+1)
		require.NoError(t, err)
		lost = append(lost, records.Batch{Code: code, Draft: row})
	}
	require.NoError(t, l.Change(context.Background(), func(c *ledger.Change) error {
		_, err := c.Restore(context.Background(), lost, graftDay)
		return err
	}))
	rows[1].Date = graftDay.AddDate(0, 0, 2)
	issued, err := l.Issue(context.Background(), rows, nil)
	require.NoError(t, err)
	require.Equal(t, records.Known, issued[0].State)
	require.Equal(t, records.New, issued[1].State)
}

func flat(err error) []error {
	var joined interface{ Unwrap() []error }
	if err == nil {
		return nil
	}
	if !errors.As(err, &joined) {
		return []error{err}
	}
	return joined.Unwrap()
}
