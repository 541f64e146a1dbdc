package site

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"time"

	"graftslip/codes"
	"graftslip/records"
)

// forms are what the forms of a record need. Each has the key of the entry that
// it makes.
type forms struct {
	Open      bool // entries are taken
	Stem      bool
	UnderMist bool
	Outside   bool // out of the mist and not finished
	Counts    []countField
	Left      countField
	Place     countField // on the sheet for its tag
	Note      string

	NoteFaulty bool // what was typed there was refused

	CountsKey, StagesKey, LeftKey string
	CountsDay, StagesDay, LeftDay dayField
}

// countField is a field for a number.
type countField struct {
	Name, Label string
	Now         int
	Tells       bool // what it is now
	Typed       string
	Faulty      bool // what was typed was refused
}

// dayField is a field for the day on which something was seen, where that is not
// today. Days are written as in ISO 8601.
type dayField struct {
	ID          string
	First, Last string // that may be named
	Typed       string
	Faulty      bool // what was typed was refused
}

func (s *Site) formsOf(page recordPage, stage records.Stage) forms {
	day := func(form string) dayField {
		return dayField{ID: form + "-day", First: isoDay(page.Batch.Date), Last: isoDay(s.today())}
	}
	return forms{
		Open: !s.ReadOnly && stage != records.Ahead, Stem: page.Code.Kind() == codes.Stem,
		UnderMist: stage == records.UnderMist, Outside: stage == records.HardeningOff || stage == records.GrowingOn,
		Counts: []countField{
			{Name: "alive", Label: "Alive", Now: page.Tally.Alive, Tells: true},
			{Name: "growing", Label: "Growing", Now: page.Tally.Growing, Tells: true},
			{Name: "rooted", Label: "Rooted", Now: page.Tally.Rooted, Tells: true},
			{Name: "dead", Label: "Dead", Now: page.Tally.Dead, Tells: true},
		},
		Left:      countField{Name: "number", Label: "How many left"},
		Place:     countField{Name: "place", Label: fmt.Sprintf("Place on the sheet, 1 to %d", s.Positions(page.Code)), Now: 1, Typed: "1"},
		CountsDay: day("counts"), StagesDay: day("stages"), LeftDay: day("left"),
		CountsKey: records.NewKey(), StagesKey: records.NewKey(), LeftKey: records.NewKey(),
	}
}

// refill puts what was sent back into the form from which it came, and marks what
// was refused: the field that the refusal names, else all numbers, which contradict
// each other or an earlier entry.
func (f *forms) refill(sent url.Values, why *refusal) {
	const maxDigits = 4
	faulty := func(name string) bool {
		return why.status == http.StatusUnprocessableEntity && strings.TrimSpace(sent.Get(name)) != "" && (why.field == name || why.field == "" && name != "note" && name != "day")
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
