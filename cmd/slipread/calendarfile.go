package main

import (
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"

	"graftslip/cmd/internal/command"
	"graftslip/records"
)

// eventsOf groups what is due into calendar events, one for each batch, task and day.
func eventsOf(due []records.DueGroup) []records.DueGroup {
	return records.DueEvents(slices.Concat(due...))
}

// eventName identifies an event whatever becomes of single trays, so that a calendar
// that reads the file again does not have it twice.
func eventName(due records.Due) string {
	return fmt.Sprintf("%s.%s.%s@graftslip", due.Batch.Code.BatchName(), due.Task.Word(), due.From.Format("20060102"))
}

// eventDescription lists each reason with the codes of its trays.
func eventDescription(event records.DueGroup) string {
	var lines []string
	for _, each := range records.DueGroups(event) {
		lines = append(append(lines, each[0].Reason), each.Codes()...)
	}
	return strings.Join(lines, "\n")
}

// writeCalendar writes events of a ledger into a file, or for - to the standard output.
func (p printer) writeCalendar(path, ledger string, events []records.DueGroup, until time.Time) error {
	if path == "-" {
		return p.calendarOf(p.stdout, events, until)
	}
	files, err := command.Stage(filepath.Dir(path), ledger)
	if err != nil {
		return err
	}
	defer files.Discard()
	if err := files.Write(filepath.Base(path), func(w io.Writer) error { return p.calendarOf(w, events, until) }); err != nil {
		return err
	}
	_, err = files.Keep()
	return err
}

// calendarOf writes an iCalendar object (RFC 5545). Late work stands on today, where it
// is seen. A calendar has at least one event, so without work an event says that nothing
// is due: an older file must not stay.
func (p printer) calendarOf(w io.Writer, events []records.DueGroup, until time.Time) error {
	calendar := ics.NewCalendar()
	calendar.SetProductId("-//graftslip//slipread//EN")
	if len(events) == 0 {
		event := calendar.AddEvent("nothing.due@graftslip")
		event.SetDtStampTime(p.today)
		event.SetAllDayStartAt(p.day())
		event.SetSummary("Nothing is due until " + p.dates.Format(until))
		event.SetTimeTransparency(ics.TransparencyTransparent)
	}
	for _, each := range events {
		due := each[0]
		day, late := due.From, ""
		if days := p.daysUntil(day); days < 0 {
			day, late = p.day(), fmt.Sprintf(" (since %s)", p.dates.Format(due.From))
		}
		task := due.Task.String()
		event := calendar.AddEvent(eventName(due))
		event.SetDtStampTime(p.today)
		event.SetAllDayStartAt(day)
		event.SetSummary(fmt.Sprintf("%s%s: %s, %s%s", strings.ToUpper(task[:1]), task[1:], records.Pair(due.Batch.Variety, due.Batch.Stock), each.Where(), late))
		event.SetDescription(eventDescription(each))
		event.SetTimeTransparency(ics.TransparencyTransparent) // it does not block the day
		alarm := event.AddAlarm()
		alarm.SetAction(ics.ActionDisplay)
		alarm.SetTrigger("PT7H", ics.WithValue("DURATION")) // after the start of the day, in the calendar's time zone
		alarm.SetDescription(event.GetProperty(ics.ComponentPropertySummary).Value)
	}
	return calendar.SerializeTo(w, ics.WithNewLineWindows) // RFC 5545, 3.1: lines end with CRLF
}
