package main

import (
	"context"
	"fmt"
	"strings"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/lookup"
)

// mostListed is the most batches in a list for a person: a screenful.
const mostListed = 20

// named answers a name: with the record of its batch, or with a list of several.
func (l *job) named(ctx context.Context, text string) error {
	if l.book == nil {
		return l.withoutLedger(origin{}, text)
	}
	histories, err := l.histories(ctx)
	if err != nil {
		return err
	}
	found, err := l.search(histories, text)
	switch {
	case err != nil:
		return err
	case len(found) == 1:
		_, err := l.text(ctx, found[0].Batch.Code.String(), origin{})
		return err
	case l.out.asJSON:
		for _, history := range found {
			if err := l.out.record(records.Record{Batch: history.Batch, Code: history.Batch.Code}, origin{}, nil, l.out.statusOf(history, history.Batch.Code)); err != nil {
				return err
			}
		}
		return nil
	}
	return l.out.batches(found)
}

// search returns those histories whose batches have a text in their names, the best first. Where
// it has reported that there are none the error is command.ErrReported.
func (l *job) search(histories []records.History, text string) ([]records.History, error) {
	names := lookup.NamesOf(records.BatchesOf(histories))
	at, like := names.Search(text)
	if len(at) == 0 {
		return nil, l.noName(names, text)
	}
	if like && !l.out.asJSON {
		command.Hint(l.out.stderr, fmt.Sprintf("no batch has %q in its names; these are like it", text))
	}
	found := make([]records.History, len(at))
	for i, each := range at {
		found[i] = histories[each]
	}
	return found, nil
}

// noName reports that no batch has a text in its names. It may be a mistyped command.
func (l *job) noName(names *lookup.Names, text string) error {
	err := names.None(text)
	if like := l.commands(text); len(like) > 0 {
		err = command.Advise(err, fmt.Sprintf("did you mean slipread %s?", strings.Join(like, " or slipread ")))
	}
	return l.out.fault(origin{}, text, lookup.NotInLedger, err)
}

// oneNamed returns the code of the batch that alone has a text in its names. Where it has
// reported that there is none, or several, the error is command.ErrReported.
func (l *job) oneNamed(ctx context.Context, text string) (codes.Code, error) {
	histories, err := l.histories(ctx)
	if err != nil {
		return codes.Code{}, err
	}
	found, err := l.search(histories, text)
	if err != nil {
		return codes.Code{}, err
	}
	wrong := fmt.Sprintf("%q stands for %s", text, records.Counted(len(found), "batch"))
	if l.name == "log" {
		wrong = fmt.Sprintf("an entry needs a code, and %q is a name, of %s", text, records.Counted(len(found), "batch"))
	} else if len(found) == 1 {
		return found[0].Batch.Code, nil
	}
	batches := records.BatchesOf(found)
	err = lookup.Several(wrong, batches, fmt.Sprintf("give the code: slipread %s %s", l.name, batches[0].Code.BatchName()))
	return codes.Code{}, l.out.fault(origin{}, text, lookup.Ambiguous, err)
}

// batches lists batches, at most a screenful.
func (p printer) batches(found []records.History) error {
	listed := found[:min(mostListed, len(found))]
	var rows [][]string
	for _, history := range listed {
		b := history.Batch
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
