package site

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/lookup"
)

// recordPage shows the record of a code, and takes entries about it.
type recordPage struct {
	Code  codes.Code
	Pair  string
	Unit  string
	Batch records.Batch
	Days  int // since grafting

	Void  string // since when, by whom and why the batch is void; empty unless it is
	Ahead string // when it will be grafted; empty afterwards
	Stage records.Stage
	Tally records.Tally
	Due   *task
	DueOf string // the tray of the task, on the page of a stem
	Line  timeline
	Past  []pastEntry
	// Earlier is the number of entries left out of Past.
	Earlier int
	Parts   []part

	Saved string // number of the entry just saved; may be empty
	Forms forms
}

// part is a link to another unit of the batch.
type part struct {
	Code codes.Code
	Name string
}

// pastEntry shows an entry of the history.
type pastEntry struct {
	records.HistoryEntry
	Since int    // days since grafting
	Of    string // its unit, if that is another one
	Undo  bool   // it can be undone here
}

func (s *Site) record(r *request) error {
	text := lookup.Parse(r.PathValue("code"))
	switch {
	case text.Form == lookup.Damaged:
		return s.showCandidates(r, text)
	case text.Invalid != nil:
		return refuse(http.StatusNotFound, "scan the code, or enter its 14 digits", "there is no such page, and this is not a valid code")
	}
	code := text.Code
	history, err := s.Ledger.History(r.Context(), code)
	if err != nil {
		return err
	}
	page := s.recordOf(history, code, r.URL.Query().Has("all"))
	if saved := r.URL.Query().Get("saved"); len(saved) < 10 && allDigits(saved) {
		page.Saved = saved
	}
	s.render(r, http.StatusOK, "record", frame{Title: page.Pair, Body: page})
	return nil
}

// redirectToRecord opens the record when a phone reloads the address of a form, as
// phones do with yesterday's pages.
func (s *Site) redirectToRecord(r *request) error {
	code, err := r.code()
	if err != nil {
		return err
	}
	return r.redirect(recordPath(code))
}

// maxPast is the number of entries shown at first.
const maxPast = 30

// recordOf makes the page of a code, with all of its history or the latest entries.
func (s *Site) recordOf(history records.History, code codes.Code, all bool) recordPage {
	b, today := history.Batch, s.today()
	days := s.Calendar.For(b.Variety, b.Stock)
	page := recordPage{
		Code: code, Pair: records.Pair(b.Variety, b.Stock), Unit: b.UnitWords(code), Batch: b,
		Days:  b.DaysSince(s.Now()),
		Stage: history.Stage(code, days, today), Tally: history.Tally(code), Parts: partsOf(b, code),
	}
	if b.Void {
		page.Void = b.VoidWords(s.Dates)
		return page
	}
	if page.Stage == records.Ahead {
		page.Ahead = daysAhead(b.Date, today)
	}
	if code.Kind() != codes.Batch || b.Trays() == 1 {
		if due, is := history.DueOf(code, days, today); is {
			page.Due = newTask(due, today)
			if due.Unit != code && b.Trays() > 1 {
				page.DueOf = b.UnitWords(due.Unit)
			}
		}
	}
	page.Forms, page.Past = s.formsOf(page), s.past(history, code)
	page.Line = newTimeline(page, today)
	if !all && len(page.Past) > maxPast {
		page.Past, page.Earlier = page.Past[:maxPast], len(page.Past)-maxPast
	}
	return page
}

// past lists the entries, latest first.
func (s *Site) past(history records.History, code codes.Code) []pastEntry {
	var past []pastEntry
	for _, entry := range history.Entries(code) {
		p := pastEntry{HistoryEntry: entry, Since: history.Batch.DaysSince(entry.Day()),
			Undo: entry.CorrectedBy == 0 && !entry.Undoes() && !s.ReadOnly}
		if entry.Unit != code {
			p.Of = history.Batch.UnitWords(entry.Unit)
		}
		past = append(past, p)
	}
	slices.Reverse(past)
	return past
}

// partsOf lists units of the batch to go on to: up to the batch, down to its trays.
func partsOf(b records.Batch, code codes.Code) []part {
	var parts []part
	add := func(of codes.Code, err error) {
		if err == nil && of != code { // a batch has no units that codes cannot name
			parts = append(parts, part{of, b.UnitWords(of)})
		}
	}
	if code.Kind() != codes.Batch {
		add(b.Code, nil)
	}
	if code.Kind() == codes.Stem {
		add(b.Code.Tray(b.TrayOf(code.Number())))
	}
	if code.Kind() == codes.Batch {
		for tray := 1; tray <= b.Trays(); tray++ {
			add(b.Code.Tray(tray))
		}
	}
	return parts
}

// forms holds the forms of a record.
type forms struct {
	Open      bool // entries are taken
	Stem      bool
	UnderMist bool
	Outside   bool // out of the mist, not finished
	Counts    []countField
	Left      countField
	Place     countField // position on the sheet to print on
	Note      string

	NoteFaulty bool // the note was refused

	CountsDay, StagesDay, LeftDay dayField
}

// countField is a field for a number.
type countField struct {
	Name, Label string
	Now         int
	Tells       bool // the label gives the number as it is now
	Typed       string
	Faulty      bool // what was typed was refused
}

// dayField is a field for the day on which something was seen, if not today. Days are
// in ISO 8601.
type dayField struct {
	ID          string
	First, Last string // days allowed
	Typed       string
	Faulty      bool // what was typed was refused
}

func (s *Site) formsOf(page recordPage) forms {
	stage := page.Stage
	day := func(form string) dayField {
		return dayField{ID: form + "-day", First: isoDay(page.Batch.Date), Last: isoDay(s.today())}
	}
	count := func(name, label string, now int) countField {
		return countField{Name: name, Label: label, Now: now, Tells: true}
	}
	return forms{
		Open: !s.ReadOnly && stage != records.Ahead, Stem: page.Code.Kind() == codes.Stem,
		UnderMist: stage == records.UnderMist, Outside: stage == records.HardeningOff || stage == records.GrowingOn,
		Counts: []countField{
			count("alive", "Alive", page.Tally.Alive), count("growing", "Growing", page.Tally.Growing),
			count("rooted", "Rooted", page.Tally.Rooted), count("dead", "Dead", page.Tally.Dead),
		},
		Left:      countField{Name: "number", Label: "How many"},
		Place:     countField{Name: "place", Label: fmt.Sprintf("Position on the sheet, 1 to %d", s.Positions(page.Code)), Now: 1, Typed: "1"},
		CountsDay: day("counts"), StagesDay: day("stages"), LeftDay: day("left"),
	}
}

// refill puts what was sent back into its form, and marks what was refused: the field
// named by the refusal, else all numbers, since those contradict each other or an
// earlier entry.
func (f *forms) refill(sent url.Values, why *refusal) {
	const maxDigits = 4
	faulty := func(name string) bool {
		meant := why.field == name || why.field == "" && name != "note" && name != "day"
		return meant && why.status == http.StatusUnprocessableEntity && strings.TrimSpace(sent.Get(name)) != ""
	}
	f.Note = cleanLine(sent.Get("note"), records.MaxText)
	f.NoteFaulty = len([]rune(cleanLine(sent.Get("note"), records.MaxText+1))) > records.MaxText
	f.Left.Typed, f.Left.Faulty = cleanLine(sent.Get("number"), maxDigits), faulty("number") || why.field == "number"
	for i, field := range f.Counts {
		f.Counts[i].Typed, f.Counts[i].Faulty = cleanLine(sent.Get(field.Name), maxDigits), faulty(field.Name) && !f.NoteFaulty
	}
	day := &f.CountsDay
	switch {
	case sent.Has("move"):
		day = &f.StagesDay
	case sent.Has("left"), sent.Has("number"):
		day = &f.LeftDay
	}
	day.Typed, day.Faulty = cleanLine(sent.Get("day"), len(time.DateOnly)), faulty("day")
}

// timeline draws the days of a unit since grafting, in units of the drawing.
type timeline struct {
	Width, Today int
	Due          int // -1: no task
	Weeks        []mark
	Entries      []int  // one for each day that has any
	Words        string // for screen readers
}

type mark struct {
	X    int
	Text string
}

// The line of the drawing, the room at either end of it, and its fewest days.
const (
	lineWidth = 288
	lineEnd   = 16
	leastDays = 28
)

func newTimeline(page recordPage, today time.Time) timeline {
	last := max(leastDays, page.Days)
	due := -1
	if page.Due != nil {
		due = page.Batch.DaysSince(page.Due.From)
		last = max(last, due)
	}
	at := func(day int) int { return lineEnd + max(0, day)*lineWidth/last }
	t := timeline{Width: lineWidth + 2*lineEnd, Today: at(page.Days), Due: -1}
	if due >= 0 {
		t.Due = at(due)
	}
	step := 7
	for last/step > 6 { // keeps the numbers apart
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
	t.Words = fmt.Sprintf("Day %d since grafting, %s", page.Days, records.Counted(count, "entry"))
	if due >= 0 {
		t.Words += fmt.Sprintf(", next task on day %d", due)
	}
	return t
}
