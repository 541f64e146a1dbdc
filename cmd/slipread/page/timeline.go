package page

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
	Entries      []mark
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
	for _, entry := range page.Past {
		if entry.CorrectedBy == 0 {
			t.Entries = append(t.Entries, mark{at(entry.Since), entry.Said})
		}
	}
	t.Words = fmt.Sprintf("Day %d since grafting, %s", page.Days, records.Counted(len(t.Entries), "entry"))
	if len(t.Entries) != 1 {
		t.Words = fmt.Sprintf("Day %d since grafting, %d entries", page.Days, len(t.Entries))
	}
	if due >= 0 {
		t.Words += fmt.Sprintf(", the next task on day %d", due)
	}
	return t
}
