package main

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"graftslip/cmd/internal/command"
	"graftslip/records"
	"graftslip/records/ledger"
	"graftslip/records/plan/forecast"
)

// history is what a plan takes from the ledger.
type history struct {
	path     string // of the ledger, also when there is none
	calendar records.Calendar
	outcomes []forecast.Outcome
	nursery  *forecast.Nursery
	stays    records.Stays
	standing []records.BedTray // under mist today
	toCome   []records.BedTray // labelled for coming days
}

// learn reads the ledger; there may be none yet.
func (j *planJob) learn(ctx context.Context) (err error) {
	h := &j.history
	if h.calendar, err = command.LoadCalendar(); err != nil {
		return err
	}
	if h.path, err = command.LedgerPath(j.ledger); err != nil {
		return err
	}
	histories, err := coursesOf(ctx, h.path)
	if err != nil {
		return err
	}
	if histories == nil {
		command.Hint(j.stderr, fmt.Sprintf("there is no ledger %s yet, so nothing is known of earlier batches and of the mist bed", h.path))
	}
	h.outcomes = forecast.Outcomes(histories, h.calendar, j.today)
	if j.take == 0 {
		h.nursery = forecast.Learn(h.outcomes)
	}
	h.stays = records.StaysOf(histories)
	h.standing = records.Bed(histories, h.calendar, j.today)
	h.toCome = records.ToCome(histories, h.calendar, j.today)
	return nil
}

// coursesOf reads all batches of a ledger; none where there is no ledger.
func coursesOf(ctx context.Context, path string) ([]records.History, error) {
	book, err := ledger.OpenExisting(ctx, path)
	if errors.Is(err, ledger.ErrMissing) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	defer book.Close()
	histories, err := book.Histories(ctx)
	if histories == nil {
		histories = []records.History{} // there is a ledger
	}
	return histories, err
}

// takeOf is the share of a pair's grafts that become plants, and what that
// stands on.
func (j *planJob) takeOf(variety, stock string) (forecast.Take, string, error) {
	if j.take > 0 {
		take, err := forecast.Known(j.take)
		return take, "as you say", err
	}
	take, basis := j.history.nursery.Take(variety, stock)
	return take, basis.Words(), nil
}

// daysOf is how long before the day on which plants must be finished they are to
// be grafted, and what that stands on.
func (h *history) daysOf(variety, stock string) (int, string) {
	wait := forecast.Days(h.outcomes, variety, stock)
	if guess := forecast.Days(nil, variety, stock); wait == guess {
		return h.calendar.For(variety, stock).Flush, "a guess: the days to the first flush"
	}
	if wait.Least {
		return wait.High, "as long as the longest has stood of " + wait.Basis
	}
	return wait.High, "nine in ten of " + wait.Basis
}

// hasLabels reports whether a batch of the same day, pair and source as a draft
// has labels, so that "print" would take the draft for it.
func (h *history) hasLabels(d records.Draft) bool {
	return slices.ContainsFunc(slices.Concat(h.standing, h.toCome), func(tray records.BedTray) bool {
		b := tray.Batch
		return b.Date.Equal(d.Date) && records.Key(b.Variety) == records.Key(d.Variety) && records.Key(b.Stock) == records.Key(d.Stock) && records.Key(b.Source) == records.Key(d.Source)
	})
}

// labelled is how many grafts of a pair have labels for coming days.
func (h *history) labelled(variety, stock string) int {
	grafts := 0
	variety, stock = records.Key(variety), records.Key(stock)
	for _, tray := range h.toCome {
		if records.Key(tray.Batch.Variety) == variety && records.Key(tray.Batch.Stock) == stock {
			grafts += tray.Tally.Stems
		}
	}
	return grafts
}
