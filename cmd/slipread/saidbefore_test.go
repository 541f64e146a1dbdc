package main

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
)

func TestSaidBefore(t *testing.T) {
	code, err := codes.New(time.Date(2026, 11, 9, 0, 0, 0, 0, time.UTC), 1)
	require.NoError(t, err)
	tray, err := code.Tray(1)
	require.NoError(t, err)
	other, err := code.Tray(2)
	require.NoError(t, err)
	now := time.Date(2026, 12, 7, 12, 0, 0, 0, time.UTC)
	at := func(unit codes.Code, ago time.Duration, alive int) records.Entry {
		return records.Entry{Unit: unit, At: now.Add(-ago), By: "IV", Counts: records.Counts{Alive: records.Said(alive)}}
	}
	moved := at(other, time.Second, 9)
	moved.Corrects = 1
	withdraws := records.Entry{Unit: tray, At: now, Corrects: 1}
	for _, row := range []struct {
		reason  string
		entries []records.Entry // the last is the one that was kept
		said    string          // "": nothing is
	}{
		{"the first", []records.Entry{at(tray, 0, 9)}, ""},
		{"a second ago", []records.Entry{at(tray, time.Second, 9), at(tray, 0, 9)}, "just now"},
		{"a minute ago", []records.Entry{at(tray, time.Minute, 9), at(tray, 0, 9)}, "1 minute ago"},
		{"ten minutes ago", []records.Entry{at(tray, 10*time.Minute, 9), at(tray, 0, 9)}, "10 minutes ago"},
		{"before that", []records.Entry{at(tray, 10*time.Minute+time.Second, 9), at(tray, 0, 9)}, ""},
		{"other words", []records.Entry{at(tray, time.Minute, 8), at(tray, 0, 9)}, ""},
		{"of the other tray, and of all", []records.Entry{at(other, time.Minute, 9), at(code, time.Minute, 9), at(tray, 0, 9)}, ""},
		{"another tray in between", []records.Entry{at(tray, time.Minute, 9), at(other, 0, 9), at(tray, 0, 9)}, "1 minute ago"},
		{"other words in between", []records.Entry{at(tray, 2*time.Minute, 9), at(tray, time.Minute, 8), at(tray, 0, 9)}, ""},
		{"it was withdrawn", []records.Entry{at(tray, time.Minute, 9), withdraws, at(tray, 0, 9)}, ""},
		{"it was of another tray, as was corrected since", []records.Entry{at(tray, time.Minute, 9), moved, at(tray, 0, 9)}, ""},
		{"of one day, by its noon", []records.Entry{at(tray, 48*time.Hour, 9), at(tray, 48*time.Hour, 9)}, "of 2026-12-05"},
		{"of another day, entered later", []records.Entry{at(tray, 24*time.Hour, 9), at(tray, 48*time.Hour, 9)}, ""},
	} {
		t.Run(row.reason, func(t *testing.T) {
			for i := range row.entries {
				row.entries[i].Number = i + 1
			}
			kept := row.entries[len(row.entries)-1]
			history := records.NewHistory(records.Batch{Code: code, Draft: records.Draft{Date: code.Date(), Grafts: 40, TraySize: 20}}, row.entries)
			before, is := sameBefore(history, kept)
			require.Equal(t, row.said != "", is)
			if is {
				require.Equal(t, 1, before.Number)
				require.Equal(t, row.said, printer{today: now}.ago(before, kept))
			}
		})
	}
}
