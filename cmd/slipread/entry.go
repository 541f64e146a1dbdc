package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"graftslip/cmd/internal/command"
	"graftslip/records"
	"graftslip/records/ledger"
	"graftslip/records/lookup"
)

// entryJSON is an entry in an object of "slipread --json". Fields without a value are
// left out.
type entryJSON struct {
	Entry       int    `json:"entry"`
	Code        string `json:"code"`
	At          string `json:"at"`
	By          string `json:"by,omitempty"`
	Alive       *int   `json:"alive,omitempty"`
	Growing     *int   `json:"growing,omitempty"`
	Rooted      *int   `json:"rooted,omitempty"`
	Dead        *int   `json:"dead,omitempty"`
	OutOfMist   bool   `json:"out_of_mist,omitempty"`
	Flushed     bool   `json:"flushed,omitempty"`
	TieRemoved  bool   `json:"tie_removed,omitempty"`
	Sold        int    `json:"sold,omitempty"`
	Planted     int    `json:"planted,omitempty"`
	Culled      int    `json:"culled,omitempty"`
	Unused      int    `json:"unused,omitempty"`
	Note        string `json:"note,omitempty"`
	Corrects    int    `json:"corrects,omitempty"`
	CorrectedBy int    `json:"corrected_by,omitempty"`
	Undone      bool   `json:"undone,omitempty"` // by that entry
}

func newEntryJSON(o records.Entry) entryJSON {
	said := func(count records.Count) *int {
		if n, is := count.Value(); is {
			return &n
		}
		return nil
	}
	return entryJSON{
		Entry: o.Number, Code: o.Unit.String(), At: o.At.Format(time.RFC3339), By: o.By,
		Alive: said(o.Alive), Growing: said(o.Growing), Rooted: said(o.Rooted), Dead: said(o.Dead),
		OutOfMist: o.OutOfMist, Flushed: o.Flushed, TieRemoved: o.TieRemoved,
		Sold: o.Sold, Planted: o.Planted, Culled: o.Culled, Unused: o.Unused, Note: o.Note, Corrects: o.Corrects,
	}
}

// entry reports an entry that was kept: its number and words, and the state of its unit.
func (p printer) entry(history records.History, o records.Entry) error {
	s := p.statusOf(history, o.Unit)
	if p.asJSON {
		return json.NewEncoder(p.stdout).Encode(struct {
			entryJSON
			statusJSON
		}{newEntryJSON(o), s.json()})
	}
	record := records.Record{Batch: history.Batch, Code: o.Unit}
	parts := []string{o.Unit.String(), records.Pair(history.Batch.Variety, history.Batch.Stock), record.Words(), fmt.Sprintf("entry %d: %s", o.Number, o.Words())}
	_, err := fmt.Fprintln(p.stdout, spaced(append(parts, p.statusWords(s)...)...))
	return err
}

// recorder keeps entries.
type recorder struct {
	*job
	by  string
	now func() time.Time
	at  func(now time.Time) time.Time // when it was seen; zero: when it is entered
}

// single keeps one entry about a code. A correction or undo without a code takes that of
// the wrong entry.
func (l *recorder) single(ctx context.Context, text string, o records.Entry) error {
	if text != "" {
		found, err := l.findNamed(ctx, text)
		if err != nil {
			return err
		}
		o.Unit = found.Code
	}
	if o.Unit.IsZero() || o.Undoes() {
		wrong, is, err := l.book.Entry(ctx, o.Corrects)
		switch {
		case err != nil:
			return err
		case !is:
			return l.out.fault(origin{}, text, refused, &command.HintedError{
				Err: fmt.Errorf("there is no entry %d", o.Corrects), Advice: "slipread history CODE lists the entries with their numbers"})
		case !o.Unit.IsZero() && o.Unit != wrong.Unit:
			return l.out.fault(origin{}, text, refused, &command.HintedError{
				Err: fmt.Errorf("entry %d is about %v, not %v", o.Corrects, wrong.Unit, o.Unit), Advice: "leave out the code, or give the number of another entry"})
		}
		o.Unit = wrong.Unit
	}
	return l.keep(ctx, text, o, "")
}

// keep enters an entry and reports it. It returns command.ErrReported when it has
// reported, with the advice if there is any, that the entry was refused.
func (l *recorder) keep(ctx context.Context, text string, o records.Entry, advice string) error {
	l.out.today = l.now()
	o.Key, o.By, o.At = records.NewKey(), l.by, l.at(l.out.today)
	kept, _, err := l.book.Log(ctx, o)
	if kind, refused := refusalKind(err); refused {
		var entry *records.EntryError
		if errors.As(err, &entry) && entry.Earlier.Number != 0 {
			n := entry.Earlier.Number
			err = command.Advise(err, fmt.Sprintf("to correct entry %d, run slipread log --correct %d with all its counts; to undo it, slipread log --undo %d", n, n, n))
		}
		if advice != "" {
			err = command.Advise(err, advice)
		}
		return l.out.fault(origin{}, text, kind, err)
	}
	if err != nil {
		return err
	}
	history, err := l.book.History(ctx, kept.Unit)
	if err != nil {
		return err
	}
	if err := l.out.entry(history, kept); err != nil || l.out.asJSON {
		return err
	}
	if same, is := sameBefore(history, kept); is {
		command.Hint(l.out.stderr, fmt.Sprintf("entry %d, %s, is the same; if you entered it twice, run slipread log --undo %d", same.Number, l.out.ago(same, kept), kept.Number))
	}
	return nil
}

// enteredTwice is the time within which an equal entry may have been entered twice by
// mistake. Our own choice.
const enteredTwice = 10 * time.Minute

// sameBefore returns the entry before one about the same code, if both have the same
// content and are at most enteredTwice apart.
func sameBefore(history records.History, entry records.Entry) (before records.Entry, is bool) {
	for _, other := range history.Entries(entry.Unit) {
		if other.Unit == entry.Unit && other.Number < entry.Number && other.Number > before.Number {
			before, is = other.Entry, other.CorrectedBy == 0
		}
	}
	apart := entry.At.Sub(before.At)
	return before, is && before.Words() == entry.Words() && 0 <= apart && apart <= enteredTwice
}

// ago says how long before an entry another was made.
func (p printer) ago(before, entry records.Entry) string {
	switch minutes := int(entry.At.Sub(before.At).Minutes()); {
	case p.today.Sub(entry.At) > enteredTwice:
		return "of " + p.dates.Format(entry.At)
	case minutes > 0:
		return records.Counted(minutes, "minute") + " ago"
	}
	return "just now"
}

// refusalKind returns why the ledger refused an entry; is is false for errors that end the
// job.
func refusalKind(err error) (kind lookup.Kind, is bool) {
	var entry *records.EntryError
	switch {
	case errors.As(err, &entry) && entry.Contradicts:
		return contradicts, true
	case errors.As(err, &entry):
		return refused, true
	case errors.Is(err, ledger.ErrNotIssued):
		return lookup.NotInLedger, true
	}
	return "", false
}
