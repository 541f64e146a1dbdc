package ledger_test

import (
	"context"
	"database/sql"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/ledger"
)

// amendment is what a test does to a batch.
type amendment func(records.History) (records.Amendment, error)

func to(fields ...string) amendment {
	var changes []records.Change
	for i := 0; i < len(fields); i += 2 {
		changes = append(changes, records.Change{Field: fields[i], Is: fields[i+1]})
	}
	return func(h records.History) (records.Amendment, error) { return h.Amend(changes) }
}

func void(h records.History) (records.Amendment, error)     { return h.MakeVoid("never made") }
func undo(h records.History) (records.Amendment, error)     { return h.Undo(false) }
func undoVoid(h records.History) (records.Amendment, error) { return h.Undo(true) }

// amend makes amendments that cannot fail and returns the batch after them.
func amend(t testing.TB, l *ledger.Ledger, code codes.Code, amendments ...amendment) records.Batch {
	t.Helper()
	var is records.Batch
	for _, a := range amendments {
		var err error
		_, is, err = l.Amend(t.Context(), code, "IV", a)
		require.NoError(t, err)
	}
	return is
}

// Every way to read a batch applies its amendments.
func TestAmendedWhereverItIsRead(t *testing.T) {
	l := openLater(t, filepath.Join(t.TempDir(), "ledger.db"))
	other := issue(t, l, draft(nil), draft(func(d *records.Draft) { d.Variety = "Ada Lantren" }))[1].Batch
	moved := graftDay.AddDate(0, 0, 3)
	is := amend(t, l, other.Code, to("variety", "Ada Lantern", "date", "2026-11-28"), to("note", "soft"))
	require.Equal(t, "Ada Lantern", is.Variety)
	require.Equal(t, moved, is.Date)
	require.Equal(t, []string{"soft", "", ""}, []string{is.Versions()[0].Note, is.Versions()[1].Note, is.AsIssued().Note})
	require.Equal(t, other.Draft, func() records.Draft { d := is.AsIssued(); d.Row = other.Row; return d }())
	require.Equal(t, records.Amendment{Number: 1, At: is.Amendments[0].At, By: "IV", Batch: other.Code, Changes: []records.Change{
		{Field: "date", Was: "2026-11-25", Is: "2026-11-28"}, {Field: "variety", Was: "Ada Lantren", Is: "Ada Lantern"}}}, is.Amendments[0])

	found, err := l.Find(t.Context(), stem(t, other.Code, 3))
	require.NoError(t, err)
	require.Equal(t, is, found.Batch)
	known, err := l.Known(t.Context(), []codes.Code{other.Code})
	require.NoError(t, err)
	require.Equal(t, is, known[0].Batch)
	history, err := l.History(t.Context(), other.Code)
	require.NoError(t, err)
	require.Equal(t, is, history.Batch)
	all, err := l.Histories(t.Context())
	require.NoError(t, err)
	require.Equal(t, is, all[1].Batch)
	for day, want := range map[time.Time]int{graftDay: 1, moved: 2} {
		batches, err := l.Search(t.Context(), ledger.Wanted{Date: day})
		require.NoError(t, err)
		require.Len(t, batches, 1)
		require.Equal(t, want, batches[0].Code.Batch())
	}
	amended, err := l.Amendments(t.Context())
	require.NoError(t, err)
	require.Equal(t, []records.Batch{is}, amended)

	is = amend(t, l, other.Code, undo, undo)
	require.Equal(t, other.Variety, is.Variety)
	require.Equal(t, graftDay, is.Date)
	require.Equal(t, []int{4, 3, 0, 0}, []int{is.Amendments[0].UndoneBy, is.Amendments[1].UndoneBy, is.Amendments[2].UndoneBy, is.Amendments[3].UndoneBy})
}

// Printing a file after one of its batches was amended.
func TestIssueAfterAmendments(t *testing.T) {
	typo := func(d *records.Draft) { d.Variety = "Ada Lantren" }
	next := func(d *records.Draft) { d.Date = graftDay.AddDate(0, 0, 1) }
	byMK := func(d *records.Draft) { d.Grafter = "MK" }
	byTL := func(d *records.Draft) { d.Grafter = "TL" }
	type rows []func(*records.Draft)
	const ada = 1
	for _, row := range []struct {
		reason        string
		first, second rows
		amend         map[int][]amendment // by number of the batch
		names         []string            // of the batches of second
		notes         []string            // of the first of them
		problem       string
	}{
		{reason: "the mistyped file", first: rows{typo}, second: rows{typo}, amend: map[int][]amendment{ada: {to("variety", "Ada Lantern")}},
			names: []string{"26329-001"}, notes: []string{`the variety was amended to "Ada Lantern" on 2026-12-20; the row has "Ada Lantren"`}},
		{reason: "the corrected file", first: rows{typo}, second: rows{nil}, amend: map[int][]amendment{ada: {to("variety", "Ada Lantern")}},
			names: []string{"26329-001"}},
		{reason: "the file of a step between", first: rows{typo}, second: rows{nil}, amend: map[int][]amendment{ada: {to("variety", "Ada Lantern"), to("variety", "Ada Lantern II")}},
			names: []string{"26329-001"}, notes: []string{`the variety was amended to "Ada Lantern II" on 2026-12-20; the row has "Ada Lantern"`}},
		{reason: "an undone name is no longer the batch, so print asks", first: rows{typo}, second: rows{nil}, amend: map[int][]amendment{ada: {to("variety", "Ada Lantern"), undo}},
			problem: `row 2, "Ada Lantern": looks like batch 26329-001, "Ada Lantren", with one of the names mistyped / if row 2 is that batch, amend it and print again: graftslip amend 26329-001 --variety "Ada Lantern"`},
		{reason: "the moved file", first: rows{nil}, second: rows{next}, amend: map[int][]amendment{ada: {to("date", "2026-11-26")}}, names: []string{"26329-001"}},
		{reason: "the file before the move", first: rows{nil}, second: rows{nil}, amend: map[int][]amendment{ada: {to("date", "2026-11-26")}},
			names: []string{"26329-001"}, notes: []string{`the date was amended to "2026-11-26" on 2026-12-20; the row has "2026-11-25"`}},
		{reason: "both days in one file: one is the batch as it is now", first: rows{nil}, second: rows{nil, next}, amend: map[int][]amendment{ada: {to("date", "2026-11-26")}},
			names: []string{"26329-002", "26329-001"}},
		{reason: "a number is given once, although its batch moved away", first: rows{nil}, second: rows{typo}, amend: map[int][]amendment{ada: {to("date", "2026-11-26")}},
			names: []string{"26329-002"}},
		{reason: "two batches that swapped names go by their new ones", first: rows{nil, typo}, second: rows{typo, nil},
			amend: map[int][]amendment{1: {to("variety", "Ada Lantren")}, 2: {to("variety", "Ada Lantern")}}, names: []string{"26329-001", "26329-002"}},
		{reason: "a row that matches only an old name leaves the new name to another", first: rows{typo, nil}, second: rows{nil, typo},
			amend: map[int][]amendment{1: {to("variety", "Ada Lantern")}}, names: []string{"26329-002", "26329-001"}},
		{reason: "the grafter before", first: rows{byMK}, second: rows{byMK}, amend: map[int][]amendment{ada: {to("grafter", "TL")}},
			names: []string{"26329-001"}, notes: []string{`the grafter was amended to "TL" on 2026-12-20; the row has "MK"`}},
		{reason: "the grafter now", first: rows{byMK}, second: rows{byTL}, amend: map[int][]amendment{ada: {to("grafter", "TL")}}, names: []string{"26329-001"}},
		{reason: "an amended note stays", first: rows{nil}, second: rows{func(d *records.Draft) { d.Note = "hard" }}, amend: map[int][]amendment{ada: {to("note", "soft")}},
			names: []string{"26329-001"}, notes: []string{`the note was amended to "soft" on 2026-12-20; the row has "hard"`}},
		{reason: "a void batch neither comes back nor becomes a second one", first: rows{nil}, second: rows{nil}, amend: map[int][]amendment{ada: {void}},
			problem: `row 2, "Ada Lantern": is batch 26329-001, which is void / if it was made after all, run graftslip void 26329-001 --undo`},
		{reason: "nor by a name it once had", first: rows{typo}, second: rows{typo}, amend: map[int][]amendment{ada: {to("variety", "Ada Lantern"), void}},
			problem: `row 2, "Ada Lantren": is batch 26329-001, which is void / if it was made after all, run graftslip void 26329-001 --undo`},
		{reason: "a batch that was made comes before a void one", first: rows{nil, nil}, second: rows{nil}, amend: map[int][]amendment{1: {void}}, names: []string{"26329-002"}},
		{reason: "only as many rows are asked about as batches are void", first: rows{nil}, second: rows{nil, byTL}, amend: map[int][]amendment{ada: {void}},
			problem: `row 2, "Ada Lantern": is batch 26329-001, which is void / if it was made after all, run graftslip void 26329-001 --undo`},
		{reason: "made after all", first: rows{nil}, second: rows{nil}, amend: map[int][]amendment{ada: {void, undoVoid}}, names: []string{"26329-001"}},
	} {
		t.Run(row.reason, func(t *testing.T) {
			l := openLater(t, filepath.Join(t.TempDir(), "ledger.db"))
			file := func(rows rows) (drafts []records.Draft) {
				for i, change := range rows {
					d := draft(change)
					d.Row = i + 2
					drafts = append(drafts, d)
				}
				return drafts
			}
			batches := map[int]codes.Code{}
			for _, one := range issue(t, l, file(row.first)...) {
				batches[one.Code.Batch()] = one.Code
			}
			for number, amendments := range row.amend {
				amend(t, l, batches[number], amendments...)
			}
			before := dump(t, l.Path())
			issued, err := l.Issue(t.Context(), file(row.second), nil)
			if row.problem != "" {
				require.Error(t, err)
				require.Equal(t, row.problem, err.Error()+" / "+hint(err))
				require.Equal(t, before, dump(t, l.Path()))
				return
			}
			require.NoError(t, err)
			var names []string
			for _, one := range issued {
				names = append(names, one.Code.BatchName())
			}
			require.Equal(t, row.names, names)
			require.Equal(t, row.notes, issued[0].Notes)
			again := issue(t, l, file(row.second)...)
			for i := range again {
				require.Equal(t, issued[i].Code, again[i].Code, "again")
				require.Equal(t, records.Known, again[i].State)
			}
		})
	}
}

// A row printed as new does not become the void batch, and is known from then on.
func TestAsNewBesideAVoidBatch(t *testing.T) {
	l := openLater(t, filepath.Join(t.TempDir(), "ledger.db"))
	first := issue(t, l, draft(nil))[0]
	amend(t, l, first.Code, void)
	for _, state := range []records.State{records.New, records.Known} {
		issued, err := l.Issue(t.Context(), []records.Draft{draft(nil)}, nil, ledger.AsNew(records.Numbers{2}))
		require.NoError(t, err)
		require.Equal(t, "26329-002", issued[0].Code.BatchName())
		require.Equal(t, state, issued[0].State)
	}
	require.Equal(t, "26329-002", issue(t, l, draft(nil))[0].Code.BatchName(), "without --as-new")
	all, err := l.Histories(t.Context())
	require.NoError(t, err)
	require.Len(t, all, 1, "no ghost")
	found, err := l.Find(t.Context(), first.Code)
	require.NoError(t, err)
	require.True(t, found.Batch.Void)
	given, err := l.Numbers(t.Context(), graftDay)
	require.NoError(t, err)
	require.Equal(t, records.Numbers{1, 2}, given)
}

// What cannot be amended, made void, undone or entered, and why.
func TestRefusedAmendments(t *testing.T) {
	entry := func(b records.Batch) records.Entry {
		return records.Entry{Key: records.NewKey(), Unit: b.Code, At: time.Date(2026, time.December, 5, 8, 0, 0, 0, time.UTC), Counts: records.Counts{Alive: records.Said(38)}}
	}
	const revive = "if it was made after all, run graftslip void 26329-001 --undo"
	for _, row := range []struct {
		reason  string
		before  []amendment
		entered bool
		amend   amendment
		problem string
	}{
		{"a date after an entry", nil, true, to("date", "2026-12-06"),
			"batch 26329-001 cannot be grafted on 2026-12-06: entry 1 of 2026-12-05, whole batch (38 alive) was made before / give a date up to 2026-12-05; if the entry is wrong, undo it: slipread log --undo 1"},
		{"the date of an entry", nil, true, to("date", "2026-12-05"), ""},
		{"a name", nil, true, to("variety", "Bo"), ""},
		{"an earlier date, back over an entry", []amendment{to("date", "2026-12-10"), to("date", "2026-12-01")}, true, undo,
			"batch 26329-001 cannot be grafted on 2026-12-10: entry 1 of 2026-12-05, whole batch (38 alive) was made before / give a date up to 2026-12-05; if the entry is wrong, undo it: slipread log --undo 1"},
		{"the same with a name beside it", []amendment{to("date", "2026-12-10"), to("date", "2026-12-01", "variety", "Bo")}, true, undo,
			"batch 26329-001 cannot be grafted on 2026-12-10: entry 1 of 2026-12-05, whole batch (38 alive) was made before / give a date up to 2026-12-05; if the entry is wrong, undo it: slipread log --undo 1"},
		{"void with an entry", nil, true, void,
			"batch 26329-001 cannot become void: entry 1 of 2026-12-05, whole batch (38 alive) shows that it was made / if the entry is wrong, undo it: slipread log --undo 1; for labels never used, run slipread log CODE --unused N"},
		{"void twice", []amendment{void}, false, void, ""},
		{"a void batch amended", []amendment{void}, false, to("variety", "Bo"), "batch 26329-001 is void, so it cannot be amended / " + revive},
		{"an amendment under a void one", []amendment{to("variety", "Bo"), void}, false, undo, "batch 26329-001 is void, so no amendment of it can be undone / " + revive},
		{"nothing to undo", []amendment{to("variety", "Bo"), undo}, false, undo, "batch 26329-001 has no amendment to undo / slipread history 26329-001 lists all of them"},
		{"not void", []amendment{to("variety", "Bo")}, false, undoVoid, "batch 26329-001 is not void / "},
		{"void and back, then the amendment before it", []amendment{to("variety", "Bo"), void, undoVoid}, false, undo, ""},
	} {
		t.Run(row.reason, func(t *testing.T) {
			l := openLater(t, filepath.Join(t.TempDir(), "ledger.db"))
			batch := issue(t, l, draft(nil))[0].Batch
			amend(t, l, batch.Code, row.before...)
			if row.entered {
				logged(t, l, entry(batch))
			}
			was, is, err := l.Amend(t.Context(), batch.Code, "", row.amend)
			if row.problem == "" {
				require.NoError(t, err)
				return
			}
			require.Error(t, err)
			require.Equal(t, row.problem, err.Error()+" / "+hint(err))
			require.Equal(t, was, is)
			found, err := l.Find(t.Context(), batch.Code)
			require.NoError(t, err)
			require.Len(t, found.Batch.Amendments, len(row.before), "nothing was written")
		})
	}
	l := openLater(t, filepath.Join(t.TempDir(), "ledger.db"))
	batch := issue(t, l, draft(nil))[0].Batch
	amend(t, l, batch.Code, void)
	_, _, err := l.Log(t.Context(), entry(batch))
	require.EqualError(t, err, "26329-001-0000-98: nothing can be entered: the batch has been void since 2026-12-20 by IV: never made")
	require.Equal(t, revive, hint(err))
	wrong := graftDay.AddDate(0, 0, 1)
	missing, err := codes.New(wrong, 1)
	require.NoError(t, err)
	_, _, err = l.Amend(t.Context(), missing, "", void)
	require.ErrorIs(t, err, ledger.ErrNotIssued)
}

// A card carries the amended graft date, and a restored ledger has it.
func TestRestoreKeepsTheGraftDate(t *testing.T) {
	ctx := context.Background()
	l := openLater(t, filepath.Join(t.TempDir(), "ledger.db"))
	is := amend(t, l, issue(t, l, draft(nil))[0].Code, to("date", "2026-11-28"))
	carried := records.Batch{Code: is.Code, Draft: is.Draft}
	lost := openLater(t, filepath.Join(t.TempDir(), "ledger.db"))
	for _, state := range []records.State{records.New, records.Known} {
		restored, err := restore(lost, graftDay, carried)
		require.NoError(t, err)
		require.Equal(t, state, restored[0].State)
		found, err := lost.Find(ctx, is.Code)
		require.NoError(t, err)
		require.Equal(t, is.Date, found.Batch.Date)
		require.Equal(t, graftDay, found.Batch.AsIssued().Date)
		require.Len(t, found.Batch.Amendments, 1)
	}
	until, err := lost.Until(ctx)
	require.NoError(t, err)
	require.Equal(t, graftDay, until, "codes of the day they were issued for are closed, not those of the graft date")

	old := carried
	old.Draft = is.AsIssued()
	restored, err := restore(l, graftDay, old)
	require.NoError(t, err, "a card from before the amendment")
	require.Equal(t, is.Date, restored[0].Date)
}

// Amendments stay as written, even if other programs write to the file.
func TestAmendmentsStay(t *testing.T) {
	l := openLater(t, filepath.Join(t.TempDir(), "ledger.db"))
	amend(t, l, issue(t, l, draft(nil))[0].Code, to("variety", "Bo"))
	db, err := sql.Open("sqlite", "file:"+l.Path())
	require.NoError(t, err)
	defer db.Close()
	for _, statement := range []string{
		"DELETE FROM amendments", "UPDATE amendments SET variety = 'Cy'",
		"INSERT OR REPLACE INTO amendments SELECT id, at, made_by, date, number, grafted, 'Cy', stock, source, grafter, note, void, reason, undoes FROM amendments",
		"INSERT INTO amendments (at, made_by, date, number, void, reason) SELECT at, made_by, date, number, 0, '' FROM amendments",
	} {
		_, err := db.Exec(statement)
		require.Error(t, err, statement)
	}
}
