package records_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/records"
)

// Three weeks under mist; common practice, no source.
func TestLookFrom(t *testing.T) {
	b := batch(t, 10, 0)
	usual := records.Calendar{}
	require.Equal(t, day(2026, time.December, 16), usual.LookFrom(b))
	require.Equal(t, 21, b.DaysSince(usual.LookFrom(b)))
	b.Date = day(2028, time.February, 10)
	require.Equal(t, day(2028, time.March, 2), usual.LookFrom(b), "2028 is a leap year")
}

// A nursery's own days are those of the variety, else of the stock, else of all.
func TestLookFromOfNursery(t *testing.T) {
	own := records.Calendar{
		All:       records.Days{Look: 20},
		Stocks:    map[string]records.Days{"Marlpit Hedge": {Look: 28}, "Old Gate": {Again: 5}},
		Varieties: map[string]records.Days{"Amber Weathercock": {Look: 30}, "Tin Drummer": {Flush: 70}},
	}
	for _, row := range []struct {
		reason, variety, stock string
		days                   int
	}{
		{"the variety before the stock", "Amber Weathercock", "Marlpit Hedge", 30},
		{"the stock when the variety says nothing of it", "Tin Drummer", "Marlpit Hedge", 28},
		{"all when neither does", "Tin Drummer", "Old Gate", 20},
		{"all when neither is known", "Paper Lighthouse", "Anchor", 20},
		{"letter case does not matter", "amber WEATHERCOCK", "Anchor", 30},
	} {
		b := records.Batch{Draft: records.Draft{Date: day(2026, time.November, 25), Variety: row.variety, Stock: row.stock}}
		require.Equal(t, b.Date.AddDate(0, 0, row.days), own.LookFrom(b), row.reason)
	}
}
