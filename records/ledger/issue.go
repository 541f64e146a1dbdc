package ledger

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"maps"
	"slices"
	"time"

	"graftslip/codes"
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
	issuing := &issuing{drafts: drafts, issued: make([]records.Issued, len(drafts)), at: c.at(), now: c.now, tx: c.tx,
		chosen: func(records.Draft) bool { return true }, answered: map[int]string{}}
	for _, option := range options {
		option(issuing)
	}
	if err := issuing.run(ctx); err != nil {
		return nil, err
	}
	return slices.DeleteFunc(issuing.issued, func(i records.Issued) bool { return i.State == 0 }), nil
}

// IssueOption changes what Issue does with drafts.
type IssueOption func(*issuing)

// Only issues only the chosen drafts.
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
	return []any{b.Code.Date().Format(time.DateOnly), b.Code.Batch(), b.Variety, b.Draft.Stock, b.Source, b.Grafts,
		b.TraySize, b.Draft.Stem, b.Draft.Wrap.String(), b.Grafter, b.Note, at}
}

// issuing is the state of one Issue.
type issuing struct {
	drafts   []records.Draft
	chosen   func(records.Draft) bool
	asNew    records.Numbers  // rows
	answered map[int]string   // what rows of asNew that raise a question look like
	issued   []records.Issued // for each draft; the zero Issued for one that is not chosen
	refusals []error
	at       string    // of issue, RFC 3339
	now      time.Time // of the change, in the zone of the clock
	until    string    // the last day, as in 2026-11-25, whose lost codes may be on labels; may be empty

	batches, void          []records.Batch // of the days of the drafts
	partners, voidPartners []int           // for each draft one of batches and one of void, -1 for none

	tx             *sql.Tx
	insert, update *sql.Stmt
}

func (s *issuing) run(ctx context.Context) error {
	for _, prepare := range []struct {
		statement **sql.Stmt
		query     string
	}{
		{&s.insert, insertBatch},
		{&s.update, "UPDATE batches SET grafts = ?, stem = ?, wrap = ?, grafter = ?, note = ? WHERE date = ? AND number = ?"},
	} {
		statement, err := s.tx.PrepareContext(ctx, prepare.query) // closed with tx
		if err != nil {
			return err
		}
		*prepare.statement = statement
	}
	var err error
	if s.until, err = lastClosed(ctx, s.tx); err != nil {
		return err
	}
	days, err := s.pairDays(ctx)
	if err != nil {
		return err
	}
	if err := s.ask(ctx); err != nil {
		return err
	}
	for _, day := range days {
		if err := s.issueDay(ctx, day); err != nil {
			return err
		}
	}
	return errors.Join(s.refusals...)
}

// graftDay is the drafts of one day.
type graftDay struct {
	date    time.Time
	indices []int // of drafts, rising
	highest int   // number of a batch of the day
}

// pairDays finds the batches of all drafts. It returns the days in the order in which they
// first appear.
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
	all := map[codes.Code]records.Batch{}
	var indices []int
	for _, day := range days {
		if len(day.indices) > codes.MaxBatch {
			s.dayFull(day.indices[codes.MaxBatch], day.date)
			day.indices = nil
			continue
		}
		indices = append(indices, day.indices...)
		batches, err := readBatches(ctx, s.tx, versionOfAmendments, ofDay(versionOfAmendments), day.date.Format(time.DateOnly))
		if err != nil {
			return nil, err
		}
		for _, batch := range batches {
			all[batch.Code] = batch // one amended to another day may be in both
			if batch.Code.Date().Equal(day.date) {
				day.highest = max(day.highest, batch.Code.Batch())
			}
		}
	}
	s.pairAll(indices, slices.SortedFunc(maps.Values(all), func(a, b records.Batch) int { return codes.Compare(a.Code, b.Code) }))
	return days, nil
}

// pairAll pairs the drafts at indices with batches, in the order of their codes, and the
// rest with void batches.
func (s *issuing) pairAll(indices []int, batches []records.Batch) {
	for _, batch := range batches {
		if batch.Void {
			s.void = append(s.void, batch)
		} else {
			s.batches = append(s.batches, batch)
		}
	}
	slices.Sort(indices)
	s.partners = pair(s.drafts, indices, s.batches)
	s.voidPartners = pair(s.drafts, slices.DeleteFunc(indices, func(i int) bool { return s.partners[i] >= 0 }), s.void)
}

// issueDay issues the drafts of one day that are chosen.
func (s *issuing) issueDay(ctx context.Context, day *graftDay) (err error) {
	for _, i := range day.indices {
		switch partner := s.partners[i]; {
		case !s.chosen(s.drafts[i]):
		case partner >= 0:
			err = s.bring(ctx, i, s.batches[partner])
		case s.before(day, i) >= 0:
			row := s.drafts[s.before(day, i)].Row
			s.refuse(i, fmt.Sprintf("row %d is the same and must be printed first", row),
				fmt.Sprintf("print both with --rows %d,%d, or tell them apart with a note in each", row, s.drafts[i].Row))
		case s.lost(day.date):
			s.refuse(i, fmt.Sprintf("batches were brought back from tray cards, and labels with other codes of %s may exist", day.date.Format(time.DateOnly)),
				fmt.Sprintf("give new batches a date after %s; bring back a batch that has a card with slipread import; if that day is wrong, see slipread import --closed", s.until))
		case day.highest == codes.MaxBatch:
			s.dayFull(i, day.date)
			return nil
		default:
			day.highest++
			err = s.add(ctx, i, day.date, day.highest)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// before returns the index of an earlier, unchosen draft that would take draft i's new batch
// once the whole file is issued; else -1.
func (s *issuing) before(day *graftDay, i int) int {
	own := versionsOf(records.Batch{Draft: s.drafts[i]})
	for _, other := range day.indices {
		earlier := s.drafts[other]
		if other < i && s.partners[other] < 0 && !s.chosen(earlier) &&
			earlier.Variety == s.drafts[i].Variety && cost(identityOf(earlier), earlier, own) == 0 { // the first is quick and rarely true
			return other
		}
	}
	return -1
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
	if looks, answered := s.answered[i]; answered {
		s.issued[i].AsNew, s.issued[i].Notes = true, []string{looks}
	}
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
	if issued.State == records.Extended && s.lost(batch.Code.Date()) {
		issued.Notes = append(issued.Notes, fmt.Sprintf("stems %d–%d may already be on labels from the lost ledger: check before you use them", issued.Before+1, issued.Grafts))
	}
	s.issued[i] = issued
	s.issued[i].Row = s.drafts[i].Row
	if issued.Draft == batch.Draft {
		return nil
	}
	as := issued.AsIssued()
	_, err := s.update.ExecContext(ctx, as.Grafts, as.Stem, as.Wrap.String(), as.Grafter, as.Note,
		batch.Code.Date().Format(time.DateOnly), batch.Code.Batch())
	return err
}

// refusal says why a draft cannot be issued.
func refusal(draft records.Draft, problem, advice string) *records.Problem {
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
