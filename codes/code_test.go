package codes_test

import (
	"encoding/json"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
)

func day(t testing.TB, s string) time.Time {
	t.Helper()
	date, err := time.Parse(time.DateOnly, s)
	require.NoError(t, err)
	return date
}

func newCode(t testing.TB, date string, batch int) codes.Code {
	t.Helper()
	code, err := codes.New(day(t, date), batch)
	require.NoError(t, err)
	return code
}

func must(t testing.TB) func(codes.Code, error) codes.Code {
	return func(code codes.Code, err error) codes.Code {
		t.Helper()
		require.NoError(t, err)
		return code
	}
}

func TestNew(t *testing.T) {
	batch := newCode(t, "2026-11-25", 4)
	require.Equal(t, "26329-004-0000-17", batch.String())
	require.Equal(t, codes.Batch, batch.Kind())
	require.Equal(t, 4, batch.Batch())
	require.Equal(t, 0, batch.Number())
	require.Equal(t, day(t, "2026-11-25"), batch.Date())

	stem := must(t)(batch.Stem(17))
	require.Equal(t, "26329-004-0017-63", stem.String())
	require.Equal(t, "26329004001763", stem.Compact())
	require.Equal(t, codes.Stem, stem.Kind())
	require.Equal(t, 17, stem.Number())
	require.Equal(t, 4, stem.Batch())
	require.Equal(t, batch, stem.Whole())

	tray := must(t)(stem.Tray(2))
	require.Equal(t, "26329-004-9002-74", tray.String())
	require.Equal(t, codes.Tray, tray.Kind())
	require.Equal(t, 2, tray.Number())
	require.Equal(t, batch, tray.Whole())
	require.Equal(t, stem, must(t)(tray.Stem(17)), "a tray's batch has the same stems")
}

func TestNewRefuses(t *testing.T) {
	for _, test := range []struct {
		date   string
		batch  int
		want   error
		reason string
	}{
		{"1999-12-31", 1, codes.ErrDate, "the day before the first"},
		{"2100-01-01", 1, codes.ErrDate, "the day behind the last"},
		{"2000-01-01", 1, nil, "the first day"},
		{"2099-12-31", codes.MaxBatch, nil, "the last day"},
		{"2026-11-25", 0, codes.ErrUnit, "no batch"},
		{"2026-11-25", -1, codes.ErrUnit, "less than none"},
		{"2026-11-25", codes.MaxBatch + 1, codes.ErrUnit, "a batch too many"},
		{"1999-12-31", 0, codes.ErrDate, "the date comes first"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			code, err := codes.New(day(t, test.date), test.batch)
			require.Equal(t, test.want, err)
			require.Equal(t, err != nil, code.IsZero())
		})
	}
}

func TestUnits(t *testing.T) {
	batch := newCode(t, "2026-11-25", 4)
	for _, test := range []struct {
		issue  func(int) (codes.Code, error)
		number int
		want   error
		reason string
	}{
		{batch.Stem, 1, nil, "first stem"},
		{batch.Stem, codes.MaxStem, nil, "last stem"},
		{batch.Stem, 0, codes.ErrUnit, "stem 0 would be the batch"},
		{batch.Stem, codes.MaxStem + 1, codes.ErrUnit, "a stem too many"},
		{batch.Stem, -1, codes.ErrUnit, "a negative stem"},
		{batch.Tray, 1, nil, "first tray"},
		{batch.Tray, codes.MaxTray, nil, "last tray"},
		{batch.Tray, 0, codes.ErrUnit, "tray 0"},
		{batch.Tray, codes.MaxTray + 1, codes.ErrUnit, "a tray too many would be another batch"},
		{batch.Tray, -1, codes.ErrUnit, "a negative tray"},
		{codes.Code{}.Stem, 1, codes.ErrUnit, "a stem of no batch"},
		{codes.Code{}.Tray, 1, codes.ErrUnit, "a tray of no batch"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			code, err := test.issue(test.number)
			require.Equal(t, test.want, err)
			if err != nil {
				require.True(t, code.IsZero())
				return
			}
			require.Equal(t, test.number, code.Number())
			require.Equal(t, batch, code.Whole())
			require.Equal(t, code, must(t)(codes.Parse(code.Compact())))
		})
	}
}

// Only the calendar day counts, in the location that the time has.
func TestNewTakesCalendarDay(t *testing.T) {
	east := time.FixedZone("east", 14*60*60)
	west := time.FixedZone("west", -12*60*60)
	want := newCode(t, "2026-11-25", 1)
	for _, date := range []time.Time{
		time.Date(2026, 11, 25, 0, 0, 0, 0, east),
		time.Date(2026, 11, 25, 23, 59, 59, 999, east),
		time.Date(2026, 11, 25, 0, 0, 0, 0, west),
		time.Date(2026, 11, 25, 23, 59, 59, 999, west),
	} {
		require.Equal(t, want, must(t)(codes.New(date, 1)), date)
	}
}

func TestOrdinalDates(t *testing.T) {
	const (
		iso    = "ISO 8601:2000 5.2.2.1 (seen), in a year of the same length that a code can hold"
		seen   = "ISO 8601 ordinal date (seen)"
		worked = "calendar (computed)"
	)
	for _, test := range []struct{ ordinal, date, source string }{
		{"85102", "2085-04-12", iso}, // 1985-102 is 12 April 1985
		{"81095", "2081-04-05", iso}, // 1981-095 is 5 April 1981
		{"18203", "2018-07-22", seen},
		{"00366", "2000-12-31", worked},
		{"24060", "2024-02-29", worked},
		{"00060", "2000-02-29", worked},
		{"23060", "2023-03-01", worked},
		{"23366", "", worked}, // 2023 is no leap year
		{"99366", "", worked}, // nor is 2099
		{"23000", "", worked},
	} {
		t.Run(test.ordinal, func(t *testing.T) {
			code, err := codes.Parse(sealed(t, test.ordinal+"0010001"))
			if test.date == "" {
				require.Equal(t, codes.ErrDate, err, test.source)
				return
			}
			require.NoError(t, err, test.source)
			require.Equal(t, day(t, test.date), code.Date(), test.source)
		})
	}
}

// Every day of the hundred years goes into a code and comes back.
func TestEveryDay(t *testing.T) {
	days := 0
	for date := day(t, "2000-01-01"); date.Year() < 2100; date = date.AddDate(0, 0, 1) {
		days++
		code := must(t)(codes.New(date, 1+days%codes.MaxBatch))
		require.Equal(t, date, must(t)(codes.Parse(code.String())).Date())
	}
	require.Equal(t, 36525, days) // 100 years with 25 leap days (computed)
}

func TestZero(t *testing.T) {
	var zero codes.Code
	require.True(t, zero.IsZero())
	require.Empty(t, zero.String())
	require.Empty(t, zero.Compact())
	require.Zero(t, zero.Kind())
	require.Zero(t, zero.Number())
	require.Zero(t, zero.Batch())
	require.True(t, zero.Date().IsZero())
	require.Equal(t, zero, zero.Whole())
	require.False(t, newCode(t, "2000-01-01", 1).IsZero())
}

func TestKindNames(t *testing.T) {
	require.Equal(t, "batch", codes.Batch.String())
	require.Equal(t, "stem", codes.Stem.String())
	require.Equal(t, "tray", codes.Tray.String())
	require.Equal(t, "none", codes.Kind(0).String())
}

func TestCompare(t *testing.T) {
	early, late := newCode(t, "2025-12-31", 9), newCode(t, "2026-01-01", 1)
	second := newCode(t, "2026-01-01", 2)
	want := []codes.Code{
		{},
		early,
		late,
		must(t)(late.Stem(1)),
		must(t)(late.Stem(2)),
		must(t)(late.Stem(codes.MaxStem)),
		must(t)(late.Tray(1)),
		must(t)(late.Tray(codes.MaxTray)),
		second,
		must(t)(second.Stem(1)),
	}
	got := slices.Clone(want)
	random := rand.New(rand.NewPCG(7, 7))
	random.Shuffle(len(got), func(i, j int) { got[i], got[j] = got[j], got[i] })
	slices.SortFunc(got, codes.Compare)
	require.Equal(t, want, got)
	for _, code := range want {
		require.Zero(t, codes.Compare(code, code))
	}
}

func TestJSON(t *testing.T) {
	type record struct {
		Code codes.Code         `json:"code"`
		Seen map[codes.Code]int `json:"seen"`
		None codes.Code         `json:"none"`
	}
	stem := must(t)(newCode(t, "2026-11-25", 4).Stem(17))
	in := record{Code: stem, Seen: map[codes.Code]int{stem: 3}}
	text, err := json.Marshal(in)
	require.NoError(t, err)
	require.JSONEq(t, `{"code":"26329-004-0017-63","seen":{"26329-004-0017-63":3},"none":""}`, string(text))

	out := record{None: stem} // an empty text must clear it
	require.NoError(t, json.Unmarshal(text, &out))
	require.Equal(t, in, out)

	kept := stem
	require.Equal(t, codes.ErrCheckDigits, kept.UnmarshalText([]byte("26329-004-0017-64")))
	require.Equal(t, stem, kept, "a failure changes nothing")
}
