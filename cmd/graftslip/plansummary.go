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
	"graftslip/records/plan/forecast"
	"graftslip/records/plan/schedule"
)

// summary reports a plan to a person.
func (j *planJob) summary(w io.Writer) error {
	var rows [][]string
	for _, o := range j.Orders {
		latest, sure := "-", "-"
		if !o.By.IsZero() {
			latest = o.Latest.Format(time.DateOnly)
		}
		if !o.Given {
			sure = forecast.ChanceWords(o.Sure)
		}
		grafts := fmt.Sprint(o.Grafts)
		if o.Short > 0 {
			grafts = fmt.Sprintf("%d of %d", o.Grafts-o.Short, o.Grafts)
		}
		rows = append(rows, []string{fmt.Sprint(o.Row), o.Pair(), fmt.Sprint(o.Wanted), sure, grafts, forecast.ChanceWords(o.Chance()),
			latest, cmp.Or(j.lotsWords(o.Lots), "none"), forecast.ChanceWords(o.Take.Mean()) + ": " + o.TakeBasis})
	}
	if err := command.Table(w, []string{"ROW", "PAIR", "WANTED", "SURE", "GRAFTS", "CHANCE", "LATEST", "SESSIONS", "TAKE"}, rows); err != nil {
		return err
	}
	_, err := io.WriteString(w, j.sumsWords())
	return err
}

// lotsWords list on which days how many grafts of an order are made. Days of as
// many grafts with only days off between them are one part, so that an order
// over many days is still one line: "2026-11-28 to 2027-01-07 (1 a day)". A single day
// has no number.
func (j *planJob) lotsWords(lots []schedule.Lot) string {
	if len(lots) == 1 {
		return lots[0].Day.Format(time.DateOnly)
	}
	const few = 2
	var parts []string
	for from := 0; from < len(lots); {
		next := from + 1
		for next < len(lots) && lots[next].Grafts == lots[from].Grafts && j.follow(lots[next-1].Day, lots[next].Day) {
			next++
		}
		if next-from <= few {
			next = from + 1
			parts = append(parts, fmt.Sprintf("%s (%d)", lots[from].Day.Format(time.DateOnly), lots[from].Grafts))
		} else {
			parts = append(parts, fmt.Sprintf("%s to %s (%d a day)", lots[from].Day.Format(time.DateOnly), lots[next-1].Day.Format(time.DateOnly), lots[from].Grafts))
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

// sumsWords are the sums of all sessions, and the files.
func (j *planJob) sumsWords() string {
	days := j.sessions()
	if len(days) == 0 {
		return "sessions: 0\n"
	}
	needed := 0
	for _, o := range j.Orders {
		needed += o.Grafts
	}
	s := j.sums()
	var words strings.Builder
	fmt.Fprintf(&words, "sessions: %d, %s", len(days), days[0][0].Date.Format(time.DateOnly))
	if len(days) > 1 {
		fmt.Fprintf(&words, " to %s", days[len(days)-1][0].Date.Format(time.DateOnly))
	}
	fmt.Fprintf(&words, "\n%s in %s\n", countedOf(s.Grafts, needed, "graft"), records.Counted(s.Trays, "tray"))
	fmt.Fprintf(&words, "stem labels: %d (%d spare), sheets of %s: %d\n", s.Labels, s.Spares, j.printing.Stems.Name, s.Sheets)
	fmt.Fprintf(&words, "tray cards: %d, sheets of %s: %d\n", s.Trays, j.printing.TrayStock().Name, s.Cards)
	fmt.Fprintf(&words, "%s\n", strings.Join(j.files, ", "))
	return words.String()
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
	}{Orders: []plannedLine{}, Sessions: len(j.sessions()), sums: j.sums(), Best: j.Best, Files: append([]string{}, j.files...)}
	for _, o := range j.Orders {
		line := plannedLine{
			Row: o.Row, Variety: o.Variety, Stock: o.Stock, Wanted: o.Wanted, Grafts: o.Grafts, Chance: rounded(o.Chance()), Take: rounded(o.Take.Mean()), Basis: o.TakeBasis,
			Days: o.Days, DaysBasis: o.DaysBasis, Latest: o.Latest.Format(time.DateOnly), Stay: o.Stay, StayBasis: o.StayBasis, Sessions: []sessionLine{},
			Short: o.Short, ShortPlants: o.ShortPlants(), Reason: o.Reason,
		}
		if !o.Given {
			line.Sure = o.Sure
		}
		if !o.By.IsZero() {
			line.By = o.By.Format(time.DateOnly)
		}
		for _, lot := range o.Lots {
			line.Sessions = append(line.Sessions, sessionLine{lot.Day.Format(time.DateOnly), lot.Grafts, lot.Trays})
		}
		out.Orders = append(out.Orders, line)
	}
	return json.NewEncoder(w).Encode(out)
}
