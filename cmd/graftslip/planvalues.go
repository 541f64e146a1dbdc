package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/layouts"
	"graftslip/records/manifest"
)

// share is a chance or a part, "90%" or "0.9"; 0 when it was not given.
func share(at *float64) pflag.Value {
	parse := func(text string) (float64, error) {
		parsed, ok := manifest.ParseShare(text)
		if !ok {
			return 0, errors.New("give a share from 1% to 99.9%, as in 90% or 0.9")
		}
		return parsed, nil
	}
	return command.Value(at, "N%", parse, func(share float64) string {
		if share == 0 {
			return ""
		}
		return layouts.FormatNumber(share*100) + "%"
	})
}

// grafts is a number of grafts from 1, 0 when it was not given.
func grafts(at *int) pflag.Value {
	return command.Number(at, codes.MaxStem, fmt.Errorf("give a number of grafts from 1 to %d", codes.MaxStem))
}

// daysOff is weekdays and dates on which nobody grafts.
type daysOff struct {
	weekdays []time.Weekday
	dates    []time.Time // midnight UTC
}

// parseDaysOff reads such as "sun,sat,2026-12-25".
func parseDaysOff(text string) (read daysOff, err error) {
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ' ' || r == ';' }) {
		if weekday, ok := parseWeekday(word); ok {
			read.weekdays = append(read.weekdays, weekday)
			continue
		}
		date, err := command.ParseDate(word)
		if err != nil {
			return daysOff{}, fmt.Errorf("%q is neither a weekday (sun, mon, tue, wed, thu, fri, sat) nor a date such as 2026-12-25", word)
		}
		read.dates = append(read.dates, date)
	}
	slices.Sort(read.weekdays)
	if read.weekdays = slices.Compact(read.weekdays); len(read.weekdays) == 7 {
		return daysOff{}, errors.New("leave at least one weekday to graft on")
	}
	return read, nil
}

// parseWeekday reads the name of a weekday or its first three letters or more.
func parseWeekday(word string) (time.Weekday, bool) {
	const least = 3
	for day := time.Sunday; day <= time.Saturday; day++ {
		if len(word) >= least && strings.HasPrefix(strings.ToLower(day.String()), strings.ToLower(word)) {
			return day, true
		}
	}
	return 0, false
}

func (d daysOff) String() string {
	var words []string
	for _, weekday := range d.weekdays {
		words = append(words, strings.ToLower(weekday.String()[:3]))
	}
	for _, date := range d.dates {
		words = append(words, date.Format(time.DateOnly))
	}
	return strings.Join(words, ",")
}

// off reports whether nobody grafts on a day.
func (d daysOff) off(day time.Time) bool {
	return slices.Contains(d.weekdays, day.Weekday()) || slices.ContainsFunc(d.dates, day.Equal)
}

// paper is what the session sheets are printed on; the zero Paper when it was not
// given.
func paper(at *layouts.Paper) pflag.Value {
	parse := func(name string) (layouts.Paper, error) { return layouts.ParsePaper(strings.TrimSpace(name)) }
	return command.Value(at, "a4|letter", parse, layouts.Paper.String)
}
