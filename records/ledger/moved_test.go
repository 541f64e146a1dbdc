package ledger_test

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"graftslip/records"
	"graftslip/records/ledger"
	"graftslip/testdata/long"
)

// sitting is one print of a file.
type sitting struct {
	at     time.Time
	rows   []records.Draft
	chosen func(records.Draft) bool // nil for all
}

// seasons are ways in which growers keep their files over twenty days of grafting. None of
// them moves a day, so every question is a false alarm.
func seasons() map[string]func(*rand.Rand) []sitting {
	daily := func(list func(*rand.Rand, int) []records.Draft, at func(day int) time.Time) func(*rand.Rand) []sitting {
		return func(random *rand.Rand) []sitting {
			var all []sitting
			for day := range 20 {
				all = append(all, sitting{at: at(day), rows: list(random, day)})
			}
			return all
		}
	}
	eveningBefore := func(day int) time.Time { return grafting(day).Add(-6 * time.Hour) }
	return map[string]func(*rand.Rand) []sitting{
		"a file a day, printed the evening before": daily(mixedList, eveningBefore),
		"a file a day, printed in the morning":     daily(mixedList, func(day int) time.Time { return grafting(day).Add(7 * time.Hour) }),
		"files of a week, printed on Sunday":       daily(mixedList, func(day int) time.Time { return grafting(day - day%5).Add(-8 * time.Hour) }),
		"the same list all week":                   daily(weekList, eveningBefore),
		"the same list all week, from Sunday":      daily(weekList, func(day int) time.Time { return grafting(day - day%5).Add(-8 * time.Hour) }),
		"one row a day":                            daily(oneRow, eveningBefore),
		"one row a day, from Sunday":               daily(oneRow, func(day int) time.Time { return grafting(day - day%5).Add(-8 * time.Hour) }),
		"a plan, a day at a time": func(random *rand.Rand) []sitting {
			var all []sitting
			var plan []records.Draft
			for day := range 20 {
				plan = append(plan, mixedList(random, day)...)
			}
			for day := range 20 {
				all = append(all, sitting{grafting(day).Add(7 * time.Hour), plan, func(d records.Draft) bool { return d.Date.Equal(grafting(day)) }})
			}
			return all
		},
		"a file that grows": func(random *rand.Rand) []sitting {
			var all []sitting
			var rows []records.Draft
			for day := range 20 {
				rows = append(rows[:len(rows):len(rows)], mixedList(random, day)...)
				all = append(all, sitting{at: eveningBefore(day), rows: rows})
			}
			return all
		},
	}
}

// grafting is midnight of a working day.
func grafting(day int) time.Time {
	return time.Date(2026, time.November, 30, 0, 0, 0, 0, time.UTC).AddDate(0, 0, day/5*7+day%5)
}

func rowOn(day, pair, grafts int) records.Draft {
	return records.Draft{Date: grafting(day), Variety: fmt.Sprintf("Pair %d", pair), Stock: fmt.Sprintf("Stock %d", pair%3), Grafts: grafts}
}

// mixedList is three to six of twelve pairs, in round numbers.
func mixedList(random *rand.Rand, day int) []records.Draft {
	var rows []records.Draft
	for _, pair := range random.Perm(12)[:3+random.IntN(4)] {
		rows = append(rows, rowOn(day, pair, []int{20, 25, 30, 40}[random.IntN(4)]))
	}
	return rows
}

func weekList(_ *rand.Rand, day int) []records.Draft {
	var rows []records.Draft
	for n := range 4 {
		rows = append(rows, rowOn(day, day/5*4+n, 30))
	}
	return rows
}

func oneRow(random *rand.Rand, day int) []records.Draft {
	return []records.Draft{rowOn(day, random.IntN(6), []int{30, 40}[random.IntN(2)])}
}

// printAll prints the files one after the other and returns how many batches are new, and
// for each print the number of questions. Each question is answered by a new batch.
func printAll(t *testing.T, sittings []sitting) (batches int, asked []int) {
	var now time.Time
	l, err := ledger.Open(context.Background(), filepath.Join(t.TempDir(), "l.db"), ledger.WithClock(func() time.Time { return now }))
	require.NoError(t, err)
	defer l.Close()
	for n, s := range sittings {
		now = s.at.Add(time.Duration(n) * time.Minute)
		var rows []records.Draft
		for i, row := range s.rows {
			row.Row = i + 2
			rows = append(rows, row)
		}
		options := []ledger.IssueOption{}
		if s.chosen != nil {
			options = append(options, ledger.Only(s.chosen))
		}
		issued, err := l.Issue(context.Background(), rows, nil, options...)
		questioned := questions(err)
		asked = append(asked, len(questioned))
		if len(questioned) > 0 {
			issued, err = l.Issue(context.Background(), rows, nil, append(options, ledger.AsNew(questioned))...)
		}
		require.NoError(t, err)
		for _, i := range issued {
			if i.State == records.New {
				batches++
			}
		}
	}
	return batches, asked
}

// questions are the rows that an error asks about.
func questions(err error) records.Numbers {
	var rows records.Numbers
	if joined, is := err.(interface{ Unwrap() []error }); is {
		for _, each := range joined.Unwrap() {
			rows = rows.With(questions(each))
		}
		return rows
	}
	var question *ledger.Question
	if errors.As(err, &question) {
		rows = rows.With(records.Numbers{question.Row})
	}
	return rows
}

// How often print asks in seasons without a moved day.
func TestMovedNeedlessly(t *testing.T) {
	for what, season := range seasons() {
		random := rand.New(rand.NewPCG(13, 1))
		batches, asked, prints, stopped := 0, 0, 0, 0
		for range long.Cases(2, 10) {
			sittings := season(random)
			of, questions := printAll(t, sittings)
			batches, prints = batches+of, prints+len(sittings)
			for _, n := range questions {
				asked += n
				if n > 0 {
					stopped++
				}
			}
		}
		t.Logf("%-42s %3d questions in %d of %d prints, of %d batches", what, asked, stopped, prints, batches)
		most := 0.02 // of the prints
		switch what {
		case "one row a day, from Sunday":
			most = 0.15
		case "the same list all week", "the same list all week, from Sunday":
			most = 0.2 // on the second day of five
		}
		assert.LessOrEqual(t, float64(stopped), most*float64(prints), what)
	}
}

// How often print notices a moved day: of one row, or of a whole print.
func TestMovedSeen(t *testing.T) {
	for _, whole := range []bool{false, true} {
		for _, when := range []struct {
			what  string
			later time.Duration
			least float64
		}{{"at once", time.Minute, 0.65}, {"a day late", 30 * time.Hour, 0.6}} {
			all, seen := 0, 0
			for what, season := range seasons() {
				random := rand.New(rand.NewPCG(13, 1))
				rows, asked := 0, 0
				for range long.Cases(3, 20) {
					sittings := season(random)
					n := 2 + random.IntN(6)
					sittings = sittings[:n+1]
					again := sittings[n]
					again.at = again.at.Add(when.later)
					again.rows = slices.Clone(again.rows)
					moved := 0
					for i := range again.rows {
						if again.rows[i].Date.Equal(grafting(n)) && (whole || moved == 0) {
							again.rows[i].Date = grafting(n + 2)
							moved++
						}
					}
					if again.chosen != nil {
						again.chosen = func(d records.Draft) bool { return d.Date.Equal(grafting(n + 2)) }
					}
					_, questions := printAll(t, append(sittings[max(0, n-3):], again))
					rows, asked = rows+moved, asked+questions[len(questions)-1]
				}
				t.Logf("whole day %-5v %-15s %-42s %3d of %d", whole, when.what, what, asked, rows)
				all, seen = all+rows, seen+asked
			}
			t.Logf("whole day %v, %s: %d of %d", whole, when.what, seen, all)
			assert.GreaterOrEqual(t, float64(seen), when.least*float64(all), "whole day %v, %s", whole, when.what)
		}
	}
}
