package main

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/records"
)

// work is a task for trays of one batch, due on one day for one reason.
type work struct {
	records.Due
	units []codes.Code
}

// workOf lists all that is due or will be, what is late first.
func workOf(histories []records.History, calendar records.Calendar, today time.Time) []work {
	var all []work
	for _, history := range histories {
		first := len(all)
		for _, due := range history.Due(calendar.For(history.Batch.Variety, history.Batch.Stock), today) {
			same := slices.IndexFunc(all[first:], func(w work) bool {
				return w.Task == due.Task && w.From.Equal(due.From) && w.Reason == due.Reason
			})
			if same < 0 {
				all = append(all, work{due, []codes.Code{due.Unit}})
				continue
			}
			all[first+same].units = append(all[first+same].units, due.Unit)
		}
	}
	slices.SortStableFunc(all, func(a, b work) int { return cmp.Or(a.From.Compare(b.From), codes.Compare(a.Unit, b.Unit)) })
	return all
}

// trays are the numbers of the trays.
func (w work) trays() records.Numbers {
	var numbers records.Numbers
	for _, unit := range w.units {
		numbers = append(numbers, unit.Number())
	}
	return numbers
}

// where names the units within their batch.
func (w work) where() string {
	trays := w.trays()
	if len(trays) == 1 {
		return fmt.Sprintf("tray %v", trays)
	}
	return fmt.Sprintf("trays %v", trays)
}

// codes are those of the units. None is left out, as each is to be copied.
func (w work) codes() []string {
	var texts []string
	for _, unit := range w.units {
		texts = append(texts, unit.String())
	}
	return texts
}

// short is a task in a table.
func short(task records.Task) string {
	switch task {
	case records.LookForGrowth:
		return "look for growth"
	case records.LookAgain:
		return "look again"
	case records.LookForFlush:
		return "look for flush"
	case records.Ask:
		return "still there?"
	}
	return task.String()
}

// workLine is an object of "slipread due --json".
type workLine struct {
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

// works writes what is due until a day, a line each; when there is nothing,
// what comes first after it.
func (p printer) works(due, later []work, until time.Time) error {
	if p.asJSON {
		return p.workLines(due)
	}
	if len(due) > 0 {
		var rows [][]string
		for _, w := range due {
			rows = append(rows, []string{p.dates.Format(w.From), p.when(w.From), short(w.Task), records.Pair(w.Batch.Variety, w.Batch.Stock),
				w.trays().String(), w.Reason, strings.Join(w.codes(), " ")})
		}
		return command.Table(p.stdout, []string{"DUE", "WHEN", "TASK", "PAIR", "TRAYS", "WHY", "CODES"}, rows)
	}
	said := "nothing is due, and nothing is known to come"
	if len(later) > 0 {
		next := later[0]
		said = told("nothing is due until "+p.dates.Format(until)+"; next: "+p.dates.Format(next.From), p.when(next.From), next.Task.String(),
			records.Pair(next.Batch.Variety, next.Batch.Stock), next.where(), next.Reason, strings.Join(next.codes(), " "))
	}
	_, err := fmt.Fprintln(p.stdout, said)
	return err
}

// workLines writes an object for each.
func (p printer) workLines(due []work) error {
	out := json.NewEncoder(p.stdout)
	for _, w := range due {
		if err := out.Encode(workLine{
			From: w.From.Format(time.DateOnly), InDays: p.daysUntil(w.From), Task: w.Task.Word(), Variety: w.Batch.Variety, Stock: w.Batch.Stock,
			Batch: w.Batch.Code.String(), Trays: w.trays(), Codes: w.codes(), Reason: w.Reason,
		}); err != nil {
			return err
		}
	}
	return nil
}
