package ledger_test

import (
	"context"
	"errors"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/layouts"
	"graftslip/records"
	"graftslip/records/ledger"
)

// later is a clock on the day of a look.
func later() time.Time {
	return time.Date(2026, time.December, 20, 9, 30, 15, 700, time.FixedZone("UTC+2", 2*60*60))
}

func openLater(t testing.TB, path string) *ledger.Ledger {
	t.Helper()
	l, err := ledger.Open(context.Background(), path, ledger.WithClock(later))
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, l.Close()) })
	return l
}

// inTrays issues a batch of 40 in trays of 20.
func inTrays(t testing.TB, l *ledger.Ledger) records.Batch {
	t.Helper()
	return issue(t, l, draft(func(d *records.Draft) { d.TraySize = 20; d.Wrap = layouts.Loop }))[0].Batch
}

func stem(t testing.TB, b codes.Code, n int) codes.Code {
	t.Helper()
	code, err := b.Stem(n)
	require.NoError(t, err)
	return code
}

func tray(t testing.TB, b codes.Code, n int) codes.Code {
	t.Helper()
	code, err := b.Tray(n)
	require.NoError(t, err)
	return code
}

// logged enters what cannot fail and is new.
func logged(t testing.TB, l *ledger.Ledger, o records.Entry) records.Entry {
	t.Helper()
	entry, known, err := l.Log(context.Background(), o)
	require.NoError(t, err)
	require.False(t, known)
	return entry
}

// everything is an entry that says all that an entry can.
func everything(unit codes.Code) records.Entry {
	return records.Entry{
		Key: "all", Unit: unit, By: "Odd Fjellström", Note: "soft, \"tall\"\nand 'wet'", At: time.Date(2026, time.December, 18, 23, 50, 3, 9, time.FixedZone("", -9*60*60-30*60)),
		Counts: records.Counts{Alive: records.Said(12), Growing: records.Said(0), Rooted: records.Said(3), Dead: records.Said(2)},
		Moves:  records.Moves{OutOfMist: true, Flushed: true, TieRemoved: true, Sold: 3, Planted: 1, Culled: 1, Unused: 1},
	}
}

func TestEntriesSurviveReopening(t *testing.T) {
	path := filepath.Join(t.TempDir(), "ledger.db")
	l, err := ledger.Open(context.Background(), path, ledger.WithClock(later))
	require.NoError(t, err)
	batch := inTrays(t, l)
	sent := everything(tray(t, batch.Code, 1))
	first := logged(t, l, sent)
	bare := logged(t, l, records.Entry{Key: "stem", Unit: stem(t, batch.Code, 40), Counts: records.Counts{Growing: records.Said(1)}})
	withdrawn := logged(t, l, records.Entry{Key: "off", Unit: stem(t, batch.Code, 40), Corrects: bare.Number})
	whole := logged(t, l, records.Entry{Key: "whole", Unit: batch.Code, Note: "x"})
	require.NoError(t, l.Close())

	l = openLater(t, path)
	history, err := l.History(context.Background(), stem(t, batch.Code, 3))
	require.NoError(t, err)
	entries := history.Entries(batch.Code)
	require.Len(t, entries, 4)
	for i, want := range []records.Entry{first, bare, withdrawn, whole} {
		got, is, err := l.Entry(context.Background(), i+1)
		require.NoError(t, err)
		require.True(t, is)
		require.True(t, want.At.Equal(got.At), "%v %v", want.At, got.At)
		want.At = got.At
		require.Equal(t, want, got)
	}
	sent.Number, sent.Of, sent.At = 1, 20, entries[0].At
	require.Equal(t, sent, entries[0].Entry, "nothing is lost of what was sent")
	require.Equal(t, "2026-12-18T23:50:03-09:30", entries[0].At.Format(time.RFC3339), "in the zone where it was seen, in whole seconds")
	require.Equal(t, time.Date(2026, time.December, 18, 0, 0, 0, 0, time.UTC), entries[0].Day(), "on its own calendar day, not that of UTC")
	require.Equal(t, "2026-12-20T09:30:15+02:00", entries[3].At.Format(time.RFC3339), "of the clock where no time was said")
	require.Equal(t, later().Truncate(time.Second).Unix(), withdrawn.At.Unix(), "of what it withdraws")
	histories, err := l.Histories(context.Background())
	require.NoError(t, err)
	require.Equal(t, []records.History{history}, histories)
	_, is, err := l.Entry(context.Background(), 5)
	require.NoError(t, err)
	require.False(t, is)
}

func TestKeys(t *testing.T) {
	l := openLater(t, filepath.Join(t.TempDir(), "ledger.db"))
	batch, other := inTrays(t, l), issue(t, l, draft(func(d *records.Draft) { d.Variety = "Bo" }))[0].Batch
	sent := everything(tray(t, batch.Code, 1))
	first := logged(t, l, sent)
	logged(t, l, records.Entry{Key: "next", Unit: tray(t, batch.Code, 1), Moves: records.Moves{Sold: 12}, At: sent.At.Add(time.Hour)})

	again, known, err := l.Log(context.Background(), sent)
	require.NoError(t, err, "though it could not be entered anew")
	require.True(t, known)
	require.True(t, first.At.Equal(again.At))
	again.At = first.At
	require.Equal(t, first, again)

	for _, row := range []struct {
		reason string
		change func(*records.Entry)
	}{
		{"another tray", func(o *records.Entry) { o.Unit = tray(t, batch.Code, 2) }},
		{"another batch", func(o *records.Entry) { o.Unit = other.Code }},
		{"a batch that is not there", func(o *records.Entry) { o.Unit, _ = codes.New(graftDay, 77) }},
		{"another count", func(o *records.Entry) { o.Alive = records.Said(11) }},
		{"a count of none is not no count", func(o *records.Entry) { o.Growing = records.Count{} }},
		{"another number sold", func(o *records.Entry) { o.Sold = 2 }},
		{"not out of mist", func(o *records.Entry) { o.OutOfMist = false }},
		{"another note", func(o *records.Entry) { o.Note = "" }},
		{"a correction", func(o *records.Entry) { o.Corrects = 1 }},
	} {
		o := sent
		row.change(&o)
		_, known, err := l.Log(context.Background(), o)
		require.ErrorIs(t, err, ledger.ErrKeyUsed, row.reason)
		require.False(t, known)
		require.EqualError(t, err, "this was already entered as entry 1, with different content")
		require.Equal(t, "check the history, and enter what is missing as a new entry", hint(err))
	}
	_, _, err = l.Log(context.Background(), records.Entry{Unit: batch.Code, Note: "x"})
	require.EqualError(t, err, "an entry has no key")
	histories, err := l.Histories(context.Background())
	require.NoError(t, err)
	require.Len(t, histories[0].Entries(batch.Code), 2, "nothing was added")
	require.Empty(t, histories[1].Entries(other.Code))
}

func TestEntriesThatAreRefused(t *testing.T) {
	l := openLater(t, filepath.Join(t.TempDir(), "ledger.db"))
	batch := inTrays(t, l)
	ahead := issue(t, l, draft(func(d *records.Draft) { d.Date = later().AddDate(0, 0, 8).Truncate(24 * time.Hour) }))[0].Batch
	logged(t, l, records.Entry{Key: "dead", Unit: tray(t, batch.Code, 2), Counts: records.Counts{Dead: records.Said(3)}})
	nobody, err := codes.New(graftDay, 9)
	require.NoError(t, err)
	notIssued := func(err error) bool { return errors.Is(err, ledger.ErrNotIssued) }
	refused := func(err error) (contradicts, is bool) {
		var e *records.EntryError
		is = errors.As(err, &e)
		return is && e.Contradicts, is
	}
	wrong := func(err error) bool { contradicts, is := refused(err); return is && !contradicts }
	contradicts := func(err error) bool { contradicts, _ := refused(err); return contradicts }
	for _, row := range []struct {
		reason string
		o      records.Entry
		is     func(error) bool
		text   string
	}{
		{"no such batch", records.Entry{Unit: nobody, Note: "x"}, notIssued, nobody.String() + ": batch 9 of 2026-11-25 is not in the ledger"},
		{"a stem too many", records.Entry{Unit: stem(t, batch.Code, 41), Note: "x"}, notIssued, stem(t, batch.Code, 41).String() + ": there is no stem 41; the batch has 40 stems"},
		{"a tray too many", records.Entry{Unit: tray(t, batch.Code, 3), Note: "x"}, notIssued, tray(t, batch.Code, 3).String() + ": there is no tray 3; the batch has 2 trays"},
		{"it says nothing", records.Entry{Unit: batch.Code}, wrong, batch.Code.String() + ": the entry is empty"},
		{"a second still to come", records.Entry{Unit: batch.Code, Note: "x", At: later().Add(time.Second)}, wrong, batch.Code.String() + ": 2026-12-20 09:30:16 is in the future"},
		{"the day after", records.Entry{Unit: batch.Code, Note: "x", At: later().AddDate(0, 0, 1)}, wrong, batch.Code.String() + ": 2026-12-21 is in the future"},
		{"labels printed ahead", records.Entry{Unit: ahead.Code, Note: "x"}, wrong, ahead.Code.String() + ": it is to be grafted on 2026-12-28; nothing can be entered before that day"},
		{"and on their day", records.Entry{Unit: ahead.Code, Note: "x", At: ahead.Date.Add(12 * time.Hour)}, wrong, ahead.Code.String() + ": it is to be grafted on 2026-12-28; nothing can be entered before that day"},
		{"before grafting", records.Entry{Unit: batch.Code, Note: "x", At: graftDay.Add(-time.Second)}, wrong, batch.Code.String() + ": 2026-11-24 is before grafting (2026-11-25)"},
		{"the dead live again", records.Entry{Unit: tray(t, batch.Code, 2), Counts: records.Counts{Alive: records.Said(18)}}, contradicts,
			tray(t, batch.Code, 2).String() + ": 18 alive contradicts entry 1 of 2026-12-20, tray 2 (3 dead): dead plants cannot come back"},
		{"it corrects what is not there", records.Entry{Unit: batch.Code, Note: "x", Corrects: 2}, wrong, batch.Code.String() + ": batch 26329-001 has no entry 2"},
	} {
		t.Run(row.reason, func(t *testing.T) {
			row.o.Key = "key"
			_, known, err := l.Log(context.Background(), row.o)
			require.EqualError(t, err, row.text)
			require.True(t, row.is(err), "%T", err)
			require.False(t, known)
		})
	}
	logged(t, l, records.Entry{Key: "key", Unit: batch.Code, Note: "x", At: later()})
	_, is, err := l.Entry(context.Background(), 2)
	require.NoError(t, err)
	require.True(t, is, "what was refused left no number and no key behind")
}

// A correction of an entry that another ledger's hand corrected meanwhile is
// refused, also in another batch.
func TestAnEntryIsCorrectedOnce(t *testing.T) {
	l := openLater(t, filepath.Join(t.TempDir(), "ledger.db"))
	batch, other := inTrays(t, l), issue(t, l, draft(func(d *records.Draft) { d.Variety = "Bo" }))[0].Batch
	logged(t, l, records.Entry{Key: "1", Unit: batch.Code, Note: "x", At: graftDay.Add(time.Hour)})
	second := logged(t, l, records.Entry{Key: "2", Unit: tray(t, batch.Code, 2), Note: "y", Corrects: 1})
	require.Equal(t, graftDay.Add(time.Hour).Unix(), second.At.Unix(), "the time of what it corrects")
	_, _, err := l.Log(context.Background(), records.Entry{Key: "3", Unit: batch.Code, Note: "z", Corrects: 1})
	require.EqualError(t, err, batch.Code.String()+": entry 1 was already corrected by entry 2")
	_, _, err = l.Log(context.Background(), records.Entry{Key: "3", Unit: other.Code, Note: "z", Corrects: 2})
	require.EqualError(t, err, other.Code.String()+": batch 26329-002 has no entry 2")
	logged(t, l, records.Entry{Key: "3", Unit: batch.Code, Corrects: 2})
	history, err := l.History(context.Background(), batch.Code)
	require.NoError(t, err)
	var correctedBy []int
	for _, entry := range history.Entries(batch.Code) {
		correctedBy = append(correctedBy, entry.CorrectedBy)
	}
	require.Equal(t, []int{2, 3, 0}, correctedBy)
}
