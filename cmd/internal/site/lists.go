package site

import (
	"fmt"
	"net/http"
	"time"

	"graftslip/codes"
	"graftslip/records"
)

// dueItem is a task as pages show it.
type dueItem struct {
	records.Due
	Pair string
	When string
	Late bool
}

func newDueItem(due records.Due, today time.Time) *dueItem {
	return &dueItem{due, records.Pair(due.Batch.Variety, due.Batch.Stock), when(due.From, today), due.From.Before(today)}
}

// stack is the trays of one batch that a card is about.
type stack struct {
	Trays []trayLink
	Alive int
	Words string // which trays
}

// trayLink leads to a tray.
type trayLink struct {
	Code        codes.Code
	Name, Words string
}

func (s *stack) add(b records.Batch, unit codes.Code, alive int, words string) {
	s.Trays = append(s.Trays, trayLink{unit, fmt.Sprintf("tray %d", unit.Number()), words})
	s.Alive += alive
	s.Words = unitWords(b, unit)
	switch count := len(s.Trays); {
	case count > 1 && count == b.Trays():
		s.Words = records.Counted(count, "tray")
	case count > 1:
		s.Words = fmt.Sprintf("%d of %d trays", count, b.Trays())
	}
}

// dueCard is a task of one tray, or the same of several trays of a batch.
type dueCard struct {
	*dueItem
	stack
}

func (d *dueCard) with(due records.Due) *dueCard {
	d.add(due.Batch, due.Unit, due.Tally.Alive, fmt.Sprintf("%d alive", due.Tally.Alive))
	return d
}

// duePage lists what is due today and until a week from now, and tells when the
// next is due if nothing is.
type duePage struct {
	Today, Week []*dueCard
	Next        *dueCard
}

const week = 7

func (s *Site) due(v *visit) error {
	histories, err := s.histories(v.Context())
	if err != nil {
		return err
	}
	type same struct {
		batch  codes.Code
		task   records.Task
		from   time.Time
		reason string
	}
	today := s.today()
	var page duePage
	cards := map[same]*dueCard{}
	for _, item := range records.DueOn(histories, s.Calendar, today) {
		key := same{item.Batch.Code, item.Task, item.From, item.Reason}
		if card := cards[key]; card != nil {
			card.with(item)
			continue
		}
		card := (&dueCard{dueItem: newDueItem(item, today)}).with(item)
		switch {
		case !item.From.After(today):
			page.Today = append(page.Today, card)
		case !item.From.After(today.AddDate(0, 0, week)):
			page.Week = append(page.Week, card)
		case page.Next == nil:
			page.Next = card
		default:
			continue
		}
		cards[key] = card
	}
	s.render(v, http.StatusOK, "due", frame{Title: "Due", Here: "due", Body: page})
	return nil
}

// bedPage lists what stands under mist.
type bedPage struct {
	Cards        []*bedCard
	Trays, Stems int
	Room         []records.BedDay
}

// bedCard is one tray, or several of a batch that may leave for the same reason on
// the same day.
type bedCard struct {
	stack
	Pair  string
	Days  int // under mist
	Until time.Time
	Basis string
}

func (s *Site) bed(v *visit) error {
	histories, err := s.histories(v.Context())
	if err != nil {
		return err
	}
	type same struct {
		batch codes.Code
		until time.Time
		basis string
	}
	standing := records.Bed(histories, s.Calendar, s.today())
	page := bedPage{Trays: len(standing), Room: records.BedForecast(standing, records.ToCome(histories, s.Calendar, s.today()))}
	cards := map[same]*bedCard{}
	for _, tray := range standing {
		key := same{tray.Batch.Code, tray.Until, tray.Basis}
		if cards[key] == nil {
			cards[key] = &bedCard{Pair: records.Pair(tray.Batch.Variety, tray.Batch.Stock), Days: tray.Days, Until: tray.Until, Basis: tray.Basis}
			page.Cards = append(page.Cards, cards[key])
		}
		cards[key].add(tray.Batch, tray.Unit, tray.Tally.Alive, tray.Tally.Words())
		page.Stems += tray.Tally.Alive
	}
	s.render(v, http.StatusOK, "bed", frame{Title: "Mist bed", Here: "bed", Body: page})
	return nil
}
