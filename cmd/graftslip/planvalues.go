package main

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/layouts"
	"graftslip/records/manifest"
)

// share is a flag's value: a chance or a part, 0 when it was not said.
type share float64

// Set reads "90%" or "0.9".
func (s *share) Set(text string) error {
	parsed, ok := manifest.ParseShare(text)
	if !ok {
		return errors.New("a share is written 90% or 0.9, from 1% to 99.9%")
	}
	*s = share(parsed)
	return nil
}

func (s *share) String() string {
	if *s == 0 {
		return ""
	}
	return layouts.FormatNumber(float64(*s)*100) + "%"
}

// Type names the value in the help.
func (s *share) Type() string { return "N%" }

// chanceSaid writes a chance in percent, never rounded up: less would be said than
// is so, but not more.
func chanceSaid(chance float64) string {
	return layouts.FormatNumber(math.Floor(chance*1000+1e-9)/10) + "%"
}

// number is a flag's value: a number of grafts from 1, or 0 when it was not said.
type number int

// Set reads a number.
func (n *number) Set(text string) error {
	parsed, err := strconv.ParseUint(strings.TrimSpace(text), 10, 16)
	if err != nil || parsed < 1 || parsed > codes.MaxStem {
		return fmt.Errorf("a number of grafts is from 1 to %d", codes.MaxStem)
	}
	*n = number(parsed)
	return nil
}

func (n *number) String() string {
	if *n == 0 {
		return ""
	}
	return strconv.Itoa(int(*n))
}

// Type names the value in the help.
func (n *number) Type() string { return "N" }

// daysOff is a flag's value: weekdays and dates on which nobody grafts.
type daysOff struct {
	weekdays []time.Weekday
	dates    []time.Time // midnight UTC
}

// Set reads such as "sun,sat,2026-12-25".
func (d *daysOff) Set(text string) error {
	var read daysOff
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ' ' || r == ';' }) {
		if weekday, ok := parseWeekday(word); ok {
			read.weekdays = append(read.weekdays, weekday)
			continue
		}
		var date command.Date
		if err := date.Set(word); err != nil {
			return fmt.Errorf("%q is neither a weekday (sun, mon, tue, wed, thu, fri, sat) nor a date such as 2026-12-25", word)
		}
		read.dates = append(read.dates, date.Time)
	}
	slices.Sort(read.weekdays)
	if read.weekdays = slices.Compact(read.weekdays); len(read.weekdays) == 7 {
		return errors.New("some weekday must be left to graft on")
	}
	*d = read
	return nil
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

func (d *daysOff) String() string {
	var words []string
	for _, weekday := range d.weekdays {
		words = append(words, strings.ToLower(weekday.String()[:3]))
	}
	for _, date := range d.dates {
		words = append(words, date.Format(time.DateOnly))
	}
	return strings.Join(words, ",")
}

// Type names the value in the help.
func (d *daysOff) Type() string { return "DAYS" }

// off reports whether nobody grafts on a day.
func (d *daysOff) off(day time.Time) bool {
	return slices.Contains(d.weekdays, day.Weekday()) || slices.ContainsFunc(d.dates, day.Equal)
}

// paper is a flag's value: what the session sheets are printed on; the zero Paper
// when it was not said.
type paper struct{ layouts.Paper }

// Set reads the name of a paper.
func (p *paper) Set(name string) (err error) {
	p.Paper, err = layouts.ParsePaper(strings.TrimSpace(name))
	return err
}

// Type names the value in the help.
func (p *paper) Type() string { return "a4|letter" }
