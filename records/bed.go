package records

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"time"

	"graftslip/codes"
)

// BedTray is a tray under mist.
type BedTray struct {
	Batch Batch
	Unit  codes.Code
	Tally Tally
	Days  int // under mist, until today
	// Until is the day, at midnight UTC, on which it may leave the mist. Basis is
	// the reason in words.
	Until time.Time
	Basis string
}

// Bed returns the trays under mist on a day, oldest first.
func Bed(histories []History, calendar Calendar, today time.Time) []BedTray {
	return bed(histories, calendar, today, UnderMist)
}

// ToCome returns the trays that have labels and will be grafted after today, the
// first to come first. Their Days are negative.
func ToCome(histories []History, calendar Calendar, today time.Time) []BedTray {
	return bed(histories, calendar, today, Ahead)
}

func bed(histories []History, calendar Calendar, today time.Time, wanted Stage) []BedTray {
	stays := StaysOf(histories)
	var all []BedTray
	for _, c := range histories {
		days := calendar.For(c.Batch.Variety, c.Batch.Stock)
		for _, unit := range c.Units() {
			if c.Stage(unit, days, today) != wanted {
				continue
			}
			b := BedTray{Batch: c.Batch, Unit: c.card(unit), Tally: c.Tally(unit), Days: c.Batch.DaysSince(today)}
			b.Until, b.Basis = stays.until(c, unit, days, Midnight(today))
			all = append(all, b)
		}
	}
	slices.SortStableFunc(all, func(a, b BedTray) int {
		return cmp.Or(a.Batch.Date.Compare(b.Batch.Date), codes.Compare(a.Unit, b.Unit))
	})
	return all
}

// Stays holds how many days the trays of a nursery stood under mist.
type Stays struct {
	took map[string][]int // by stayKeys
}

// Enough trays, or batches, replace a guess by experience. Our own choice, no source.
const Enough = 3

// StaysOf learns from the trays with an entry that they were taken out of the mist. Trays
// that an earlier entry shows outside are left out: the day they left is unknown.
func StaysOf(histories []History) Stays {
	known := Stays{map[string][]int{}}
	for _, c := range histories {
		for _, unit := range c.Units() {
			if out, is := c.takenOut(unit); is {
				for _, key := range stayKeys(c.Batch.Variety, c.Batch.Stock) {
					known.took[key] = append(known.took[key], c.Batch.DaysSince(out))
				}
			}
		}
	}
	return known
}

// stayKeys are the keys for the pair, the stock and the whole nursery.
func stayKeys(variety, stock string) [3]string {
	variety, stock = Key(variety), Key(stock)
	return [3]string{"pair\x00" + variety + "\x00" + stock, "stock\x00" + stock, "all"}
}

// For returns how many days a tray of a pair will stand under mist: the median of the
// trays of the pair, or else of its stock, or else of all, as soon as Enough of them
// have left; else a guess from the calendar. The basis is the reason in words.
func (s Stays) For(variety, stock string, days Days) (expected int, basis string) {
	for i, key := range stayKeys(variety, stock) {
		if took := slices.Sorted(slices.Values(s.took[key])); len(took) >= Enough {
			expected = took[len(took)/2]
			of := [...]string{"half of %d trays of this pair", "half of %d trays on this stock", "half of all %d trays"}[i]
			return expected, fmt.Sprintf(of+" took %d days or less", len(took), expected)
		}
	}
	return days.Look + 2*days.Again, "a guess: two checks after the first"
}

// until returns the day on which a unit may leave the mist: after the days that its
// pair takes, but not before the next check.
func (s Stays) until(c History, unit codes.Code, days Days, today time.Time) (day time.Time, basis string) {
	expected, basis := s.For(c.Batch.Variety, c.Batch.Stock, days)
	due, _ := c.DueOf(unit, days, today)
	if due.Task == HardenOff && !c.Batch.Date.After(today) {
		return today, due.Reason
	}
	day = c.Batch.Date.AddDate(0, 0, expected)
	switch look := due.From; {
	case day.Before(today) && !look.After(today):
		return today.AddDate(0, 0, days.Again), "longer under mist than others: after one more check"
	case day.Before(today):
		return look, "longer under mist than others: after one more check"
	case day.Before(look):
		return look, "not before the next check"
	}
	return day, basis
}

// BedDay is a day on which the bed changes.
type BedDay struct {
	Day               time.Time
	Leaving, Arriving int // trays
	Trays, Stems      int // under mist at the end of the day; stems alive today
}

// BedForecast returns the days on which the bed is expected to change, given the trays
// in it and those to come.
func BedForecast(standing, toCome []BedTray) []BedDay {
	changes := map[time.Time]BedDay{} // whose Trays and Stems are differences
	change := func(day time.Time, leaving, arriving, stems int) {
		c := changes[day]
		changes[day] = BedDay{day, c.Leaving + leaving, c.Arriving + arriving, c.Trays + arriving - leaving, c.Stems + stems}
	}
	trays, stems := len(standing), 0
	for _, b := range standing {
		stems += b.Tally.Alive
	}
	for _, b := range slices.Concat(standing, toCome) {
		change(b.Until, 1, 0, -b.Tally.Alive)
	}
	for _, b := range toCome {
		change(b.Batch.Date, 0, 1, b.Tally.Alive)
	}
	var all []BedDay
	for _, day := range slices.SortedFunc(maps.Keys(changes), time.Time.Compare) {
		c := changes[day]
		trays, stems = trays+c.Trays, stems+c.Stems
		c.Trays, c.Stems = trays, stems
		all = append(all, c)
	}
	return all
}
