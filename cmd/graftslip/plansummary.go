package main

import (
	"cmp"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"
	"time"

	"graftslip/records"
)

// summary is what a person is told of a plan.
func (j *planJob) summary(w io.Writer) error {
	table := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "ROW\tPAIR\tWANTED\tSURE\tGRAFTS\tCHANCE\tLATEST\tSESSIONS\tTAKE")
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
		var days []string
		for _, piece := range p.pieces {
			day := piece.Day.Format(time.DateOnly)
			if len(p.pieces) > 1 {
				day += fmt.Sprintf(" (%d)", piece.Grafts)
			}
			days = append(days, day)
		}
		fmt.Fprintf(table, "%d\t%s\t%d\t%s\t%s\t%s\t%s\t%s\t%s: %s\n", p.Row, records.Pair(p.Variety, p.Draft.Stock), p.Wanted, sure, grafts, chanceSaid(p.chance()),
			latest, cmp.Or(strings.Join(days, ", "), "none"), chanceSaid(p.take.Mean()), p.basis)
	}
	if err := table.Flush(); err != nil {
		return err
	}
	_, err := io.WriteString(w, j.sumsSaid())
	return err
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
	Short       int           `json:"short"` // grafts
	ShortPlants int           `json:"short_plants"`
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
