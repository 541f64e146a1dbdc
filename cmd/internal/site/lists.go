package site

import (
	"context"
	"fmt"
	"net/http"
	"sync"
	"time"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/lookup"
)

// historyCache keeps what was read from the whole ledger, because reading it is slow.
type historyCache struct {
	mutex   sync.Mutex
	version int64 // of the ledger
	kept    kept
}

// kept is the histories of all batches, and their names for searching. Requests share them, so
// they must not change.
type kept struct {
	histories []records.History
	names     func() *lookup.Names // prepared on first use
}

// kept returns what is kept from the ledger, and reads it again only if the ledger changed.
func (s *Site) kept(ctx context.Context) (kept, error) {
	c := &s.cache
	c.mutex.Lock()
	defer c.mutex.Unlock()
	version, err := s.Ledger.Version(ctx) // read first, so that the histories are at least as new
	if err != nil {
		return kept{}, err
	}
	if c.kept.histories == nil || version != c.version {
		c.kept = kept{}
		histories, err := s.Ledger.Histories(ctx)
		if err != nil {
			return kept{}, err
		}
		c.kept = kept{histories, sync.OnceValue(func() *lookup.Names { return lookup.NamesOf(records.BatchesOf(histories)) })}
		c.version = version
	}
	return c.kept, nil
}

// histories returns the histories of all batches.
func (s *Site) histories(ctx context.Context) ([]records.History, error) {
	all, err := s.kept(ctx)
	return all.histories, err
}

// card shows trays of one batch in a list.
type card struct {
	Pair  string
	Trays []trayLink
	Alive int
	Words string // which trays of how many
}

// trayLink leads to a tray.
type trayLink struct {
	Code        codes.Code
	Name, Words string
}

// newCard has no trays yet.
func newCard(b records.Batch) card { return card{Pair: records.Pair(b.Variety, b.Stock)} }

func (c *card) add(b records.Batch, unit codes.Code, alive int, words string) {
	c.Trays = append(c.Trays, trayLink{unit, fmt.Sprintf("tray %d", unit.Number()), words})
	c.Alive += alive
	c.Words = b.UnitWords(unit)
	switch count := len(c.Trays); {
	case count > 1 && count == b.Trays():
		c.Words = records.Counted(count, "tray")
	case count > 1:
		c.Words = fmt.Sprintf("%d of %d trays", count, b.Trays())
	}
}

// task shows what is due.
type task struct {
	records.Due
	When string
	Late bool
}

func newTask(due records.Due, today time.Time) *task {
	return &task{due, daysAhead(due.From, today), due.From.Before(today)}
}

// daysAhead says when something due on a day is due: "tomorrow", "in 3 days", "1 day late".
func daysAhead(day, today time.Time) string {
	days := records.DaysBetween(today, day)
	if days == 1 {
		return "tomorrow"
	}
	return records.DaysWords(days, "late")
}

// dueCard shows one task for one or more trays of a batch.
type dueCard struct {
	*task
	card
}

func newDueCard(group records.DueGroup, today time.Time) *dueCard {
	c := &dueCard{newTask(group[0], today), newCard(group[0].Batch)}
	for _, due := range group {
		c.add(due.Batch, due.Unit, due.Tally.Alive, fmt.Sprintf("%d alive", due.Tally.Alive))
	}
	return c
}

// duePage lists what is due today and within a week, and the first task after that.
type duePage struct {
	Today, Week []*dueCard
	Next        *dueCard
}

func (s *Site) due(r *request) error {
	const week = 7
	histories, err := s.histories(r.Context())
	if err != nil {
		return err
	}
	today := s.today()
	var page duePage
	for _, group := range records.DueGroups(records.DueOn(histories, s.Calendar, today)) {
		card := newDueCard(group, today)
		switch {
		case !card.From.After(today):
			page.Today = append(page.Today, card)
		case !card.From.After(today.AddDate(0, 0, week)):
			page.Week = append(page.Week, card)
		case page.Next == nil:
			page.Next = card
		}
	}
	s.render(r, http.StatusOK, "due", frame{Title: "Due", Here: "due", Body: page})
	return nil
}

// bedPage lists the trays under mist.
type bedPage struct {
	Cards        []*bedCard
	Trays, Stems int
	Room         []records.BedDay
}

// bedCard shows one or more trays of a batch that may leave on the same day for the
// same reason.
type bedCard struct {
	card
	records.BedTray // the first
}

func (s *Site) bed(r *request) error {
	histories, err := s.histories(r.Context())
	if err != nil {
		return err
	}
	standing := records.Bed(histories, s.Calendar, s.today())
	page := bedPage{Trays: len(standing), Room: records.BedForecast(standing, records.ToCome(histories, s.Calendar, s.today()))}
	for _, group := range records.BedGroups(standing) {
		card := &bedCard{newCard(group[0].Batch), group[0]}
		for _, tray := range group {
			card.add(tray.Batch, tray.Unit, tray.Tally.Alive, tray.Tally.Words())
		}
		page.Cards = append(page.Cards, card)
		page.Stems += card.Alive
	}
	s.render(r, http.StatusOK, "bed", frame{Title: "Mist bed", Here: "bed", Body: page})
	return nil
}
