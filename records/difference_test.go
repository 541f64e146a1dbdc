package records_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/layouts"
	"graftslip/records"
)

func TestDifferences(t *testing.T) {
	batch := records.Batch{Draft: records.Draft{Date: time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC), Variety: "Ada Lantern", Stock: "Fen Hedge", Grafts: 40}}
	for _, row := range []struct {
		change func(*records.Batch)
		want   records.Difference
	}{
		{func(b *records.Batch) { b.Date = b.Date.AddDate(0, 0, 1) }, records.Difference{"date", "2026-11-25", "2026-11-26", true}},
		{func(b *records.Batch) { b.Variety = "Bo" }, records.Difference{"variety", "Ada Lantern", "Bo", true}},
		{func(b *records.Batch) { b.Draft.Stock = "Elm" }, records.Difference{"stock", "Fen Hedge", "Elm", true}},
		{func(b *records.Batch) { b.Source = "Bed 2" }, records.Difference{"source", "", "Bed 2", true}},
		{func(b *records.Batch) { b.TraySize = 15 }, records.Difference{"tray", "0", "15", true}},
		{func(b *records.Batch) { b.Grafts = 44 }, records.Difference{"grafts", "40", "44", false}},
		{func(b *records.Batch) { b.Draft.Stem = 6.35 }, records.Difference{"stem", "0", "6.35", false}},
		{func(b *records.Batch) { b.Grafter = "MK" }, records.Difference{"grafter", "", "MK", false}},
		{func(b *records.Batch) { b.Draft.Wrap = layouts.Loop }, records.Difference{"label wrap", "", "loop", false}},
		{func(b *records.Batch) { b.Note = "soft" }, records.Difference{"note", "", "soft", false}},
	} {
		t.Run(row.want.Field, func(t *testing.T) {
			other := batch
			row.change(&other)
			require.Equal(t, []records.Difference{row.want}, records.Differences(batch, other))
		})
	}
	batch.Row = 7
	other := batch
	other.Row = 8
	require.Empty(t, records.Differences(batch, other), "rows belong to manifests")
}
