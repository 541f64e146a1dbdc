package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"graftslip/cmd/internal/command"
	"graftslip/records"
	"graftslip/records/plan/forecast"
)

// text is the list for a person.
func (r *rates) text() string {
	var out strings.Builder
	for _, g := range r.Groups {
		parts := append([]string{g.Name}, counts(g)...)
		if g.Pooled != nil {
			parts = append(parts, fmt.Sprintf("expected %s (%s): %s", forecast.PercentWords(g.Pooled.Mean), g.Pooled.Interval.Words(), g.Pooled.Basis.Words()))
		}
		if g.WithinChance {
			parts = append(parts, "within chance of the first")
		}
		fmt.Fprintln(&out, spaced(parts...))
	}
	switch {
	case len(r.Groups) > 0:
		fmt.Fprintln(&out, spaced(append([]string{"in all"}, counts(r.Total)...)...))
	case r.none:
		fmt.Fprintln(&out, "no batch was grafted on those days")
	default:
		fmt.Fprintln(&out, "no batch has a known outcome yet")
	}
	for _, line := range append(r.LeftOutWords(), r.ReadingWords()...) {
		fmt.Fprintln(&out, line)
	}
	return out.String()
}

// counts describes the counts of a group, part by part.
func counts(g forecast.Rate) []string {
	return []string{records.Counted(g.Batches, "batch"), records.Counted(g.Grafts, "graft"), fmt.Sprintf("%d finished", g.Finished),
		fmt.Sprintf("%s (%s)", forecast.PercentWords(g.Share()), g.Interval.Words())}
}

// ratesLine is the object of "slipread rates --json". Shares are 0-1.
type ratesLine struct {
	For          string      `json:"for"`
	Level        float64     `json:"level"`
	Since        string      `json:"since,omitempty"`
	Until        string      `json:"until,omitempty"`
	Groups       []groupLine `json:"groups"`
	Total        groupLine   `json:"total"` // of no grafts, the share is 0 and its interval all
	Unfinished   int         `json:"unfinished"`
	Uncounted    int         `json:"uncounted"`
	Early        int         `json:"lost_early"`
	Correlation  float64     `json:"correlation"`
	SpreadIsSeen bool        `json:"spread_seen"`
}

type groupLine struct {
	Name         string      `json:"name,omitempty"`
	Variety      string      `json:"variety,omitempty"`
	Stock        string      `json:"stock,omitempty"`
	Batches      int         `json:"batches"`
	Grafts       int         `json:"grafts"`
	Finished     int         `json:"finished"`
	Share        float64     `json:"share"`
	Low          float64     `json:"low"`
	High         float64     `json:"high"`
	Expected     *pooledLine `json:"expected,omitempty"`
	WithinChance *bool       `json:"within_chance_of_first,omitempty"`
}

type pooledLine struct {
	Share   float64 `json:"share"`
	Low     float64 `json:"low"`
	High    float64 `json:"high"`
	Pair    int     `json:"batches_of_pair"`
	Stock   int     `json:"batches_of_stock"`
	Variety int     `json:"batches_of_variety"`
	All     int     `json:"batches_in_all"`
}

func (r *rates) writeJSON(out io.Writer) error {
	l := ratesLine{
		For: r.By.String(), Level: r.Level, Since: command.Date(&r.flags.since).String(), Until: command.Date(&r.flags.until).String(), Groups: []groupLine{},
		Unfinished: r.Unfinished, Uncounted: r.Uncounted, Early: r.Early,
		Correlation: decimals(r.Spread.Correlation), SpreadIsSeen: r.Spread.Freedom > 0,
	}
	for i, g := range r.Groups {
		one := newGroupLine(g)
		if i > 0 {
			one.WithinChance = &g.WithinChance
		}
		l.Groups = append(l.Groups, one)
	}
	l.Total.High = 1
	if len(r.Groups) > 0 {
		l.Total = newGroupLine(r.Total)
	}
	return json.NewEncoder(out).Encode(l)
}

func newGroupLine(g forecast.Rate) groupLine {
	l := groupLine{
		Name: g.Name, Variety: g.Variety, Stock: g.Stock, Batches: g.Batches, Grafts: g.Grafts, Finished: g.Finished,
		Share: decimals(g.Share()), Low: decimals(g.Low), High: decimals(g.High),
	}
	if p := g.Pooled; p != nil {
		l.Expected = &pooledLine{decimals(p.Mean), decimals(p.Low), decimals(p.High), p.Basis.Pair, p.Basis.Stock, p.Basis.Variety, p.Basis.All}
	}
	return l
}

// decimals rounds a share to four, as many as counts are ever good for.
func decimals(share float64) float64 { return math.Round(share*1e4) / 1e4 }

// day writes a day of the flags as people write dates; "" where there is none.
func (r *rates) day(day time.Time) string {
	if day.IsZero() {
		return ""
	}
	return r.out.dates.Format(day)
}
