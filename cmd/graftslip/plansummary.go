package main

import (
	"cmp"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"graftslip/cmd/internal/command"
	"graftslip/records"
	"graftslip/records/plan/schedule"
)

// summary is what a person is told of a plan.
func (j *planJob) summary(w io.Writer) error {
	var rows [][]string
	for _, p := range j.orders {
		latest, sure := "-", "-"
		if !p.By.IsZero() {
			latest = p.latest.Format(time.DateOnly)
		}
		if p.Order.Grafts == 0 {
			sure = chanceSaid(p.Sure)
		}
		grafts := fmt.Sprint(p.grafts)
		if p.short > 0 {
			grafts = fmt.Sprintf("%d of %d", p.grafts-p.short, p.grafts)
		}
		rows = append(rows, []string{fmt.Sprint(p.Row), records.Pair(p.Variety, p.Draft.Stock), fmt.Sprint(p.Wanted), sure, grafts, chanceSaid(p.chance()),
			latest, cmp.Or(j.sessionsSaid(p.pieces), "none"), chanceSaid(p.take.Mean()) + ": " + p.basis})
	}
	if err := command.Table(w, []string{"ROW", "PAIR", "WANTED", "SURE", "GRAFTS", "CHANCE", "LATEST", "SESSIONS", "TAKE"}, rows); err != nil {
		return err
	}
	_, err := io.WriteString(w, j.sumsSaid())
	return err
}

// sessionsSaid says on which days how many grafts of an order are made. Days of as
// many grafts between which nothing but days off lies are one part, so that an order
// over many days still is a line: "2026-11-28 to 2027-01-07 (1 a day)". A day alone
// says no number.
func (j *planJob) sessionsSaid(pieces []schedule.Lot) string {
	if len(pieces) == 1 {
		return pieces[0].Day.Format(time.DateOnly)
	}
	const few = 2
	var parts []string
	for from := 0; from < len(pieces); {
		next := from + 1
		for next < len(pieces) && pieces[next].Grafts == pieces[from].Grafts && j.follow(pieces[next-1].Day, pieces[next].Day) {
			next++
		}
		if next-from <= few {
			next = from + 1
			parts = append(parts, fmt.Sprintf("%s (%d)", pieces[from].Day.Format(time.DateOnly), pieces[from].Grafts))
		} else {
			parts = append(parts, fmt.Sprintf("%s to %s (%d a day)", pieces[from].Day.Format(time.DateOnly), pieces[next-1].Day.Format(time.DateOnly), pieces[from].Grafts))
		}
		from = next
	}
	return strings.Join(parts, ", ")
}

// follow reports whether nothing but days off lies between two days.
func (j *planJob) follow(day, next time.Time) bool {
	for day = day.AddDate(0, 0, 1); day.Before(next); day = day.AddDate(0, 0, 1) {
		if !j.off.off(day) {
			return false
		}
	}
	return true
}

// sumsSaid are the sums of all sessions, and the files.
func (j *planJob) sumsSaid() string {
	days := j.days()
	if len(days) == 0 {
		return "sessions: 0\n"
	}
	needed := 0
	for _, p := range j.orders {
		needed += p.grafts
	}
	s := j.sums()
	var said strings.Builder
	fmt.Fprintf(&said, "sessions: %d, %s", len(days), days[0][0].Date.Format(time.DateOnly))
	if len(days) > 1 {
		fmt.Fprintf(&said, " to %s", days[len(days)-1][0].Date.Format(time.DateOnly))
	}
	fmt.Fprintf(&said, "\n%s in %s\n", countedOf(s.Grafts, needed, "graft"), records.Counted(s.Trays, "tray"))
	fmt.Fprintf(&said, "stem labels: %d (%d spare), sheets of %s: %d\n", s.Labels, s.Spares, j.slips.Stems.Name, s.Sheets)
	fmt.Fprintf(&said, "tray cards: %d, sheets of %s: %d\n", s.Trays, j.slips.Trays.Name, s.Cards)
	fmt.Fprintf(&said, "%s\n", strings.Join(j.files, ", "))
	return said.String()
}

// plannedLine is an order of "plan --json".
type plannedLine struct {
	Row         int           `json:"row"`
	Variety     string        `json:"variety"`
	Stock       string        `json:"stock"`
	Wanted      int           `json:"wanted"`
	Sure        float64       `json:"sure,omitempty"` // none where the grafts were given
	Grafts      int           `json:"grafts"`
	Chance      float64       `json:"chance"` // of enough, from what is planned
	Take        float64       `json:"take"`   // expected share
	Basis       string        `json:"basis"`  // of the take
	By          string        `json:"by,omitempty"`
	Days        int           `json:"days"` // from grafting to finished plants
	DaysBasis   string        `json:"days_basis"`
	Latest      string        `json:"latest"`
	Stay        int           `json:"stay"` // days under mist
	StayBasis   string        `json:"stay_basis"`
	Sessions    []sessionLine `json:"sessions"`
	Short       int           `json:"short"`            // grafts
	ShortPlants int           `json:"short_plants"`     // of those wanted, not expected
	Reason      string        `json:"reason,omitempty"` // why it is short
}

type sessionLine struct {
	Date   string `json:"date"`
	Grafts int    `json:"grafts"`
	Trays  int    `json:"trays"`
}

// rounded is a share to the fourth decimal: more is not known.
func rounded(share float64) float64 { return math.Round(share*1e4) / 1e4 }

func (j *planJob) summaryJSON(w io.Writer) error {
	out := struct {
		Orders   []plannedLine `json:"orders"`
		Sessions int           `json:"sessions"`
		sums
		Best  bool     `json:"best"` // no plan leaves out less
		Files []string `json:"files"`
	}{Orders: []plannedLine{}, Sessions: len(j.days()), sums: j.sums(), Best: j.best, Files: append([]string{}, j.files...)}
	for _, p := range j.orders {
		line := plannedLine{
			Row: p.Row, Variety: p.Variety, Stock: p.Draft.Stock, Wanted: p.Wanted, Grafts: p.grafts, Chance: rounded(p.chance()), Take: rounded(p.take.Mean()), Basis: p.basis,
			Days: p.days, DaysBasis: p.daysBasis, Latest: p.latest.Format(time.DateOnly), Stay: p.stay, StayBasis: p.stayBasis, Sessions: []sessionLine{},
			Short: p.short, ShortPlants: p.shortPlants(), Reason: p.reason,
		}
		if p.Order.Grafts == 0 {
			line.Sure = p.Sure
		}
		if !p.By.IsZero() {
			line.By = p.By.Format(time.DateOnly)
		}
		for _, piece := range p.pieces {
			line.Sessions = append(line.Sessions, sessionLine{piece.Day.Format(time.DateOnly), piece.Grafts, piece.Trays})
		}
		out.Orders = append(out.Orders, line)
	}
	return json.NewEncoder(w).Encode(out)
}
