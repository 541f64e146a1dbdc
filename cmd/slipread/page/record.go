package page

import (
	"crypto/rand"
	"encoding/hex"
	"fmt"
	"net/http"
	"strings"
	"time"

	"graftslip/codes"
	"graftslip/records"
)

// recordPage is what is known of a code, and what can be entered about it.
type recordPage struct {
	Code  codes.Code
	Pair  string
	Unit  string
	Batch records.Batch
	Days  int // since grafting
	Facts []fact

	Stage string
	Tally records.Tally
	Due   *dueItem
	Line  timeline
	Past  []pastEntry
	Parts []part

	Saved string // number of the entry that was just kept; may be empty
	Forms forms
}

// fact is a line about a batch.
type fact struct{ Name, Value string }

// part is a link to something of the same batch.
type part struct {
	Code codes.Code
	Name string
}

// pastEntry is an entry as the page lists it.
type pastEntry struct {
	records.Entry
	Day   time.Time
	Since int    // days since grafting
	Unit  string // where it is about another unit
	Said  string
	Undo  bool   // it can be withdrawn here
	Key   string // of the entry that would
}

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
}

// countField is a field for a number.
type countField struct {
	Name, Label string
	Now         int
	Tells       bool // what it is now
	Typed       string
}

func (s *Site) record(v *visit) error {
	code, err := codes.FromSymbol(v.PathValue("code"))
	if err != nil {
		return refuse(http.StatusNotFound, "scan it, or type its 14 digits", "there is no such page, and this is no code")
	}
	course, err := s.Book.Course(v.Context(), code)
	if err != nil {
		return err
	}
	page, err := s.recordOf(course, code)
	if err != nil {
		return err
	}
	if saved := v.URL.Query().Get("saved"); len(saved) < 10 && strings.Trim(saved, "0123456789") == "" {
		page.Saved = saved
	}
	s.render(v, http.StatusOK, "record", frame{Title: page.Pair, Body: page})
	return nil
}

// reopened goes to the record where a phone opens the address of a form again, as
// it does with the pages of yesterday.
func (s *Site) reopened(v *visit) error {
	code, err := codes.Parse(v.PathValue("code"))
	if err != nil {
		return refuse(http.StatusNotFound, "scan it, or type its 14 digits", "this is no code")
	}
	http.Redirect(v.out, v.Request, "/"+plain(code), http.StatusSeeOther)
	return nil
}

func (s *Site) recordOf(course records.Course, code codes.Code) (recordPage, error) {
	b, today := course.Batch, s.today()
	days := s.Calendar.For(b.Variety, b.Stock)
	page := recordPage{
		Code: code, Pair: records.Pair(b.Variety, b.Stock), Unit: unitWords(b, code), Batch: b,
		Days:  records.Record{Batch: b, Code: code}.DaysSince(s.Now()),
		Tally: course.Tally(code), Parts: partsOf(b, code),
	}
	for _, f := range []fact{{"Source", b.Source}, {"Grafted by", b.Grafter}, {"Note", b.Note}} {
		if f.Value != "" {
			page.Facts = append(page.Facts, f)
		}
	}
	stage := course.Stage(code, days, today)
	page.Stage = stage.String()
	if code.Kind() != codes.Batch || b.Trays() == 1 {
		if due, is := course.DueOf(code, days, today); is {
			page.Due = newDueItem(due, today)
		}
	}
	var err error
	if page.Forms, err = s.formsOf(page, stage); err != nil {
		return recordPage{}, err
	}
	if page.Past, err = s.past(course, code); err != nil {
		return recordPage{}, err
	}
	page.Line = newTimeline(page, today)
	return page, nil
}

func (s *Site) formsOf(page recordPage, stage records.Stage) (forms, error) {
	f := forms{
		Open: !s.ReadOnly && stage != records.Ahead, Stem: page.Code.Kind() == codes.Stem,
		UnderMist: stage == records.UnderMist, Outside: stage == records.HardeningOff || stage == records.GrowingOn,
		Counts: []countField{
			{Name: "alive", Label: "Alive", Now: page.Tally.Alive, Tells: true},
			{Name: "growing", Label: "Growing", Now: page.Tally.Growing, Tells: true},
			{Name: "rooted", Label: "Rooted", Now: page.Tally.Rooted, Tells: true},
			{Name: "dead", Label: "Dead", Now: page.Tally.Dead, Tells: true},
		},
		Left:  countField{Name: "number", Label: "How many left"},
		Place: countField{Name: "place", Label: fmt.Sprintf("Place on the sheet, 1 to %d", s.Places(page.Code)), Now: 1, Typed: "1"},
	}
	for _, key := range []*string{&f.CountsKey, &f.StagesKey, &f.LeftKey} {
		var err error
		if *key, err = newEntryKey(); err != nil {
			return forms{}, err
		}
	}
	return f, nil
}

// past lists entries, the latest first.
func (s *Site) past(course records.Course, code codes.Code) ([]pastEntry, error) {
	var past []pastEntry
	for _, entry := range course.Entries(code) {
		key, err := newEntryKey()
		if err != nil {
			return nil, err
		}
		p := pastEntry{Entry: entry, Day: entry.Day(), Said: entry.Words(), Key: key,
			Since: records.Record{Batch: course.Batch}.DaysSince(entry.Day()),
			Undo:  entry.CorrectedBy == 0 && !entry.Withdraws() && !s.ReadOnly}
		if entry.Unit != code {
			p.Unit = unitWords(course.Batch, entry.Unit)
		}
		past = append([]pastEntry{p}, past...)
	}
	return past, nil
}

// partsOf are what else of the batch a grower may want to see.
func partsOf(b records.Batch, code codes.Code) []part {
	var parts []part
	add := func(of codes.Code, err error) {
		if err == nil && of != code { // a batch has no units that codes cannot name
			parts = append(parts, part{of, unitWords(b, of)})
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

// newEntryKey draws what an entry is known by when it is sent twice.
func newEntryKey() (string, error) {
	key := make([]byte, 16)
	if _, err := rand.Read(key); err != nil {
		return "", fmt.Errorf("drawing a number: %w", err)
	}
	return hex.EncodeToString(key), nil
}
