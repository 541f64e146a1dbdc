package ledger

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"time"

	"graftslip/codes"
	"graftslip/layouts"
	"graftslip/records"
)

// Issue gives every draft its batch. The outcomes come in the order of the
// drafts.
//
// The drafts are all rows of a file, for what is known depends on all of them;
// with Only the others are paired too, and none of them is issued.
//
// Drafts that cannot be issued are named in the error, all at once: a day
// with more than 999 batches, a batch with more than 999 trays, a new batch of
// a day up to that of Restore, a draft that does not keep to what
// records.Draft says. Nothing may be done with the Change after an error.
func (c *Change) Issue(ctx context.Context, drafts []records.Draft, options ...IssueOption) ([]records.Issued, error) {
	var refusals []error
	for _, draft := range drafts {
		if problem := problemOf(draft); problem != "" {
			refusals = append(refusals, refusal(draft, problem, "correct that row"))
		}
	}
	if len(refusals) > 0 {
		return nil, errors.Join(refusals...)
	}
	issuing := &issuing{drafts: drafts, issued: make([]records.Issued, len(drafts)), at: c.at(),
		chosen: func(records.Draft) bool { return true }}
	for _, option := range options {
		option(issuing)
	}
	if err := issuing.run(ctx, c.tx); err != nil {
		return nil, err
	}
	return slices.DeleteFunc(issuing.issued, func(i records.Issued) bool { return i.State == 0 }), nil
}

// IssueOption changes what Issue does with drafts.
type IssueOption func(*issuing)

// Only issues those of the drafts that are chosen.
func Only(chosen func(records.Draft) bool) IssueOption {
	return func(s *issuing) { s.chosen = chosen }
}

// AsNew makes new batches of the rows that would raise a question.
func AsNew(rows records.Numbers) IssueOption {
	return func(s *issuing) { s.asNew = rows }
}

// Issue is Change.Issue in a change of its own. Before it is committed, before
// is called with the outcomes, unless it is nil; its error undoes everything
// and is returned as it is. Errors are those of both; after any of them the
// ledger is as it was.
func (l *Ledger) Issue(ctx context.Context, drafts []records.Draft, before func(*Change, []records.Issued) error, options ...IssueOption) ([]records.Issued, error) {
	var issued []records.Issued
	err := l.Change(ctx, func(c *Change) (err error) {
		issued, err = c.Issue(ctx, drafts, options...)
		if err == nil && before != nil {
			err = before(c, issued)
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	return issued, nil
}

const insertBatch = "INSERT INTO batches (" + batchColumns + `, issued_at)
	VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`

// rowOf is a batch as insertBatch has it.
func rowOf(b records.Batch, at string) []any {
	return []any{b.Date.Format(time.DateOnly), b.Code.Batch(), b.Variety, b.Draft.Stock, b.Source, b.Grafts,
		b.TraySize, b.Draft.Stem, b.Draft.Wrap.String(), b.Grafter, b.Note, at}
}

// issuing is the state of one Issue.
type issuing struct {
	drafts   []records.Draft
	chosen   func(records.Draft) bool
	asNew    records.Numbers  // rows
	issued   []records.Issued // for each draft; the zero Issued for one that is not chosen
	refusals []error
	at       string // of issue, RFC 3339
	until    string // the last day, as in 2026-11-25, of which lost codes may stand on labels; may be empty

	onDay, insert, update *sql.Stmt
}

func (s *issuing) run(ctx context.Context, tx *sql.Tx) error {
	for _, prepare := range []struct {
		statement **sql.Stmt
		query     string
	}{
		{&s.onDay, selectBatches + " WHERE date = ? ORDER BY number"},
		{&s.insert, insertBatch},
		{&s.update, "UPDATE batches SET grafts = ?, stem = ?, wrap = ?, grafter = ?, note = ? WHERE date = ? AND number = ?"},
	} {
		statement, err := tx.PrepareContext(ctx, prepare.query) // closed with tx
		if err != nil {
			return err
		}
		*prepare.statement = statement
	}
	var err error
	if s.until, err = lastClosed(ctx, tx); err != nil {
		return err
	}
	days, err := s.pairDays(ctx)
	if err != nil {
		return err
	}
	for _, day := range days {
		if err := s.issueDay(ctx, day); err != nil {
			return err
		}
	}
	return errors.Join(s.refusals...)
}

// graftDay is the drafts of one day and the batches that the ledger has of it.
type graftDay struct {
	date     time.Time
	indices  []int // of drafts, rising
	batches  []records.Batch
	partners []int // for each of indices its batch, -1 for none
}

// pairDays finds the batches of all drafts, day by day in the order in which the
// days first appear.
func (s *issuing) pairDays(ctx context.Context) ([]*graftDay, error) {
	var days []*graftDay
	byDate := map[time.Time]*graftDay{}
	for i, draft := range s.drafts {
		date := records.Midnight(draft.Date)
		if byDate[date] == nil {
			byDate[date] = &graftDay{date: date}
			days = append(days, byDate[date])
		}
		byDate[date].indices = append(byDate[date].indices, i)
	}
	for _, day := range days {
		if len(day.indices) > codes.MaxBatch {
			s.dayFull(day.indices[codes.MaxBatch], day.date)
			day.indices = nil
			continue
		}
		var err error
		if day.batches, err = readAll(scanBatch)(s.onDay.QueryContext(ctx, day.date.Format(time.DateOnly))); err != nil {
			return nil, err
		}
		day.partners = pair(s.drafts, day.indices, day.batches)
	}
	return days, nil
}

// issueDay issues the drafts of one day that are chosen.
func (s *issuing) issueDay(ctx context.Context, day *graftDay) (err error) {
	highest := 0
	if len(day.batches) > 0 {
		highest = day.batches[len(day.batches)-1].Code.Batch()
	}
	for k, i := range day.indices {
		partner := day.partners[k]
		switch {
		case !s.chosen(s.drafts[i]):
		case partner >= 0:
			err = s.bring(ctx, i, day.batches[partner])
		case s.lost(day.date):
			s.refuse(i, fmt.Sprintf("batches were brought back from tray cards, and labels with other codes of %s may exist", day.date.Format(time.DateOnly)),
				fmt.Sprintf("give new batches a date after %s; bring back a batch that has a card with slipread import", s.until))
		case highest == codes.MaxBatch:
			s.dayFull(i, day.date)
			return nil
		default:
			highest++
			err = s.add(ctx, i, day.date, highest)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// lost reports whether a ledger that was lost may have given codes of a day.
func (s *issuing) lost(date time.Time) bool { return date.Format(time.DateOnly) <= s.until }

func (s *issuing) refuse(i int, problem, advice string) {
	s.refusals = append(s.refusals, refusal(s.drafts[i], problem, advice))
}

func (s *issuing) dayFull(i int, date time.Time) {
	s.refuse(i, fmt.Sprintf("%s has no batch number left: a day has at most %d batches", date.Format(time.DateOnly), codes.MaxBatch),
		"combine rows of the same pair, or graft the rest on another day")
}

// add issues a new batch.
func (s *issuing) add(ctx context.Context, i int, date time.Time, number int) error {
	draft := s.drafts[i]
	draft.Date = date
	code, err := codes.New(date, number)
	if err != nil {
		return err
	}
	s.issued[i] = records.Issued{Batch: records.Batch{Code: code, Draft: draft}, State: records.New}
	_, err = s.insert.ExecContext(ctx, rowOf(s.issued[i].Batch, s.at)...)
	return err
}

// bring issues a draft that is a known batch, and brings the ledger up to date
// where the draft says something newer.
func (s *issuing) bring(ctx context.Context, i int, batch records.Batch) error {
	issued := update(s.drafts[i], batch)
	if trays := issued.Trays(); trays > codes.MaxTray {
		s.refuse(i, fmt.Sprintf("%d grafts would fill %d trays of %d, the size this batch was issued with; a batch has at most %d",
			issued.Grafts, trays, issued.TraySize, codes.MaxTray), "put the extra grafts in a second batch, with another source or grafter")
		return nil
	}
	if issued.State == records.Extended && s.lost(batch.Date) {
		issued.Notes = append(issued.Notes, fmt.Sprintf("stems %d–%d may already be on labels from the lost ledger: check before you use them", issued.Before+1, issued.Grafts))
	}
	s.issued[i] = issued
	s.issued[i].Row = s.drafts[i].Row
	if issued.Draft == batch.Draft {
		return nil
	}
	_, err := s.update.ExecContext(ctx, issued.Grafts, issued.Stem, issued.Wrap.String(), issued.Grafter, issued.Note,
		batch.Date.Format(time.DateOnly), batch.Code.Batch())
	return err
}

// refusal says why a draft cannot be issued.
func refusal(draft records.Draft, problem, advice string) error {
	text := fmt.Sprintf("%q: %s", draft.Variety, problem)
	if draft.Row != 0 {
		text = fmt.Sprintf("row %d, %s", draft.Row, text)
	}
	return &records.Problem{Text: text, Advice: advice}
}

// problemOf says, as a clause, what no reader of manifests would let through, ""
// when there is nothing.
func problemOf(draft records.Draft) string {
	switch _, err := codes.New(draft.Date, 1); {
	case err != nil:
		return "the date " + draft.Date.Format(time.DateOnly) + " is not in the years 2000-2099"
	case draft.Variety == "" || draft.Stock == "":
		return "the variety or the rootstock has no name"
	case draft.Grafts < 1 || draft.Grafts > codes.MaxStem:
		return fmt.Sprintf("%d grafts is not from 1 to %d", draft.Grafts, codes.MaxStem)
	case draft.TraySize < 0 || draft.TraySize > codes.MaxStem || draft.Trays() > codes.MaxTray:
		return fmt.Sprintf("trays of %d for %d grafts do not make 1 to %d trays", draft.TraySize, draft.Grafts, codes.MaxTray)
	case draft.Stem != 0 && !records.IsStem(draft.Stem):
		return fmt.Sprintf("a stem of %v mm is not from %v to %v mm", draft.Stem, records.MinStem, records.MaxStem)
	}
	return ""
}

// update returns the outcome for a draft that is a known batch: the batch as it
// is to be from now on, and notes on what changes and what does not.
func update(draft records.Draft, batch records.Batch) records.Issued {
	issued := records.Issued{Batch: batch, State: records.Known, Before: batch.Grafts}
	note := func(format string, values ...any) {
		issued.Notes = append(issued.Notes, fmt.Sprintf(format, values...))
	}
	switch {
	case draft.Grafts > batch.Grafts:
		issued.State, issued.Grafts = records.Extended, draft.Grafts
	case draft.Grafts < batch.Grafts:
		issued.State = records.Kept
		note("the row asks for %d grafts, but %d stems have codes and keep them", draft.Grafts, batch.Grafts)
	}
	for _, name := range []struct{ what, draft, batch string }{
		{"variety", draft.Variety, batch.Variety}, {"stock", draft.Stock, batch.Stock}, {"source", draft.Source, batch.Source},
	} {
		if name.draft != name.batch {
			note("the %s stays as first issued, %q; the row has %q", name.what, name.batch, name.draft)
		}
	}
	if draft.TraySize != batch.TraySize {
		note("%s, as first issued; the row asks for %s", trays(batch.TraySize), trays(draft.TraySize))
	}
	if draft.Stem != 0 && draft.Stem != batch.Stem {
		note("stem diameter %s%s", layouts.FormatLength(draft.Stem), was(batch.Stem != 0, layouts.FormatLength(batch.Stem)))
		issued.Stem = draft.Stem
	}
	if draft.Wrap != 0 && draft.Wrap != batch.Wrap {
		note("label wrap %s%s", draft.Wrap, was(batch.Wrap != 0, batch.Wrap.String()))
		issued.Wrap = draft.Wrap
	}
	if draft.Note != "" && draft.Note != batch.Note {
		note("note %q%s", draft.Note, was(batch.Note != "", fmt.Sprintf("%q", batch.Note)))
		issued.Note = draft.Note
	}
	if draft.Grafter != "" && batch.Grafter == "" {
		note("grafter %q", draft.Grafter)
		issued.Grafter = draft.Grafter
	}
	return issued
}

// was returns what to say of the value before, if there was one.
func was(said bool, value string) string {
	if said {
		return ", previously " + value
	}
	return ""
}

func trays(size int) string {
	if size == 0 {
		return "one tray for the whole batch"
	}
	return fmt.Sprintf("trays of %d", size)
}
