package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	ics "github.com/arran4/golang-ical"

	"graftslip/cmd/internal/command"
	"graftslip/records"
)

// writeCalendar writes what is due into a file, an event for each.
func (p printer) writeCalendar(path string, due []work) error {
	files, err := command.Stage(filepath.Dir(path))
	if err != nil {
		return err
	}
	defer files.Discard()
	if err := files.Write(filepath.Base(path), func(w io.Writer) error { return p.calendarOf(w, due) }); err != nil {
		return err
	}
	_, err = files.Keep()
	return err
}

// calendarOf writes an iCalendar object (RFC 5545). An event is known by its
// first unit, its task and the day from which that is due, so that a calendar
// that reads it again does not have it twice. What is late stands on today, where
// it is seen.
func (p printer) calendarOf(w io.Writer, due []work) error {
	calendar := ics.NewCalendar()
	calendar.SetProductId("-//graftslip//slipread//EN")
	for _, each := range due {
		day, late := each.From, ""
		if days := p.daysUntil(day); days < 0 {
			day, late = p.day(), fmt.Sprintf(" (since %s)", p.dates.Format(each.From))
		}
		task := each.Task.String()
		event := calendar.AddEvent(fmt.Sprintf("%v.%s.%s@graftslip", each.units[0], each.Task.Word(), each.From.Format("20060102")))
		event.SetDtStampTime(p.today)
		event.SetAllDayStartAt(day)
		event.SetSummary(fmt.Sprintf("%s%s: %s, %s%s", strings.ToUpper(task[:1]), task[1:], records.Pair(each.Batch.Variety, each.Batch.Stock), each.where(), late))
		var texts []string
		for _, unit := range each.units {
			texts = append(texts, unit.String())
		}
		event.SetDescription(each.Reason + "\n" + strings.Join(texts, "\n"))
		event.SetTimeTransparency(ics.TransparencyTransparent) // nobody is busy all day with it
		alarm := event.AddAlarm()
		alarm.SetAction(ics.ActionDisplay)
		alarm.SetTrigger("PT7H", ics.WithValue("DURATION")) // after the day begins, where the calendar is
		alarm.SetDescription(event.GetProperty(ics.ComponentPropertySummary).Value)
	}
	return calendar.SerializeTo(w, ics.WithNewLineWindows) // RFC 5545, 3.1: lines end with CRLF
}
