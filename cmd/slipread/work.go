package main

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"graftslip/codes"
	"graftslip/records"
)

// work is a task for trays of one batch, due on one day for one reason.
type work struct {
	records.Due
	units []codes.Code
}

// workOf lists all that is due or will be, what is late first.
func workOf(courses []records.Course, calendar records.Calendar, today time.Time) []work {
	var all []work
	for _, course := range courses {
		first := len(all)
		for _, due := range course.Due(calendar.For(course.Batch.Variety, course.Batch.Stock), today) {
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

// trays are the numbers of the trays; none for a batch that stands in one.
func (w work) trays() records.Numbers {
	var numbers records.Numbers
	for _, unit := range w.units {
		if unit.Kind() == codes.Tray {
			numbers = append(numbers, unit.Number())
		}
	}
	return numbers
}

// where names the units within their batch.
func (w work) where() string {
	switch trays := w.trays(); len(trays) {
	case 0:
		return fmt.Sprintf("batch of %d", w.Batch.Grafts)
	case 1:
		return fmt.Sprintf("tray %v", trays)
	default:
		return fmt.Sprintf("trays %v", trays)
	}
}

// codes are those of the units; of many the first and the last.
func (w work) codes() string {
	const most = 4
	texts := make([]string, len(w.units))
	for i, unit := range w.units {
		texts[i] = unit.String()
	}
	if len(texts) > most {
		return texts[0] + " to " + texts[len(texts)-1]
	}
	return strings.Join(texts, ", ")
}

// workLine is an object of "slipread due --json".
type workLine struct {
	From    string   `json:"from"`
	InDays  int      `json:"in_days"` // negative: late
	Task    string   `json:"task"`
	Variety string   `json:"variety"`
	Stock   string   `json:"stock"`
	Batch   string   `json:"batch"`
	Trays   []int    `json:"trays,omitempty"`
	Codes   []string `json:"codes"`
	Reason  string   `json:"reason"`
}

// works writes what is due until a day, a line each; when there is nothing,
// what comes first after it.
func (p printer) works(due, later []work, until time.Time) error {
	out := json.NewEncoder(p.stdout)
	for _, w := range due {
		if !p.asJSON {
			if _, err := fmt.Fprintln(p.stdout, p.work(w)); err != nil {
				return err
			}
			continue
		}
		line := workLine{
			From: w.From.Format(time.DateOnly), InDays: p.daysUntil(w.From), Task: w.Task.Word(), Variety: w.Batch.Variety, Stock: w.Batch.Stock,
			Batch: w.Batch.Code.String(), Trays: w.trays(), Reason: w.Reason,
		}
		for _, unit := range w.units {
			line.Codes = append(line.Codes, unit.String())
		}
		if err := out.Encode(line); err != nil {
			return err
		}
	}
	if len(due) > 0 || p.asJSON {
		return nil
	}
	said := "nothing is due until " + p.dates.Format(until)
	if len(later) > 0 {
		said += "; next: " + p.work(later[0])
	} else {
		said = "nothing is due, and nothing is known to come"
	}
	_, err := fmt.Fprintln(p.stdout, said)
	return err
}

// work says a line of what is due.
func (p printer) work(w work) string {
	return told(p.dates.Format(w.From), p.when(w.From), w.Task.String(), records.Pair(w.Batch.Variety, w.Batch.Stock), w.where(), w.codes(), w.Reason)
}
