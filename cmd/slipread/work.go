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

// workOf lists all that is due or will be, what is late first. Trays of a batch that
// wait for the same are one.
func workOf(histories []records.History, calendar records.Calendar, today time.Time) []records.DueGroup {
	all := records.DueGroups(records.DueOn(histories, calendar, today))
	slices.SortStableFunc(all, func(a, b records.DueGroup) int {
		return cmp.Or(a[0].From.Compare(b[0].From), codes.Compare(a[0].Unit, b[0].Unit))
	})
	return all
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
func (p printer) works(due, later []records.DueGroup, until time.Time) error {
	if p.asJSON {
		return p.workLines(due)
	}
	if len(due) > 0 {
		var rows [][]string
		for _, group := range due {
			w := group[0]
			rows = append(rows, []string{p.dates.Format(w.From), p.when(w.From), short(w.Task), records.Pair(w.Batch.Variety, w.Batch.Stock),
				group.Trays().String(), w.Reason, strings.Join(group.Codes(), " ")})
		}
		return command.Table(p.stdout, []string{"DUE", "WHEN", "TASK", "PAIR", "TRAYS", "WHY", "CODES"}, rows)
	}
	said := "nothing is due, and nothing is known to come"
	if len(later) > 0 {
		group, next := later[0], later[0][0]
		said = told("nothing is due until "+p.dates.Format(until)+"; next: "+p.dates.Format(next.From), p.when(next.From), next.Task.String(),
			records.Pair(next.Batch.Variety, next.Batch.Stock), group.Where(), next.Reason, strings.Join(group.Codes(), " "))
	}
	_, err := fmt.Fprintln(p.stdout, said)
	return err
}

// workLines writes an object for each.
func (p printer) workLines(due []records.DueGroup) error {
	out := json.NewEncoder(p.stdout)
	for _, group := range due {
		w := group[0]
		if err := out.Encode(workLine{
			From: w.From.Format(time.DateOnly), InDays: p.daysUntil(w.From), Task: w.Task.Word(), Variety: w.Batch.Variety, Stock: w.Batch.Stock,
			Batch: w.Batch.Code.String(), Trays: group.Trays(), Codes: group.Codes(), Reason: w.Reason,
		}); err != nil {
			return err
		}
	}
	return nil
}
