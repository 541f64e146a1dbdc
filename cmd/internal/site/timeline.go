package site

import (
	"fmt"
	"time"

	"graftslip/records"
)

// timeline is the life of a unit as a line of days, in the units of its drawing.
type timeline struct {
	Width, Today int
	Due          int // -1 without a task to come
	Weeks        []mark
	Entries      []int  // one for each day that has any
	Words        string // for who does not see it
}

type mark struct {
	X    int
	Text string
}

// The drawing has a line of this width, with room at both ends.
const (
	lineWidth = 288
	lineEnd   = 16
	leastDays = 28
)

func newTimeline(page recordPage, today time.Time) timeline {
	last := max(leastDays, page.Days)
	due := -1
	if page.Due != nil {
		due = records.Record{Batch: page.Batch}.DaysSince(page.Due.From)
		last = max(last, due)
	}
	at := func(day int) int { return lineEnd + max(0, day)*lineWidth/last }
	t := timeline{Width: lineWidth + 2*lineEnd, Today: at(page.Days), Due: -1}
	if due >= 0 {
		t.Due = at(due)
	}
	step := 7
	for last/step > 6 { // so that their numbers keep apart
		step *= 2
	}
	for day := 0; day <= last; day += step {
		t.Weeks = append(t.Weeks, mark{at(day), fmt.Sprint(day)})
	}
	count, marked := 0, -1
	for _, entry := range page.Past { // the latest first
		if entry.CorrectedBy != 0 {
			continue
		}
		if count++; entry.Since != marked {
			t.Entries = append(t.Entries, at(entry.Since))
		}
		marked = entry.Since
	}
	entries := "1 entry"
	if count != 1 {
		entries = fmt.Sprintf("%d entries", count)
	}
	t.Words = fmt.Sprintf("Day %d since grafting, %s", page.Days, entries)
	if due >= 0 {
		t.Words += fmt.Sprintf(", the next task on day %d", due)
	}
	return t
}
