package page

import (
	"net/http"
	"time"

	"graftslip/codes"
	"graftslip/records"
)

// dueItem is a task as pages show it.
type dueItem struct {
	records.Due
	Pair, Unit string
	When       string
	Late       bool
}

func newDueItem(due records.Due, today time.Time) *dueItem {
	return &dueItem{due, records.Pair(due.Batch.Variety, due.Batch.Stock), unitWords(due.Batch, due.Unit), when(due.From, today), due.From.Before(today)}
}

// duePage lists what is due today and until a week from now, and tells when the
// next is due if nothing is.
type duePage struct {
	Today, Week []*dueItem
	Next        *dueItem
}

const week = 7

func (s *Site) due(v *visit) error {
	courses, err := s.Book.Courses(v.Context())
	if err != nil {
		return err
	}
	today := s.today()
	var page duePage
	for _, item := range records.DueOn(courses, s.Calendar, today) {
		shown := newDueItem(item, today)
		switch {
		case !item.From.After(today):
			page.Today = append(page.Today, shown)
		case !item.From.After(today.AddDate(0, 0, week)):
			page.Week = append(page.Week, shown)
		case page.Next == nil:
			page.Next = shown
		}
	}
	s.render(v, http.StatusOK, "due", frame{Title: "Due", Here: "due", Body: page})
	return nil
}

// bedPage lists what stands under mist.
type bedPage struct {
	Trays   []bedded
	Stems   int
	Room    []records.Room
	Unknown bool // there is nothing under mist
}

type bedded struct {
	records.Bedded
	Code       codes.Code
	Pair, Unit string
}

func (s *Site) bed(v *visit) error {
	courses, err := s.Book.Courses(v.Context())
	if err != nil {
		return err
	}
	standing := records.Bed(courses, s.Calendar, s.today())
	page := bedPage{Room: records.Forecast(standing, records.ToCome(courses, s.Calendar, s.today()))}
	for _, tray := range standing {
		page.Trays = append(page.Trays, bedded{tray, tray.Unit, records.Pair(tray.Batch.Variety, tray.Batch.Stock), unitWords(tray.Batch, tray.Unit)})
		page.Stems += tray.Tally.Alive
	}
	s.render(v, http.StatusOK, "bed", frame{Title: "Mist bed", Here: "bed", Body: page})
	return nil
}
