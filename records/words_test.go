package records_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
)

// A unit and a day are named alike wherever they are named.
func TestUnitWords(t *testing.T) {
	batch, err := codes.New(time.Date(2026, 11, 9, 0, 0, 0, 0, time.UTC), 1)
	require.NoError(t, err)
	tray := func(n int) codes.Code { code, err := batch.Tray(n); require.NoError(t, err); return code }
	stem := func(n int) codes.Code { code, err := batch.Stem(n); require.NoError(t, err); return code }
	b := records.Batch{Code: batch, Draft: records.Draft{Date: batch.Date(), Grafts: 61, TraySize: 30}}
	for _, each := range []struct {
		code        codes.Code
		unit, words string
	}{
		{batch, "whole batch", "batch of 61"},
		{stem(30), "stem 30 of 61", "stem 30 of 61, tray 1 of 3"},
		{stem(31), "stem 31 of 61", "stem 31 of 61, tray 2 of 3"},
		{tray(2), "tray 2 of 3", "tray 2 of 3, stems 31–60"},
		{tray(3), "tray 3 of 3", "tray 3 of 3, stem 61"},
	} {
		require.Equal(t, each.unit, b.UnitWords(each.code))
		require.Equal(t, each.words, records.Record{Batch: b, Code: each.code}.Words())
	}
	for ahead, words := range map[int]string{-12: "12 days late", -1: "1 day late", 0: "today", 1: "in 1 day", 12: "in 12 days"} {
		require.Equal(t, words, records.DaysWords(ahead, "late"))
		require.Equal(t, ahead, records.DaysBetween(batch.Date(), batch.Date().AddDate(0, 0, ahead)))
	}
}

// Only trays of one batch that have the same task from the same day are one event,
// and only those that have it for the same reason are one line.
func TestDueGroups(t *testing.T) {
	due := func(batch, tray int, task records.Task, day int, reason string) records.Due {
		code, err := codes.New(time.Date(2026, 11, 9, 0, 0, 0, 0, time.UTC), batch)
		require.NoError(t, err)
		unit, err := code.Tray(tray)
		require.NoError(t, err)
		return records.Due{Batch: records.Batch{Code: code}, Unit: unit, Task: task, From: code.Date().AddDate(0, 0, day), Reason: reason}
	}
	all := []records.Due{
		due(1, 1, records.LookAgain, 28, "a"), due(2, 1, records.LookAgain, 28, "a"), due(1, 2, records.HardenOff, 28, "a"),
		due(1, 3, records.LookAgain, 29, "a"), due(1, 5, records.LookAgain, 28, "b"), due(1, 4, records.LookAgain, 28, "a"),
	}
	where := func(groups []records.DueGroup) (words []string) {
		for _, group := range groups {
			words = append(words, group[0].Batch.Code.BatchName()+" "+group.Where())
		}
		return words
	}
	require.Equal(t, []string{"26313-001 trays 1,4", "26313-002 tray 1", "26313-001 tray 2", "26313-001 tray 3", "26313-001 tray 5"}, where(records.DueGroups(all)))
	require.Equal(t, []string{"26313-001 trays 1,4-5", "26313-002 tray 1", "26313-001 tray 2", "26313-001 tray 3"}, where(records.DueEvents(all)))
	require.Equal(t, []string{all[0].Unit.String(), all[5].Unit.String()}, records.DueGroups(all)[0].Codes())
}
