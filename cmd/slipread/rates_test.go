package main

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/records"
	"graftslip/records/plan/forecast"
)

// seasonOutcomes is a season of five varieties on three stocks, all invented.
func seasonOutcomes() []forecast.Outcome {
	day := time.Date(2026, 11, 2, 0, 0, 0, 0, time.UTC)
	var all []forecast.Outcome
	for _, batch := range []struct {
		variety, stock   string
		grafts, finished int
	}{
		{"Lantern Wren", "Quarry Thorn", 40, 36}, {"Lantern Wren", "Quarry Thorn", 60, 51}, {"Lantern Wren", "Quarry Thorn", 30, 28},
		{"Lantern Wren", "Sloe Barrow", 40, 27}, {"Lantern Wren", "Sloe Barrow", 50, 29},
		{"Pewter Magpie", "Quarry Thorn", 80, 62}, {"Pewter Magpie", "Quarry Thorn", 40, 34},
		{"Pewter Magpie", "Sloe Barrow", 12, 5}, {"Pewter Magpie", "Chalk Rowan", 6, 6},
		{"Тихая Заводь", "Quarry Thorn", 25, 19}, {"Salt & Ember", "Sloe Barrow", 18, 4}, {"Salt & Ember", "Chalk Rowan", 60, 33},
		{"Salt & Ember", "Chalk Rowan", 60, 26}, {"Late Barge under the Old Stone Bridge", "Chalk Rowan of the Upper Meadow", 24, 17},
	} {
		all = append(all, forecast.Outcome{Variety: batch.variety, Stock: batch.stock, Date: day, Grafts: batch.grafts, Finished: batch.finished})
		day = day.AddDate(0, 0, 7)
	}
	return all
}

// The picture of README is as plots are drawn now; -update draws it again.
func TestRatesPicture(t *testing.T) {
	rates, err := forecast.RatesOf(seasonOutcomes(), seasonOutcomes(), forecast.ByPair, usualLevel)
	require.NoError(t, err)
	chart, left := chartOf(rates)
	require.Zero(t, left)
	var now bytes.Buffer
	require.NoError(t, chart.PNG(&now))
	path := filepath.Join("..", "..", "testdata", "pictures", "rates.png")
	if *update {
		require.NoError(t, os.WriteFile(path, now.Bytes(), 0o666))
	}
	kept, err := os.ReadFile(path)
	require.NoError(t, err)
	a, b := grey(t, kept), grey(t, now.Bytes())
	require.Equal(t, a.Rect, b.Rect)
	differ := 0
	for i := range a.Pix {
		if max(a.Pix[i], b.Pix[i])-min(a.Pix[i], b.Pix[i]) > 64 {
			differ++
		}
	}
	require.Less(t, differ, 200, "pixels that differ by more than rounding; a dot has about 190")
}

func grey(t *testing.T, content []byte) *image.Gray {
	t.Helper()
	picture, err := png.Decode(bytes.NewReader(content))
	require.NoError(t, err)
	gray, is := picture.(*image.Gray)
	require.True(t, is)
	return gray
}

func TestRatesLevel(t *testing.T) {
	for _, test := range []struct {
		text  string
		level float64 // 0: refused
	}{{"95%", 0.95}, {" 0.8", 0.8}, {"99.9 %", 0.999}, {"95", 0}, {"0%", 0}, {"100%", 0}, {"NaN", 0}, {"", 0}, {"high", 0}} {
		var l float64
		err := level(&l).Set(test.text)
		require.Equal(t, test.level > 0, err == nil, "%q", test.text)
		require.InDelta(t, test.level, l, 1e-12, "%q", test.text)
	}
}

// Of very many groups those with the most grafts are drawn, and it is said.
func TestRatesOfMany(t *testing.T) {
	var outcomes []forecast.Outcome
	for i := range 64 {
		outcomes = append(outcomes, forecast.Outcome{Variety: fmt.Sprintf("Wren %c%c", 'A'+i/26, 'A'+i%26), Stock: "Quarry Thorn", Grafts: 100 - i, Finished: 50 - i/2})
	}
	compared, err := forecast.RatesOf(outcomes, outcomes, forecast.ByVariety, usualLevel)
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "many.svg")
	r := &rates{Rates: compared, out: printer{dates: records.DateForm(0)}}
	said, err := r.writeFiles(ratesFlags{plot: path}, "")
	require.NoError(t, err)
	require.Equal(t, fmt.Sprintf("plot: %s (the 60 groups with the most grafts; 4 left out)\n", path), said)
	drawn, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Contains(t, string(drawn), "the 60 groups with the most grafts, 4 left out")
	require.Contains(t, string(drawn), "‘Wren CH’")
	require.NotContains(t, string(drawn), "‘Wren CI’")
}
