package plan

import (
	"errors"
	"fmt"
	"math"
	"time"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/plan/forecast"
	"graftslip/records/plan/schedule"
)

// Order is an order with what came of it. Its TraySize and Sure are those of the
// options where it gave none, and its Grafts are those to be made.
type Order struct {
	records.Order
	Given     bool // the order set how many grafts to make
	Take      forecast.Take
	TakeBasis string // in words
	Days      int    // from grafting to finished plants
	DaysBasis string // in words
	Latest    time.Time
	Stay      int    // days under mist
	StayBasis string // in words
	Lots      []schedule.Lot
	Short     int    // grafts that do not fit
	Reason    string // why, in words
}

// Pair names the variety and the stock.
func (o Order) Pair() string { return records.Pair(o.Variety, o.Stock) }

// Chance is that of enough plants from what is planned, as if made in one batch.
func (o Order) Chance() float64 { return o.Take.Chance(o.Grafts-o.Short, o.Wanted) }

// ShortPlants is how many of the plants that are wanted are not expected of what is
// planned; 0 where luck may still give enough.
func (o Order) ShortPlants() int {
	return max(0, int(math.Ceil(float64(o.Wanted)-float64(o.Grafts-o.Short)*o.Take.Mean()-1e-9)))
}

// ShortWords report how many grafts do not fit, what becomes of the plants that are
// wanted, and why.
func (o Order) ShortWords() string {
	all, left := o.Take.Chance(o.Grafts, o.Wanted), o.Chance()
	plants := fmt.Sprintf("the chance of %d plants falls from %s to %s", o.Wanted, forecast.ChanceWords(all), forecast.ChanceWords(left))
	if short := o.ShortPlants(); short > 0 {
		plants = fmt.Sprintf("about %s short", records.Counted(short, "plant"))
	}
	return fmt.Sprintf("%d of %s do not fit, %s: %s", o.Short, records.Counted(o.Grafts, "graft"), plants, o.Reason)
}

// Hopeless reports whether an order takes room although it cannot be met: what is
// planned of it gives enough plants with a chance that is written as 0%.
func (o Order) Hopeless() bool {
	const none = 0.001
	return o.Short > 0 && o.Grafts > o.Short && o.Chance() < none
}

// order finds how many grafts an order needs, and by when.
func (p *planner) order(order records.Order) (o Order, fault *Fault, err error) {
	o = Order{Order: order, Given: order.Grafts > 0}
	if o.TraySize == 0 {
		o.TraySize = p.TraySize
	}
	if o.Sure == 0 {
		o.Sure = p.Sure
	}
	if p.Take > 0 {
		o.TakeBasis = "set with --take"
		o.Take, err = forecast.Known(p.Take)
	} else {
		var basis forecast.Basis
		o.Take, basis = p.nursery.Take(o.Variety, o.Stock)
		o.TakeBasis = basis.Words()
	}
	if err != nil {
		return o, nil, err
	}
	needs := "given"
	if !o.Given {
		needs = "needed"
		if fault, err = o.needGrafts(); fault != nil || err != nil {
			return o, fault, err
		}
	}
	if o.Trays() > codes.MaxTray {
		return o, &Fault{o.Row, "tray", fmt.Sprintf("%d per tray", o.TraySize),
			fmt.Sprintf("at least %d for the %d grafts %s: a batch has at most %d trays", (o.Grafts+codes.MaxTray-1)/codes.MaxTray, o.Grafts, needs, codes.MaxTray)}, nil
	}
	days := p.calendar.For(o.Variety, o.Stock)
	o.Stay, o.StayBasis = p.stays.For(o.Variety, o.Stock, days)
	wait := forecast.Days(p.outcomes, o.Variety, o.Stock)
	switch o.Days = wait.High; {
	case wait == forecast.Days(nil, o.Variety, o.Stock):
		o.Days, o.DaysBasis = days.Flush, "a guess: the days to the first flush"
	case wait.Least:
		o.DaysBasis = "the longest so far of " + wait.Basis
	default:
		o.DaysBasis = "nine in ten of " + wait.Basis
	}
	if o.Latest = p.From.AddDate(0, 0, freeDays); !o.By.IsZero() {
		o.Latest = o.By.AddDate(0, 0, -o.Days)
	}
	return o, nil, nil
}

// needGrafts finds the least number of grafts that gives enough plants.
func (o *Order) needGrafts() (fault *Fault, err error) {
	fault = &Fault{Row: o.Row, Column: "wanted"}
	fault.Found = fmt.Sprintf("%s with a chance of %s", records.Counted(o.Wanted, "plant"), forecast.ChanceWords(o.Sure))
	o.Grafts, err = o.Take.HowMany(o.Wanted, o.Sure)
	switch {
	case errors.Is(err, forecast.ErrNoNumber):
		chance := o.Take.Chance(forecast.MostGrafts, o.Wanted)
		fault.Expected = fmt.Sprintf("a lower chance: even %d grafts give only %s", forecast.MostGrafts, forecast.ChanceWords(chance))
		return fault, nil
	case o.Grafts > codes.MaxStem:
		fault.Found += fmt.Sprintf(", which needs %d grafts", o.Grafts)
		fault.Expected = fmt.Sprintf("an order of at most %d grafts", codes.MaxStem)
		return fault, nil
	}
	return nil, err
}
