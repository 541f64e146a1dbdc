package manifest

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"graftslip/records"
	"graftslip/records/manifest/sheet"
)

// DateOrder is the order of day, month and year in dates such as 12/1/2026.
type DateOrder uint8

// The orders. With Undecided the dates of a file decide, or a person is asked.
const (
	Undecided DateOrder = iota
	DayFirst
	MonthFirst
	YearFirst
)

// dateOrders lists the orders; one holds for a whole file.
func dateOrders() []DateOrder { return []DateOrder{DayFirst, MonthFirst, YearFirst} }

// String returns the name that ParseDateOrder reads, "" for Undecided.
func (o DateOrder) String() string { return [...]string{"", "dmy", "mdy", "ymd"}[o] }

// first is what a date in this order begins with.
func (o DateOrder) first() string { return [...]string{"", "day", "month", "year"}[o] }

// ParseDateOrder reads the name of an order in any case. The error is a
// *records.Problem.
func ParseDateOrder(text string) (DateOrder, error) {
	for _, order := range dateOrders() {
		if strings.EqualFold(strings.TrimSpace(text), order.String()) {
			return order, nil
		}
	}
	return Undecided, &records.Problem{Text: fmt.Sprintf("%q is not an order of dates", text),
		Advice: "use dmy (31/12/2026), mdy (12/31/2026) or ymd (26/12/31)"}
}

// written is a date in a cell: its day in each order, by DateOrder, zero if an order
// gives none.
type written [YearFirst + 1]time.Time

// fixed reports whether the form of the date allows only one order.
func (w written) fixed() bool { return w[DayFirst] == w[MonthFirst] && w[DayFirst] == w[YearFirst] }

// orders lists those of some orders that give a day.
func (w written) orders(some []DateOrder) []DateOrder {
	return slices.DeleteFunc(slices.Clone(some), func(order DateOrder) bool { return w[order].IsZero() })
}

// differs reports whether two of these orders give different days.
func (w written) differs(among []DateOrder) bool {
	return slices.ContainsFunc(among, func(order DateOrder) bool { return w[order] != w[among[0]] })
}

var (
	// dayInNumbers takes 2026-11-25, 25.11.2026, 25. 11. 26 and 11/25/2026.
	dayInNumbers = regexp.MustCompile(`^(\d{1,4})([-/.]) ?(\d{1,2})([-/.]) ?(\d{1,4})$`)
	// dayBeforeName takes 25 Nov 2026, 25. November 2026, 25-Nov-26 and 2026 Nov 25.
	dayBeforeName = regexp.MustCompile(`^(\d{1,4})[-./ ] ?(\pL+)\.?[-./, ] ?(\d{1,4})$`)
	// nameBeforeDay takes Nov 25, 2026 and November 25 2026.
	nameBeforeDay = regexp.MustCompile(`^(\pL+)\.? (\d{1,2}),? (\d{4})$`)
	// timeOfDay takes the time that programs write after a day.
	timeOfDay = regexp.MustCompile(`(?i)[ T]([01]?\d|2[0-3]):[0-5]\d(:[0-5]\d(\.\d+)?)?( ?[AP]M)?$`)
)

// parseWritten reads a date in any form. It drops a time of day, because codes carry
// only the day. It reports false for any other text. A day that does not exist, such as
// 31.11.2026, is zero in every order.
func parseWritten(text string) (w written, ok bool) {
	const longest = 80 // bytes; more is a text
	if len(text) > longest {
		return w, false
	}
	text = timeOfDay.ReplaceAllString(tidy(text), "")
	if parts := dayInNumbers.FindStringSubmatch(text); parts != nil && parts[2] == parts[4] {
		return inNumbers(parts[1], parts[3], parts[5], parts[2] == ".")
	}
	var day, name, year string
	if parts := dayBeforeName.FindStringSubmatch(text); parts != nil {
		day, name, year = parts[1], parts[2], parts[3]
		if len(day) == 4 {
			day, year = year, day
		}
	} else if parts := nameBeforeDay.FindStringSubmatch(text); parts != nil {
		name, day, year = parts[1], parts[2], parts[3]
	}
	month := monthOf(name)
	if month == "" || len(day) > 2 || !isYear(year) {
		return w, false
	}
	return always(dayOf(year, month, day)), true
}

// inNumbers reads three numbers. With dots the day is first. A first number of four
// digits is the year, with any separator.
func inNumbers(a, b, c string, dots bool) (w written, ok bool) {
	// Two digits are a year from 2000 to 2099, as in codes. Nobody labels grafts of
	// earlier years than this, so 01/12/26 is not 26 December 2001.
	const earliest = 2020
	switch {
	case len(a) == 4 && len(c) <= 2:
		return always(dayOf(a, b, c)), true
	case len(a) > 2 || !isYear(c):
		return w, false
	case dots:
		return always(dayOf(c, b, a)), true
	}
	w[DayFirst], w[MonthFirst] = dayOf(c, b, a), dayOf(c, a, b)
	if len(c) == 2 {
		w[YearFirst] = dayOf(a, b, c)
		late := w
		for order, day := range w {
			if day.Year() < earliest {
				late[order] = time.Time{}
			}
		}
		if len(late.orders(dateOrders())) > 0 {
			return late, true
		}
	}
	return w, true
}

func always(day time.Time) written { return written{DayFirst: day, MonthFirst: day, YearFirst: day} }

func isYear(digits string) bool { return len(digits) == 2 || len(digits) == 4 }

// dayOf returns midnight UTC of a day in digits, zero when there is no such day.
func dayOf(year, month, day string) time.Time {
	number := func(digits string) int {
		n, _ := strconv.Atoi(digits) // at most four digits
		return n
	}
	y, m, d := number(year), number(month), number(day)
	if len(year) <= 2 {
		y += 2000
	}
	date := time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC)
	if date.Day() != d || int(date.Month()) != m {
		return time.Time{}
	}
	return date
}

// monthOf returns the number of a month in digits from its English or German name, or
// the first three letters or more of it; "" if there is no such month.
func monthOf(name string) string {
	const least = 3
	names := [][]string{
		{"january", "januar", "janner"}, {"february", "februar", "feber"}, {"march", "marz", "maerz", "mrz"}, {"april"}, {"may", "mai"},
		{"june", "juni"}, {"july", "juli"}, {"august"}, {"september", "sept"}, {"october", "oktober"}, {"november"}, {"december", "dezember"},
	}
	name = records.Unaccented(name)
	for i, month := range names {
		if len(name) >= least && slices.ContainsFunc(month, func(whole string) bool { return strings.HasPrefix(whole, name) }) {
			return strconv.Itoa(i + 1)
		}
	}
	return ""
}

// dateUse is how the dates of one file are read if they leave a choice.
type dateUse struct {
	order DateOrder
	asked *fault // why they cannot be read, or nil
}

// decideDates finds the one order that all dates of a file allow. If several do, and
// give different days, a person must choose.
func decideDates(cells []spot, given DateOrder) dateUse {
	possible, open := dateOrders(), []spot{}
	swapped := 0 // a row whose cell a spreadsheet program may have read in the wrong order
	for _, cell := range cells {
		w, _ := parseWritten(cell.text)
		switch {
		case cell.kind == sheet.Date && w[DayFirst].Day() <= 12 && swapped == 0:
			swapped = cell.row
		case w.fixed() || cell.kind != sheet.Typed:
		default:
			open = append(open, cell)
			if given != Undecided {
				continue
			}
			left := w.orders(possible)
			if len(left) == 0 {
				return dateUse{asked: contradiction(open)}
			}
			possible = left
		}
	}
	switch {
	case len(open) > 0 && swapped > 0:
		return dateUse{asked: &fault{
			expected: fmt.Sprintf("a cell formatted as a date, as in row %d", swapped),
			advice:   "the spreadsheet read some dates and left others as text, so it may have swapped day and month: check all of them, and type each as in 2026-11-25",
		}}
	case given != Undecided:
		return dateUse{order: given}
	}
	for _, cell := range open {
		if w, _ := parseWritten(cell.text); w.differs(possible) {
			return dateUse{asked: question(cell.text, w, possible)}
		}
	}
	return dateUse{order: possible[0]}
}

// contradiction is the fault of dates whose last allows none of the orders that those
// before it share.
func contradiction(cells []spot) *fault {
	last := cells[len(cells)-1]
	w, _ := parseWritten(last.text)
	allowed := w.orders(dateOrders())
	other := cells[0]
	for _, cell := range cells {
		if v, _ := parseWritten(cell.text); len(v.orders(allowed)) == 0 {
			other = cell
			break
		}
	}
	v, _ := parseWritten(other.text)
	first := v.orders(dateOrders())
	return &fault{
		expected: fmt.Sprintf("one order in the whole column: %s in row %d has the %s first, %s in row %d the %s",
			quote(other.text), other.row, first[0].first(), quote(last.text), last.row, allowed[0].first()),
		advice: "correct the dates that differ, or write all of them as in 2026-11-25",
	}
}

// question is the fault of dates that several orders allow; it shows one of them in
// each order.
func question(text string, w written, among []DateOrder) *fault {
	var days, ways []string
	for _, order := range among {
		day := w[order].Format("2 January 2006")
		if !slices.Contains(days, day) {
			days = append(days, day)
			ways = append(ways, fmt.Sprintf("--dates %v for %s", order, day))
		}
	}
	return &fault{
		expected: fmt.Sprintf("dates that can be read in one way only: %s may be %s", quote(text), orList(days)),
		advice:   "add " + orList(ways) + ", or write the dates as in 2026-11-25",
	}
}

// orList joins words as a sentence lists them.
func orList(words []string) string { return joined(words, " or ") }

func joined(words []string, last string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + last + words[len(words)-1]
}
