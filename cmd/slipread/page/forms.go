package page

import (
	"crypto/rand"
	"encoding/hex"
	"fmt"
	"net/url"
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

	CountsKey, StagesKey, LeftKey string
	CountsDay, StagesDay, LeftDay dayField
}

// countField is a field for a number.
type countField struct {
	Name, Label string
	Now         int
	Tells       bool // what it is now
	Typed       string
}

// dayField is a field for the day on which something was seen, where that is not
// today. Days are written as in ISO 8601.
type dayField struct {
	ID          string
	First, Last string // that may be named
	Typed       string
}

func (s *Site) formsOf(page recordPage, stage records.Stage) (forms, error) {
	day := func(form string) dayField {
		return dayField{ID: form + "-day", First: isoDay(page.Batch.Date), Last: isoDay(s.today())}
	}
	f := forms{
		Open: !s.ReadOnly && stage != records.Ahead, Stem: page.Code.Kind() == codes.Stem,
		UnderMist: stage == records.UnderMist, Outside: stage == records.HardeningOff || stage == records.GrowingOn,
		Counts: []countField{
			{Name: "alive", Label: "Alive", Now: page.Tally.Alive, Tells: true},
			{Name: "growing", Label: "Growing", Now: page.Tally.Growing, Tells: true},
			{Name: "rooted", Label: "Rooted", Now: page.Tally.Rooted, Tells: true},
			{Name: "dead", Label: "Dead", Now: page.Tally.Dead, Tells: true},
		},
		Left:      countField{Name: "number", Label: "How many left"},
		Place:     countField{Name: "place", Label: fmt.Sprintf("Place on the sheet, 1 to %d", s.Places(page.Code)), Now: 1, Typed: "1"},
		CountsDay: day("counts"), StagesDay: day("stages"), LeftDay: day("left"),
	}
	for _, key := range []*string{&f.CountsKey, &f.StagesKey, &f.LeftKey} {
		var err error
		if *key, err = newEntryKey(); err != nil {
			return forms{}, err
		}
	}
	return f, nil
}

// typed puts what was sent back into the form from which it came.
func (f *forms) typed(sent url.Values) {
	const mostDigits = 4
	f.Note = line(sent.Get("note"), records.MaxText)
	f.Left.Typed = line(sent.Get("number"), mostDigits)
	for i, field := range f.Counts {
		f.Counts[i].Typed = line(sent.Get(field.Name), mostDigits)
	}
	day := &f.CountsDay
	switch {
	case sent.Has("move"):
		day = &f.StagesDay
	case sent.Has("left"), sent.Has("number"):
		day = &f.LeftDay
	}
	day.Typed = line(sent.Get("day"), len(time.DateOnly))
}

// newEntryKey draws what an entry is known by when it is sent twice.
func newEntryKey() (string, error) {
	key := make([]byte, 16)
	if _, err := rand.Read(key); err != nil {
		return "", fmt.Errorf("drawing a number: %w", err)
	}
	return hex.EncodeToString(key), nil
}
