package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/labels"
	"graftslip/records"
	"graftslip/records/manifest"
	"graftslip/records/plan/forecast"
	"graftslip/records/plan/schedule"
)

// planned is an order with what came of it.
type planned struct {
	manifest.Order
	take      forecast.Take
	basis     string // of the take, in words
	grafts    int    // that are to be made
	days      int    // from grafting to finished plants
	daysBasis string // in words
	latest    time.Time
	stay      int    // days under mist
	stayBasis string // in words
	pieces    []schedule.Lot
	short     int    // grafts that find no place
	reason    string // why, in words
}

// chance is that of enough plants from what is planned, as if made in one batch.
func (p planned) chance() float64 { return p.take.Chance(p.grafts-p.short, p.Wanted) }

// shortPlants is how many of the plants that are wanted are not expected of what is
// planned; 0 where luck may still give enough.
func (p planned) shortPlants() int {
	return max(0, int(math.Ceil(float64(p.Wanted)-float64(p.grafts-p.short)*p.take.Mean()-1e-9)))
}

// shortSaid says what becomes of the plants that are wanted.
func (p planned) shortSaid() string {
	if plants := p.shortPlants(); plants > 0 {
		return fmt.Sprintf("about %s short", records.Counted(plants, "plant"))
	}
	return fmt.Sprintf("the chance of %d falls from %s to %s", p.Wanted, chanceSaid(p.take.Chance(p.grafts, p.Wanted)), chanceSaid(p.chance()))
}

// hopeless reports whether an order takes room although it cannot be met: what is
// planned of it gives enough plants with a chance that is said as 0%.
func (p planned) hopeless() bool {
	const none = 0.001
	return p.short > 0 && p.grafts > p.short && p.chance() < none
}

// reckon finds how many grafts each order needs, and by when. All orders that no
// number of grafts can meet are told at once.
func (j *planJob) reckon(orders []manifest.Order) error {
	var faults manifest.Errors
	for _, order := range orders {
		p, fault, err := j.reckonOne(order)
		if err != nil {
			return err
		}
		if fault != nil {
			faults = append(faults, fault)
			continue
		}
		j.orders = append(j.orders, p)
	}
	if len(faults) > 0 {
		return command.Advise(faults, "nothing was planned and no file was written: a smaller chance (sure) or several rows would do")
	}
	return nil
}

func (j *planJob) reckonOne(order manifest.Order) (p planned, fault *manifest.CellError, err error) {
	p = planned{Order: order}
	if p.TraySize == 0 {
		p.TraySize = j.tray
	}
	if p.Sure == 0 {
		p.Sure = j.sure
	}
	if p.take, p.basis, err = j.takeOf(p.Variety, p.Draft.Stock); err != nil {
		return p, nil, err
	}
	cell := func(column, found, expected string, values ...any) *manifest.CellError {
		return &manifest.CellError{File: j.file, Row: p.Row, Column: column, Found: found, Expected: fmt.Sprintf(expected, values...)}
	}
	needs := "given"
	if p.grafts = order.Grafts; p.grafts == 0 {
		wanted := fmt.Sprintf("%s with a chance of %s", records.Counted(p.Wanted, "plant"), chanceSaid(p.Sure))
		p.grafts, err = p.take.HowMany(p.Wanted, p.Sure)
		var none *forecast.NoNumberError
		switch {
		case errors.As(err, &none):
			return p, cell("wanted", wanted, "a chance that grafts can give: even %d give %s", forecast.MostGrafts, chanceSaid(none.Chance)), nil
		case err != nil:
			return p, nil, err
		case p.grafts > codes.MaxStem:
			return p, cell("wanted", wanted+fmt.Sprintf(", which needs %d grafts", p.grafts), "an order of at most %d grafts", codes.MaxStem), nil
		}
		needs = "needed"
	}
	draft := p.Draft
	if draft.Grafts = p.grafts; draft.Trays() > codes.MaxTray {
		return p, cell("tray", fmt.Sprintf("%d a tray where %d grafts are %s", p.TraySize, p.grafts, needs), "trays so large that there are at most %d", codes.MaxTray), nil
	}
	h := &j.history
	p.days, p.daysBasis = h.daysOf(p.Variety, p.Draft.Stock)
	p.stay, p.stayBasis = h.stays.For(p.Variety, p.Draft.Stock, h.calendar.For(p.Variety, p.Draft.Stock))
	if p.latest = j.from.AddDate(0, 0, freeDays); !p.By.IsZero() {
		p.latest = p.By.AddDate(0, 0, -p.days)
	}
	return p, nil, nil
}

// spread finds the days on which to graft.
func (j *planJob) spread(ctx context.Context) error {
	orders := make([]schedule.Order, len(j.orders))
	for i, p := range j.orders {
		orders[i] = schedule.Order{Grafts: p.grafts, TraySize: p.TraySize, Latest: p.latest, Stay: p.stay, Value: p.take.Mean()}
	}
	plan, err := schedule.Make(ctx, orders, j.limits())
	if err != nil {
		return err
	}
	j.best = plan.Best
	for i := range j.orders {
		j.orders[i].short, j.orders[i].reason = plan.Short[i], plan.Reasons[i]
	}
	for _, piece := range plan.Lots {
		p := &j.orders[piece.Order]
		p.pieces = append(p.pieces, piece)
		draft := p.Draft
		draft.Date, draft.Grafts = piece.Day, piece.Grafts
		j.sessions = append(j.sessions, draft)
	}
	slices.SortStableFunc(j.sessions, labels.CompareWork)
	return nil
}

// limits are what the bed and hands leave.
func (j *planJob) limits() schedule.Limits {
	l := schedule.Limits{First: j.from, Places: j.bed.Places, GraftsADay: j.aDay, Off: j.off.off}
	for _, tray := range j.history.standing {
		if tray.Batch.Date.Before(j.from) {
			l.Standing = append(l.Standing, schedule.Standing{Trays: 1, Until: tray.Until})
			continue
		}
		l.Arriving = append(l.Arriving, arriving(tray)) // grafted today, on the first day of the plan
	}
	for _, tray := range j.history.toCome {
		l.Arriving = append(l.Arriving, arriving(tray))
	}
	return l
}

func arriving(tray records.BedTray) schedule.Arriving {
	stay := int(tray.Until.Sub(tray.Batch.Date) / (24 * time.Hour)) // both at midnight UTC
	return schedule.Arriving{Trays: 1, Grafts: tray.Tally.Stems - tray.Tally.Unused, Day: tray.Batch.Date, Stay: max(0, stay)}
}

// hints tells what a grower should know of a plan that is not wrong.
func (j *planJob) hints() {
	if j.take == 0 && !slices.ContainsFunc(j.history.outcomes, func(o forecast.Outcome) bool { return !o.Open }) {
		command.Hint(j.stderr, "no batch has a known outcome yet, so the takes are a wide guess and the numbers high; --take 70% plans with a share of your own")
	}
	told := map[[2]string]bool{}
	for _, p := range j.orders {
		pair := [2]string{records.Key(p.Variety), records.Key(p.Draft.Stock)}
		if labelled := j.history.labelled(p.Variety, p.Draft.Stock); labelled > 0 && !told[pair] {
			told[pair] = true
			command.Hint(j.stderr, fmt.Sprintf("%s of %s have labels for coming days and are not taken off what is wanted", records.Counted(labelled, "graft"), records.Pair(p.Variety, p.Draft.Stock)))
		}
	}
	for _, draft := range j.sessions {
		if j.history.hasLabels(draft) {
			command.Hint(j.stderr, fmt.Sprintf("%s on %s: a batch of the same pair, day and source has labels already, which print would give again; name another source in row %d",
				records.Pair(draft.Variety, draft.Stock), draft.Date.Format(time.DateOnly), draft.Row))
		}
	}
	if !j.best {
		command.Hint(j.stderr, "there may be a plan that leaves out a little less: so many orders in so tight a bed are not tried to the end")
	}
}

// short is an error for each order that is not planned in full; nil where all
// are.
func (j *planJob) short() error {
	var errs []error
	for _, p := range j.orders {
		if p.short > 0 {
			errs = append(errs, fmt.Errorf("%s row %d, %s: %d of %s find no place, %s: %s", j.file, p.Row, records.Pair(p.Variety, p.Draft.Stock),
				p.short, records.Counted(p.grafts, "graft"), p.shortSaid(), p.reason))
		}
	}
	if len(errs) == 0 {
		return nil
	}
	advice := "the files hold the best plan that was found for the rest"
	if len(j.files) == 0 {
		advice = "nothing could be planned, and no file was written"
	}
	advice += "; more places, more grafts a day, an earlier --from or a later day would help"
	var hopeless []string
	for _, p := range j.orders {
		if p.hopeless() {
			hopeless = append(hopeless, fmt.Sprint(p.Row))
		}
	}
	switch {
	case len(j.orders) == 1: // no others
	case len(hopeless) == 1:
		advice += fmt.Sprintf("; row %s cannot be met; take it out and plan again, the room goes to others", hopeless[0])
	case len(hopeless) > 1:
		advice += fmt.Sprintf("; rows %s cannot be met; take them out and plan again, the room goes to others", strings.Join(hopeless, ", "))
	}
	return command.Advise(errors.Join(errs...), advice)
}

// days lists the sessions, each with its batches in the order of work.
func (j *planJob) days() [][]records.Draft {
	var days [][]records.Draft
	for i, draft := range j.sessions {
		if i == 0 || cmp.Compare(draft.Date.Unix(), j.sessions[i-1].Date.Unix()) != 0 {
			days = append(days, nil)
		}
		days[len(days)-1] = append(days[len(days)-1], draft)
	}
	return days
}
