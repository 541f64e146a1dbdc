package main

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"graftslip/codes"
	"graftslip/records"
)

// status is the stage of a unit, its tally and its next task.
type status struct {
	stage records.Stage
	tally records.Tally
	due   records.DueGroup // nil: nothing
	whose string           // whose task it is, if not the unit's own
}

// dueGroups lists all that is or will be due, late work first. Trays of a batch with the
// same task, day and reason are one group.
func dueGroups(histories []records.History, calendar records.Calendar, today time.Time) []records.DueGroup {
	all := records.DueGroups(records.DueOn(histories, calendar, today))
	slices.SortStableFunc(all, func(a, b records.DueGroup) int {
		return cmp.Or(a[0].From.Compare(b[0].From), codes.Compare(a[0].Unit, b[0].Unit))
	})
	return all
}

// statusOf returns it for a unit on the printer's day. The task of a stem is that of
// its tray; the task of a batch is the earliest of its trays. A void batch has none, so nil.
func (p printer) statusOf(history records.History, unit codes.Code) *status {
	if history.Batch.Void {
		return nil
	}
	days := p.calendar.For(history.Batch.Variety, history.Batch.Stock)
	s := &status{stage: history.Stage(unit, days, p.today), tally: history.Tally(unit)}
	if unit.Kind() == codes.Batch && history.Batch.Trays() > 1 {
		if all := dueGroups([]records.History{history}, p.calendar, p.today); len(all) > 0 {
			s.due, s.whose = all[0], all[0].Where()
		}
		return s
	}
	due, is := history.DueOf(unit, days, p.today)
	switch {
	case !is:
		return s
	case unit.Kind() == codes.Stem && (s.stage == records.Finished || s.stage == records.Lost):
		return s // it has no task, whatever its tray has
	case unit.Kind() == codes.Stem:
		s.whose = "its tray"
	}
	s.due = records.DueGroup{due}
	return s
}

// statusWords describes it, part by part.
func (p printer) statusWords(s *status) []string {
	if s == nil {
		return nil
	}
	parts := []string{"now " + s.stage.String() + ": " + s.tally.Words()}
	if s.due != nil {
		parts = append(parts, p.next(s.due[0], s.whose))
	}
	return parts
}

// next describes a task, and whose it is if that is given.
func (p printer) next(due records.Due, whose string) string {
	if whose != "" {
		whose = " for " + whose
	}
	switch days := p.daysUntil(due.From); {
	case days == 0:
		return fmt.Sprintf("due today%s: %s (%s)", whose, due.Task, due.Reason)
	case days < 0:
		return fmt.Sprintf("due%s since %s, %s: %s (%s)", whose, p.dates.Format(due.From), p.when(due.From), due.Task, due.Reason)
	}
	return fmt.Sprintf("next%s: %s on %s, %s (%s)", whose, due.Task, p.dates.Format(due.From), p.when(due.From), due.Reason)
}

// statusJSON is its part of an object of "slipread --json".
type statusJSON struct {
	Stage string     `json:"stage,omitempty"`
	Tally *tallyJSON `json:"tally,omitempty"`
	Due   *taskJSON  `json:"due,omitempty"`
}

type tallyJSON struct {
	Stems     int `json:"stems"`
	Alive     int `json:"alive"`
	Growing   int `json:"growing"`
	Rooted    int `json:"rooted"`
	Dead      int `json:"dead"`
	Sold      int `json:"sold"`
	Planted   int `json:"planted"`
	Culled    int `json:"culled"`
	Unused    int `json:"unused"`
	Elsewhere int `json:"elsewhere"`
}

type taskJSON struct {
	Task   string `json:"task"`
	From   string `json:"from"`
	Reason string `json:"reason"`
	Trays  []int  `json:"trays"` // of a batch, or of a stem
}

func (s *status) json() statusJSON {
	if s == nil {
		return statusJSON{}
	}
	l := statusJSON{Stage: s.stage.String(), Tally: new(tallyJSON(s.tally))}
	if s.due != nil {
		l.Due = &taskJSON{s.due[0].Task.Word(), s.due[0].From.Format(time.DateOnly), s.due[0].Reason, s.due.Trays()}
	}
	return l
}
