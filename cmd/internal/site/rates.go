package site

import (
	"net/http"
	"strings"

	"graftslip/records"
	"graftslip/records/plan/forecast"
)

// ratesPage compares takes: how many grafts became plants.
type ratesPage struct {
	By     string
	Others []string // what else can be compared
	Groups []rateCard
	Total  rateCard
	Left   []string // which batches are left out
	Notes  []string
	Plot   bool // there is a drawing
}

// rateCard shows the take of one group.
type rateCard struct {
	forecast.Rate
	Percent, Counted string
	Expected, Basis  string // empty where nothing is expected
	From, At, To     int    // interval and share, in units of the drawing
	Next             int    // the expected share; -1: none
}

// The line of the drawing, and the room at either end of it.
const (
	shareWidth = 300
	shareEnd   = 10
)

func newRateCard(g forecast.Rate) rateCard {
	at := func(share float64) int { return shareEnd + int(share*shareWidth+0.5) }
	c := rateCard{
		Rate: g, Percent: forecast.PercentWords(g.Share()), Counted: records.Counted(g.Batches, "batch"),
		From: at(g.Low), At: at(g.Share()), To: at(g.High), Next: -1,
	}
	if p := g.Pooled; p != nil {
		c.Expected, c.Basis = forecast.PercentWords(p.Mean)+" ("+p.Interval.Words()+")", p.Basis.Words()
		c.Next = at(p.Mean)
	}
	return c
}

// usualLevel is the confidence level of intervals.
const usualLevel = 0.95

// ratesFor compares by the trait requested, by default by pair.
func (s *Site) ratesFor(r *request) (rates forecast.Rates, err error) {
	by := forecast.ByPair
	if name := r.FormValue("for"); name != "" {
		if by, err = forecast.ParseTrait(name); err != nil {
			return rates, &refusal{status: http.StatusBadRequest, err: err, hint: "open Bed, then What became of grafts"}
		}
	}
	histories, err := s.histories(r.Context())
	if err != nil {
		return rates, err
	}
	outcomes := forecast.Outcomes(histories, s.Calendar, s.today())
	return forecast.RatesOf(outcomes, outcomes, by, usualLevel)
}

func (s *Site) rates(r *request) error {
	rates, err := s.ratesFor(r)
	if err != nil {
		return err
	}
	page := ratesPage{By: rates.By.String(), Left: rates.LeftOutWords(), Notes: rates.ReadingWords(), Plot: s.Plot != nil && len(rates.Groups) > 0}
	for _, trait := range forecast.Traits() {
		if trait != rates.By {
			page.Others = append(page.Others, trait.String())
		}
	}
	for _, g := range rates.Groups {
		page.Groups = append(page.Groups, newRateCard(g))
	}
	if len(page.Groups) > 0 {
		page.Total = newRateCard(rates.Total)
	}
	s.render(r, http.StatusOK, "rates", frame{Title: "Grafts by " + page.By, Here: "rates", Body: page})
	return nil
}

// ratesPlot sends the comparison as an SVG, also for printing.
func (s *Site) ratesPlot(r *request) error {
	rates, err := s.ratesFor(r)
	if err != nil {
		return err
	}
	if s.Plot == nil || len(rates.Groups) == 0 {
		return refuse(http.StatusNotFound, "come back when a batch is finished: tie removed, sold or planted", "there is nothing to plot yet")
	}
	drawn, err := s.Plot(rates)
	if err != nil {
		return err
	}
	r.out.Header().Set("Content-Type", "image/svg+xml")
	_, _ = r.out.Write(drawn) // the phone may have gone
	return nil
}

// Drawn describes the drawing for screen readers.
func (c rateCard) Drawn() string {
	words := []string{"share " + c.Percent, "interval " + c.Interval.Words()}
	if c.Expected != "" {
		words = append(words, "expected "+c.Expected)
	}
	return strings.Join(words, ", ")
}
