package site

import (
	"net/http"
	"slices"
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

	Ahead string // how far the day of grafting is, where it is to come
	Stage string
	Tally records.Tally
	Due   *task
	DueOf string // the tray of the task, where the page is about something else
	Line  timeline
	Past  []pastEntry
	// Earlier is how many entries of the history are left out.
	Earlier int
	Parts   []part

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
	records.HistoryEntry
	Day   time.Time
	Since int    // days since grafting
	Unit  string // where it is about another unit
	Said  string
	Undo  bool   // it can be withdrawn here
	Key   string // of the entry that would
}

func (s *Site) record(r *request) error {
	code, err := codes.FromSymbol(r.PathValue("code"))
	if asked := r.PathValue("code"); err != nil && looksLikeCode(asked) {
		return s.showCandidates(r, asked, err)
	}
	if err != nil {
		return refuse(http.StatusNotFound, "scan it, or type its 14 digits", "there is no such page, and this is no code")
	}
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

// redirectToRecord goes to the record where a phone opens the address of a form
// again, as it does with the pages of yesterday.
func (s *Site) redirectToRecord(r *request) error {
	code, err := r.code()
	if err != nil {
		return err
	}
	return r.redirect(recordPath(code))
}

// maxPast is how many entries of a history are shown at first.
const maxPast = 30

// recordOf is what is known of a code, with all of its history or the latest of it.
func (s *Site) recordOf(history records.History, code codes.Code, all bool) recordPage {
	b, today := history.Batch, s.today()
	days := s.Calendar.For(b.Variety, b.Stock)
	page := recordPage{
		Code: code, Pair: records.Pair(b.Variety, b.Stock), Unit: b.UnitWords(code), Batch: b,
		Days:  records.Record{Batch: b, Code: code}.DaysSince(s.Now()),
		Tally: history.Tally(code), Parts: partsOf(b, code),
	}
	for _, f := range []fact{{"Source", b.Source}, {"Grafted by", b.Grafter}, {"Note", b.Note}} {
		if f.Value != "" {
			page.Facts = append(page.Facts, f)
		}
	}
	stage := history.Stage(code, days, today)
	page.Stage = stage.String()
	if stage == records.Ahead {
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
	page.Forms, page.Past = s.formsOf(page, stage), s.past(history, code)
	page.Line = newTimeline(page, today)
	if !all && len(page.Past) > maxPast {
		page.Past, page.Earlier = page.Past[:maxPast], len(page.Past)-maxPast
	}
	return page
}

// past lists entries, the latest first.
func (s *Site) past(history records.History, code codes.Code) []pastEntry {
	var past []pastEntry
	for _, entry := range history.Entries(code) {
		p := pastEntry{HistoryEntry: entry, Day: entry.Day(), Said: entry.Words(), Key: records.NewKey(),
			Since: records.Record{Batch: history.Batch}.DaysSince(entry.Day()),
			Undo:  entry.CorrectedBy == 0 && !entry.Withdraws() && !s.ReadOnly}
		if entry.Unit != code {
			p.Unit = history.Batch.UnitWords(entry.Unit)
		}
		past = append(past, p)
	}
	slices.Reverse(past)
	return past
}

// partsOf are what else of the batch a grower may want to see.
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
