// Package plan turns orders into a plan: how many grafts each needs, learned from
// the histories of earlier batches (forecast), and on which days they are made beside
// what stands in the mist bed and is labelled (schedule).
package plan

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"graftslip/records"
	"graftslip/records/plan/forecast"
	"graftslip/records/plan/schedule"
)

// freeDays is how many days from the first an order without a day of its own may
// be grafted.
const freeDays = 60

// Options are what a plan is made within.
type Options struct {
	Today      time.Time                // at midnight UTC
	From       time.Time                // first day on which something may be grafted, Today or later
	BedSpaces  int                      // trays that the mist bed holds; 0: no limit
	GraftsADay int                      // 0: no limit
	Off        func(day time.Time) bool // whether nobody grafts on a day; nil: never
	Take       float64                  // share of grafts that become plants, 0-1; 0: learned from the histories
	Sure       float64                  // for orders that give none
	TraySize   int                      // for orders that give none
}

// Plan is what to graft on which day.
type Plan struct {
	Orders []Order
	// Drafts are the batches to graft, by day and then by order. Row is that of the
	// order.
	Drafts []records.Draft
	// Best is set where no plan leaves out less.
	Best bool
	// Hints are sentences, without a full stop, about what a grower should know of a
	// plan that is not wrong.
	Hints []string
}

// Make plans orders. The error is Faults for orders that no number of grafts can
// meet, all at once, else one of schedule.Make.
func Make(
	ctx context.Context, orders []records.Order, histories []records.History, calendar records.Calendar, o Options,
) (Plan, error) {
	p := planner{
		Options: o, calendar: calendar, outcomes: forecast.Outcomes(histories, calendar, o.Today),
		stays:    records.StaysOf(histories),
		standing: records.Bed(histories, calendar, o.Today), toCome: records.ToCome(histories, calendar, o.Today),
	}
	if o.Take == 0 {
		p.nursery = forecast.Learn(p.outcomes)
	}
	var plan Plan
	var faults Faults
	for _, order := range orders {
		planned, fault, err := p.order(order)
		if err != nil {
			return Plan{}, err
		}
		if fault != nil {
			faults = append(faults, *fault)
		}
		plan.Orders = append(plan.Orders, planned)
	}
	if len(faults) > 0 {
		return Plan{}, faults
	}
	if err := p.schedule(ctx, &plan); err != nil {
		return Plan{}, err
	}
	plan.Hints = p.hints(plan)
	return plan, nil
}

// planner holds what a plan takes from the histories.
type planner struct {
	Options
	calendar records.Calendar
	outcomes []forecast.Outcome
	nursery  *forecast.Nursery
	stays    records.Stays
	standing []records.BedTray // under mist today
	toCome   []records.BedTray // labelled for coming days
}

// schedule finds the days on which to graft.
func (p *planner) schedule(ctx context.Context, plan *Plan) error {
	orders := make([]schedule.Order, len(plan.Orders))
	for i, o := range plan.Orders {
		orders[i] = schedule.Order{Grafts: o.Grafts, TraySize: o.TraySize, Latest: o.Latest, Stay: o.Stay, Value: o.Take.Mean()}
	}
	found, err := schedule.Make(ctx, orders, p.limits())
	if err != nil {
		return err
	}
	plan.Best = found.Best
	for i := range plan.Orders {
		plan.Orders[i].Short, plan.Orders[i].Reason = found.Short[i], found.Reasons[i]
	}
	for _, lot := range found.Lots {
		o := &plan.Orders[lot.Order]
		o.Lots = append(o.Lots, lot)
		draft := o.Draft
		draft.Date, draft.Grafts = lot.Day, lot.Grafts
		plan.Drafts = append(plan.Drafts, draft)
	}
	return nil
}

// limits are what the bed and hands leave. A tray that is grafted today arrives
// where today is a day of the plan.
func (p *planner) limits() schedule.Limits {
	l := schedule.Limits{First: p.From, BedSpaces: p.BedSpaces, GraftsADay: p.GraftsADay, Off: p.Off}
	for _, tray := range slices.Concat(p.standing, p.toCome) {
		date := tray.Batch.Date
		if !date.After(p.Today) && date.Before(p.From) {
			l.Standing = append(l.Standing, schedule.Standing{Trays: 1, Until: tray.Until})
			continue
		}
		stay := int(tray.Until.Sub(date) / (24 * time.Hour)) // both at midnight UTC
		grafts := tray.Tally.Stems - tray.Tally.Unused
		l.Arriving = append(l.Arriving, schedule.Arriving{Trays: 1, Grafts: grafts, Day: date, Stay: max(0, stay)})
	}
	return l
}

func (p *planner) hints(plan Plan) []string {
	var hints []string
	if p.Take == 0 && !slices.ContainsFunc(p.outcomes, func(o forecast.Outcome) bool { return !o.Open }) {
		hints = append(hints, "no batch has a known outcome yet, so the take is a rough guess and the numbers are high; to set the take yourself, add --take 70%")
	}
	type pair struct{ variety, stock string }
	pairOf := func(d records.Draft) pair { return pair{records.Key(d.Variety), records.Key(d.Stock)} }
	labelled := map[pair]int{} // grafts
	for _, tray := range p.toCome {
		labelled[pairOf(tray.Batch.Draft)] += tray.Tally.Stems
	}
	for _, o := range plan.Orders {
		if of := pairOf(o.Draft); labelled[of] > 0 {
			hints = append(hints, fmt.Sprintf("this plan adds to %s of %s already labelled for coming days; if those should count, lower wanted", records.Counted(labelled[of], "graft"), o.Pair()))
			delete(labelled, of)
		}
	}
	trays := slices.Concat(p.standing, p.toCome)
	for _, d := range plan.Drafts {
		if slices.ContainsFunc(trays, func(tray records.BedTray) bool {
			b := tray.Batch.Draft
			return b.Date.Equal(d.Date) && pairOf(b) == pairOf(d) && records.Key(b.Source) == records.Key(d.Source)
		}) {
			hints = append(hints, fmt.Sprintf("%s on %s: a batch of the same pair, day and source already has labels, and print would give those again; name another source in row %d",
				records.Pair(d.Variety, d.Stock), d.Date.Format(time.DateOnly), d.Row))
		}
	}
	if !plan.Best {
		hints = append(hints, "a plan that leaves out slightly less may exist: with so many orders in so tight a bed, the search ends early")
	}
	return hints
}

// Faults are orders that cannot be met.
type Faults []Fault

// Fault is what is wrong with an order. Column names the part of the order, and Found
// and Expected are phrases as in manifest.CellError.
type Fault struct {
	Row                     int
	Column, Found, Expected string
}

// Error returns a line for each fault.
func (f Faults) Error() string {
	var lines []string
	for _, fault := range f {
		lines = append(lines, fmt.Sprintf("row %d, column %s: found %s, expected %s", fault.Row, fault.Column, fault.Found, fault.Expected))
	}
	return strings.Join(lines, "\n")
}
