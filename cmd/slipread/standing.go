package main

import (
	"fmt"
	"strings"
	"time"

	"graftslip/codes"
	"graftslip/records"
)

// standing is the stage of a unit, its tally and its next task.
type standing struct {
	stage records.Stage
	tally records.Tally
	due   records.DueGroup // nil: nothing
	whose string           // whose task it is, if not the unit's own
}

// standingOf returns it for a unit on the printer's day. The task of a stem is that of
// its tray; the task of a batch is the earliest of its trays.
func (p printer) standingOf(history records.History, unit codes.Code) *standing {
	days := p.calendar.For(history.Batch.Variety, history.Batch.Stock)
	s := &standing{stage: history.Stage(unit, days, p.today), tally: history.Tally(unit)}
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

// standing describes it, part by part.
func (p printer) standing(s *standing) []string {
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

// daysUntil returns how many days ahead a day, at midnight UTC, is; negative if past.
func (p printer) daysUntil(day time.Time) int { return records.DaysBetween(p.day(), day) }

// day is today at midnight UTC.
func (p printer) day() time.Time { return records.Midnight(p.today) }

// when says how far ahead or late a day is.
func (p printer) when(day time.Time) string { return records.DaysWords(p.daysUntil(day), "late") }

// standingLine is its part of an object of "slipread --json".
type standingLine struct {
	Stage string     `json:"stage,omitempty"`
	Tally *tallyLine `json:"tally,omitempty"`
	Due   *taskLine  `json:"due,omitempty"`
}

type tallyLine struct {
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

type taskLine struct {
	Task   string `json:"task"`
	From   string `json:"from"`
	Reason string `json:"reason"`
	Trays  []int  `json:"trays"` // of a batch, or of a stem
}

func (s *standing) line() standingLine {
	if s == nil {
		return standingLine{}
	}
	l := standingLine{Stage: s.stage.String(), Tally: new(tallyLine(s.tally))}
	if s.due != nil {
		l.Due = &taskLine{s.due[0].Task.Word(), s.due[0].From.Format(time.DateOnly), s.due[0].Reason, s.due.Trays()}
	}
	return l
}

// spaced joins parts into a line.
func spaced(parts ...string) string { return strings.Join(parts, "  ") }
