package main

import (
	"context"
	"fmt"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/ledger"
	"graftslip/records/lookup"
)

// mostListed is the most batches in a list for a person: a screenful.
const mostListed = 20

// named answers a name: with the record of its batch, or with a list of several.
func (l *job) named(ctx context.Context, text string) error {
	if l.book == nil {
		return l.withoutLedger(origin{}, text)
	}
	found, err := l.batchesNamed(ctx, text)
	switch {
	case err != nil:
		return err
	case len(found) == 1:
		_, err := l.text(ctx, found[0].Code.String(), origin{})
		return err
	case !l.out.asJSON:
		return l.list(ctx, found)
	}
	for _, batch := range found {
		history, err := l.book.History(ctx, batch.Code)
		if err != nil {
			return err
		}
		if err := l.out.record(records.Record{Batch: batch, Code: batch.Code}, origin{}, nil, l.out.statusOf(history, batch.Code)); err != nil {
			return err
		}
	}
	return nil
}

// batchesNamed returns the batches that have a text in their names, the best first. If there are
// none, it reports that and returns command.ErrReported.
func (l *job) batchesNamed(ctx context.Context, text string) ([]records.Batch, error) {
	all, err := l.book.Search(ctx, ledger.Wanted{})
	if err == nil && len(all) == 0 {
		err = l.noBatches()
	}
	if err != nil {
		return nil, err
	}
	names := lookup.NamesOf(all)
	found, err := l.search(names, text)
	return names.Batches(found), err
}

// historiesNamed is batchesNamed for some histories.
func (l *job) historiesNamed(histories []records.History, text string) ([]records.History, error) {
	found, err := l.search(lookup.NamesOf(records.BatchesOf(histories)), text)
	named := make([]records.History, len(found))
	for i, at := range found {
		named[i] = histories[at]
	}
	return named, err
}

// search returns which batches have a text in their names, as lookup.Names.Search does. If there
// are none, it reports that and returns command.ErrReported.
func (l *job) search(names *lookup.Names, text string) ([]int, error) {
	found, like := names.Search(text)
	if len(found) == 0 {
		return nil, l.noName(names, text)
	}
	if like && !l.out.asJSON {
		command.Hint(l.out.stderr, fmt.Sprintf("no batch has %q in its names; these are similar", text))
	}
	return found, nil
}

// noName reports that no batch has a text in its names. It may be a mistyped command.
func (l *job) noName(names *lookup.Names, text string) error {
	err := names.None(text)
	return l.out.fault(origin{}, text, lookup.NotInLedger, command.Advise(err, l.mistyped(text)))
}

// oneNamed returns the code of the only batch with a text in its names. If there is none, or
// several, it reports that and returns command.ErrReported.
func (l *job) oneNamed(ctx context.Context, text string) (codes.Code, error) {
	found, err := l.batchesNamed(ctx, text)
	if err != nil {
		return codes.Code{}, err
	}
	wrong := fmt.Sprintf("%q matches %s", text, records.Counted(len(found), "batch"))
	if l.name == "log" {
		wrong = fmt.Sprintf("an entry needs a code, and %q is a name; it matches %s", text, records.Counted(len(found), "batch"))
	} else if len(found) == 1 {
		return found[0].Code, nil
	}
	err = lookup.Several(wrong, found, fmt.Sprintf("give the code: slipread %s %s", l.name, found[0].Code.BatchName()))
	return codes.Code{}, l.out.fault(origin{}, text, lookup.Ambiguous, err)
}

// list lists batches, at most a screenful.
func (l *job) list(ctx context.Context, found []records.Batch) error {
	p, listed := l.out, found[:min(mostListed, len(found))]
	var rows [][]string
	for _, b := range listed {
		history, err := l.book.History(ctx, b.Code)
		if err != nil {
			return err
		}
		s := p.statusOf(history, b.Code)
		rows = append(rows, []string{b.Code.BatchName(), records.Pair(b.Variety, b.Stock), p.dates.Format(b.Date), s.stage.String(),
			fmt.Sprintf("%d of %d", s.tally.Alive, b.Grafts)})
	}
	if err := command.Table(p.stdout, []string{"BATCH", "PAIR", "GRAFTED", "STAGE", "ALIVE"}, rows); err != nil {
		return err
	}
	total := records.Counted(len(found), "batch")
	if len(listed) < len(found) {
		total = fmt.Sprintf("%d of %s", len(listed), total)
		command.Hint(p.stderr, "for fewer, add a part of another name, such as the stock; --json lists all")
	}
	_, err := fmt.Fprintln(p.stdout, total)
	return err
}
