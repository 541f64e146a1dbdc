package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/records"
	"graftslip/records/ledger"
)

// The default number of days ahead for the list, and for a calendar. Our own choice: a
// week's work, and two months.
const (
	daysAhead       = 7
	daysForCalendar = 60
)

func (p program) dueCommand() *cobra.Command {
	v := &baseCommand{program: p}
	days, calendar := daysAhead, ""
	var variety, stock string
	c := &cobra.Command{
		Use:   "due [NAME]",
		Short: "List what is due: which trays to check, harden off or untie",
		Long: `List what is due today and in the days ahead, late work first. Trays of a batch with the same
task share a line. NAME limits the list to batches with it in their names: a part of the variety,
the rootstock, the source, the grafter or the note.

--ics FILE also writes a calendar for other programs; --ics - writes it instead of the list. It has
one event for each task, batch and day, with a reminder at seven in the morning. Late work stands on
today. Write and import the calendar again after new entries: the same batch, task and day stay one
event.`,
		Example: "  slipread due\n  slipread due --days 14 marlpit\n  slipread due --ics due.ics",
		Args:    command.Arguments(oneName),
		RunE: func(c *cobra.Command, args []string) error {
			if days < 0 || days > 3650 {
				return &command.UsageError{Err: errors.New("--days: give 0 to 3650 days")}
			}
			if calendar == "-" && v.asJSON {
				return &command.UsageError{Err: errors.New("--ics - and --json both write to the standard output: give a file for the calendar")}
			}
			if calendar != "" && !c.Flags().Changed("days") {
				days = daysForCalendar
			}
			l, err := v.open(c)
			if err != nil {
				return err
			}
			defer l.close()
			return l.due(c.Context(), ledger.Wanted{Variety: variety, Stock: stock}, strings.Join(args, " "), days, calendar)
		},
	}
	c.Flags().SortFlags = false
	c.Flags().IntVar(&days, "days", days, fmt.Sprintf("how many `DAYS` ahead to look; with --ics %d", daysForCalendar))
	c.Flags().StringVar(&calendar, "ics", "", "calendar `FILE` to write (iCalendar, RFC 5545); - for the terminal")
	c.Flags().Var(command.Name(&variety), "variety", "only this variety")
	c.Flags().Var(command.Name(&stock), "stock", "only this rootstock")
	v.register(c, "write JSON: one object for each task")
	return c
}

// due lists what is due within so many days, and writes it into a calendar.
func (l *job) due(ctx context.Context, wanted ledger.Wanted, name string, days int, calendar string) error {
	histories, err := l.wanted(ctx, wanted)
	if err == nil && name != "" {
		histories, err = l.historiesNamed(histories, name)
	}
	if err != nil {
		return err
	}
	all := dueGroups(histories, l.out.calendar, l.out.today)
	until := l.out.day().AddDate(0, 0, days)
	coming := slices.IndexFunc(all, func(g records.DueGroup) bool { return g[0].From.After(until) })
	if coming < 0 {
		coming = len(all)
	}
	events := eventsOf(all[:coming])
	if calendar != "" {
		if err := l.out.writeCalendar(calendar, l.book.Path(), events, until); err != nil || calendar == "-" {
			return err
		}
	}
	if err := l.out.dueList(all[:coming], all[coming:], until); err != nil || l.out.asJSON || calendar == "" {
		return err
	}
	said := fmt.Sprintf("calendar: %s (%s)", calendar, records.Counted(len(events), "event"))
	if len(events) == 0 {
		said = fmt.Sprintf("calendar: %s (nothing is due)", calendar)
	}
	_, err = fmt.Fprintln(l.out.stdout, said)
	return err
}

// dueJSON is an object of "slipread due --json".
type dueJSON struct {
	From    string   `json:"from"`
	InDays  int      `json:"in_days"` // negative: late
	Task    string   `json:"task"`
	Variety string   `json:"variety"`
	Stock   string   `json:"stock"`
	Batch   string   `json:"batch"`
	Trays   []int    `json:"trays"`
	Codes   []string `json:"codes"`
	Reason  string   `json:"reason"`
}

// dueList writes what is due until a day, one line each, or if there is nothing the
// next task after it.
func (p printer) dueList(due, later []records.DueGroup, until time.Time) error {
	if p.asJSON {
		return p.writeDueJSON(due)
	}
	if len(due) > 0 {
		var rows [][]string
		for _, group := range due {
			w := group[0]
			rows = append(rows, []string{p.dates.Format(w.From), p.when(w.From), w.Task.String(), records.Pair(w.Batch.Variety, w.Batch.Stock),
				group.Trays().String(), w.Reason, strings.Join(group.Codes(), " ")})
		}
		return command.Table(p.stdout, []string{"DUE", "WHEN", "TASK", "PAIR", "TRAYS", "WHY", "CODES"}, rows)
	}
	said := "nothing is due, now or later"
	if len(later) > 0 {
		group, next := later[0], later[0][0]
		said = spaced("nothing is due until "+p.dates.Format(until)+"; next: "+p.dates.Format(next.From), p.when(next.From), next.Task.String(),
			records.Pair(next.Batch.Variety, next.Batch.Stock), group.Where(), next.Reason, strings.Join(group.Codes(), " "))
	}
	_, err := fmt.Fprintln(p.stdout, said)
	return err
}

// writeDueJSON writes an object for each group.
func (p printer) writeDueJSON(due []records.DueGroup) error {
	out := json.NewEncoder(p.stdout)
	for _, group := range due {
		w := group[0]
		if err := out.Encode(dueJSON{
			From: w.From.Format(time.DateOnly), InDays: p.daysUntil(w.From), Task: w.Task.Word(), Variety: w.Batch.Variety, Stock: w.Batch.Stock,
			Batch: w.Batch.Code.String(), Trays: group.Trays(), Codes: group.Codes(), Reason: w.Reason,
		}); err != nil {
			return err
		}
	}
	return nil
}
