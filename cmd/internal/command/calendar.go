package command

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"golang.org/x/text/unicode/norm"

	"graftslip/records"
)

// mostDays is the largest number of days that a setting takes. Our own choice:
// more is a typing error.
const mostDays = 999

// LoadCalendar reads the days from the settings file; see LoadSettings.
func LoadCalendar() (records.Calendar, error) {
	settings, err := LoadSettings()
	if err != nil {
		return records.Calendar{}, err
	}
	return settings.Calendar, nil
}

// DaySetting is a number of days, by its key in the settings file.
type DaySetting struct {
	Name string // days.look, days.stock."Marlpit Hedge".look
	Days int
	Kept bool // in the file; else it is the default
}

// Days lists the days that hold for all, then those of single rootstocks and
// varieties.
func (s *Settings) Days() []DaySetting {
	var all []DaySetting
	usual := records.UsualDays()
	for _, name := range dayNames() {
		kept := *day(&s.Calendar.All, name)
		all = append(all, DaySetting{"days." + name, cmp.Or(kept, *day(&usual, name)), kept > 0})
	}
	all = append(all, keptByName("days.stock", s.Calendar.Stocks)...)
	return append(all, keptByName("days.variety", s.Calendar.Varieties)...)
}

func keptByName(prefix string, days map[string]records.Days) []DaySetting {
	var all []DaySetting
	for _, name := range slices.Sorted(maps.Keys(days)) {
		own := days[name]
		for _, key := range dayNames() {
			if kept := *day(&own, key); kept > 0 {
				all = append(all, DaySetting{named(prefix, name) + "." + key, kept, true})
			}
		}
	}
	return all
}

// dayNames lists the days that can be set, in the order in which they come.
func dayNames() []string { return []string{"look", "again", "harden", "flush", "question"} }

// day is where a number of days is kept, by its name in the settings.
func day(d *records.Days, name string) *int {
	switch name {
	case "look":
		return &d.Look
	case "again":
		return &d.Again
	case "harden":
		return &d.Harden
	case "flush":
		return &d.Flush
	case "question":
		return &d.Question
	}
	return nil
}

// parseDays reads the table [days] with those of varieties and stocks in it.
func (s *Settings) parseDays(value any) error {
	table, ok := value.(map[string]any)
	if !ok {
		return s.noDays("days must be a table: [days]")
	}
	names := map[string]any{}
	for _, kind := range []string{"variety", "stock"} {
		if tables, has := table[kind]; has {
			names[kind] = tables
			delete(table, kind)
		}
	}
	var err error
	if s.Calendar.All, err = s.days("days", table); err != nil {
		return err
	}
	if s.Calendar.Varieties, err = s.daysByName("days.variety", names["variety"]); err != nil {
		return err
	}
	s.Calendar.Stocks, err = s.daysByName("days.stock", names["stock"])
	return err
}

// daysByName reads the tables of varieties or of stocks; nil stands for none.
// Names are kept as a manifest's are: with one space for all white space, in
// Unicode normalisation form C.
func (s *Settings) daysByName(prefix string, value any) (map[string]records.Days, error) {
	if value == nil {
		return nil, nil
	}
	tables, ok := value.(map[string]any)
	if !ok {
		return nil, s.noDays(fmt.Sprintf(`%s must be tables, such as [%[1]s."Some Name"]`, prefix))
	}
	all := map[string]records.Days{}
	for _, written := range slices.Sorted(maps.Keys(tables)) {
		name, place := norm.NFC.String(strings.Join(strings.Fields(written), " ")), named(prefix, written)
		table, ok := tables[written].(map[string]any)
		switch {
		case name == "":
			return nil, s.noDays(place + " has an empty name")
		case !ok:
			return nil, s.noDays(fmt.Sprintf("%s must be a table: [%[1]s]", place))
		}
		for other := range all {
			if records.Key(other) == records.Key(name) {
				return nil, s.wrong(fmt.Sprintf("%s and %s are the same name", named(prefix, other), place), "merge the two tables; capitals, spaces and the shape of apostrophes make no difference")
			}
		}
		var err error
		if all[name], err = s.days(place, table); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// named is the place of what is kept by a name.
func named(prefix, name string) string { return fmt.Sprintf("%s.%q", prefix, name) }

// days reads one table of days.
func (s *Settings) days(place string, table map[string]any) (records.Days, error) {
	var d records.Days
	usual := records.UsualDays()
	for _, key := range slices.Sorted(maps.Keys(table)) {
		kept := day(&d, key)
		if kept == nil {
			return d, s.noDays(fmt.Sprintf("there is no setting %q", place+"."+key))
		}
		number, whole := table[key].(int64)
		if !whole {
			return d, s.wrong(fmt.Sprintf("%s.%s must be a whole number", place, key), fmt.Sprintf("write %s = %d, without quotation marks", key, *day(&usual, key)))
		}
		if number < 1 || number > mostDays {
			return d, s.wrong(fmt.Sprintf("%s.%s = %d: days must be from 1 to %d", place, key, number, mostDays), "change the value, or delete the line")
		}
		*kept = int(number)
	}
	return d, nil
}

func (s *Settings) noDays(problem string) error {
	return s.wrong(problem, "days are "+strings.Join(dayNames(), ", ")+`, in the tables [days], [days.stock."Marlpit Hedge"], [days.variety."Amber Weathercock"]`)
}
