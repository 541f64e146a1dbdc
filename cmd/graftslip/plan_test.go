package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/records"
	"graftslip/records/ledger"
	"graftslip/records/plan/forecast"
)

func planDay() time.Time { return time.Date(2027, time.January, 11, 0, 0, 0, 0, time.UTC) } // a Monday

func planNow() time.Time { return planDay().Add(9 * time.Hour) }

// grown is a batch that was finished, or stands under mist.
type grown struct {
	variety, stock   string
	daysAgo          int
	grafts, finished int
	days             int // to the unwrapping; 0 when it is under mist
}

// grow writes batches with what became of them into a new ledger.
func grow(t testing.TB, all []grown) string {
	t.Helper()
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "ledger.db")
	book, err := ledger.Open(ctx, path, ledger.WithClock(planNow))
	require.NoError(t, err)
	defer func() { require.NoError(t, book.Close()) }()
	var drafts []records.Draft
	for _, g := range all {
		drafts = append(drafts, records.Draft{Date: planDay().AddDate(0, 0, -g.daysAgo), Variety: g.variety, Stock: g.stock, Grafts: g.grafts})
	}
	issued, err := book.Issue(ctx, drafts, func(*ledger.Change, []records.Issued) error { return nil })
	require.NoError(t, err)
	for i, g := range all {
		if g.days == 0 {
			continue
		}
		_, _, err := book.Log(ctx, records.Entry{
			Key: fmt.Sprint("grown-", i), At: issued[i].Date.AddDate(0, 0, g.days), Unit: issued[i].Code,
			Counts: records.Counts{Alive: records.Said(g.finished)}, Moves: records.Moves{OutOfMist: true, TieRemoved: true},
		})
		require.NoError(t, err)
	}
	return path
}

// said is what "plan --json" prints.
type said struct {
	Orders []plannedLine
	Files  []string
	Best   bool
	sums
}

// runPlan runs "plan --json" on rows below a header.
func runPlan(t testing.TB, book, header string, rows []string, want int, flags ...string) said {
	t.Helper()
	t.Setenv("GRAFTSLIP_SETTINGS", "")
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	folder := t.TempDir()
	file := filepath.Join(folder, "orders.csv")
	require.NoError(t, os.WriteFile(file, []byte(header+"\n"+strings.Join(rows, "\n")+"\n"), 0o600))
	var stdout, stderr bytes.Buffer
	args := append([]string{"plan", file, "--json", "--ledger", book, "--out", folder}, flags...)
	status := program{now: planNow}.run(context.Background(), args, nil, &stdout, &stderr)
	require.Equal(t, want, status, "%s", &stderr)
	var got said
	require.NoError(t, json.Unmarshal(stdout.Bytes(), &got), "%s", &stdout)
	return got
}

// What became of earlier batches says how many grafts to make and how early.
func TestPlanLearns(t *testing.T) {
	var all []grown
	for i := range 6 {
		all = append(all,
			grown{"Quiet Semaphore", "Brackenfold", 200 + i, 50, 42 + i%2, 70 + i},
			grown{"Ochre Parasol", "Brackenfold", 200 + i, 50, 20 + i%2, 100 + i})
	}
	book := grow(t, all)
	got := runPlan(t, book, "variety,stock,wanted,by,sure", []string{
		"quiet SEMAPHORE,Brackenfold,100,2027-06-30,90%", "Ochre Parasol,Brackenfold,100,2027-06-30,90%", "Copper Thimble,Rosa vadosa,100,2027-06-30,90%",
	}, 0)
	good, bad, unknown := got.Orders[0], got.Orders[1], got.Orders[2]
	require.InDelta(t, 0.85, good.Take, 0.06, "as the batches of the pair did")
	require.InDelta(t, 0.41, bad.Take, 0.06)
	require.Equal(t, "6 batches of this pair, 12 of this stock, 6 of this variety, 12 in all", good.Basis)
	require.Equal(t, "no batch of this pair, none of this stock, none of this variety, 12 in all", unknown.Basis)
	require.Less(t, good.Grafts, bad.Grafts)
	require.Less(t, bad.Grafts, 400, "not the wide guess")
	require.Greater(t, unknown.Grafts, good.Grafts, "less is known of it")
	for _, order := range got.Orders {
		require.GreaterOrEqual(t, order.Chance, 0.9)
		require.Less(t, order.Chance, 0.92, "and no more grafts than that takes")
	}
	require.Equal(t, 75, good.Days, "nine of ten of the pair were finished by then: the last of six")
	require.Equal(t, "2027-04-16", good.Latest)
	require.Equal(t, 105, bad.Days)
	require.Equal(t, "nine in ten of 12 batches of all", unknown.DaysBasis)

	outcomes := outcomesOf(t, book)
	take, _ := forecast.Learn(outcomes).Take("Quiet Semaphore", "Brackenfold")
	grafts, err := take.HowMany(100, 0.9)
	require.NoError(t, err)
	require.Equal(t, grafts, good.Grafts)
	require.Less(t, take.Chance(grafts-1, 100), 0.9, "the least number")
}

// While others of their time are not finished, days are not learned from the fast
// alone.
func TestPlanWaitsForTheSlow(t *testing.T) {
	var all []grown
	for i := range 4 {
		all = append(all, grown{"Quiet Semaphore", "Brackenfold", 100, 50, 40, 70 + i}, grown{"Quiet Semaphore", "Brackenfold", 40 + 15*i, 50, 0, 0})
	}
	got := runPlan(t, grow(t, all), "variety,stock,wanted,by", []string{"Quiet Semaphore,Brackenfold,100,2027-06-30"}, 0)
	require.Equal(t, 73, got.Orders[0].Days, "no entry since the grafting: after 60 days they are a question, and say no more")
	require.Equal(t, "nine in ten of 8 batches of this pair, 4 not finished yet", got.Orders[0].DaysBasis)
}

func outcomesOf(t testing.TB, path string) []forecast.Outcome {
	t.Helper()
	histories, err := historiesOf(context.Background(), path)
	require.NoError(t, err)
	return forecast.Outcomes(histories, records.Calendar{}, planDay())
}

// A plan that is printed never fills the bed beyond its places, on any day, beside
// what stands there and what is labelled.
func TestPlanKeepsToTheBed(t *testing.T) {
	const places = 12
	book := grow(t, []grown{
		{"Quiet Semaphore", "Brackenfold", 30, 20, 0, 0}, {"Quiet Semaphore", "Brackenfold", 20, 20, 0, 0}, {"Ochre Parasol", "Brackenfold", 3, 20, 0, 0},
		{"Ochre Parasol", "Brackenfold", 0, 30, 0, 0}, // grafted today
		{"Copper Thimble", "Brackenfold", -4, 30, 0, 0},
	})
	rows := []string{
		"Quiet Semaphore,Brackenfold,60,2027-05-20,20,a", "Ochre Parasol,Brackenfold,50,2027-06-10,25,a", "Copper Thimble,Rosa vadosa,30,2027-06-01,,a",
		"Tidal Ledger,Rosa vadosa,40,,12,a",
	}
	// From today, from tomorrow, and from a day after that for which there are labels.
	for _, from := range []string{"2027-01-11", "2027-01-12", "2027-01-18"} {
		got := runPlan(t, book, "variety,stock,wanted,by,tray,source", rows, 0, "--take", "80%", "--bed-spaces", fmt.Sprint(places), "--a-day", "50", "--off", "sat,sun", "--from", from)
		require.True(t, got.Best)
		manifest, err := os.ReadFile(got.Files[0])
		require.NoError(t, err)
		require.Contains(t, string(manifest), "2027-01-1", "early: the bed has room")

		// As the ledger sees it once it is printed.
		copied := filepath.Join(t.TempDir(), "copy.db")
		data, err := os.ReadFile(book)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(copied, data, 0o600))
		var stdout, stderr bytes.Buffer
		status := program{now: planNow}.run(context.Background(), []string{"print", got.Files[0], "--ledger", copied, "--out", t.TempDir(), "--json"}, nil, &stdout, &stderr)
		require.Zero(t, status, "%s", &stderr)
		require.NotContains(t, stdout.String(), `"state":"known"`)
		histories, err := historiesOf(context.Background(), copied)
		require.NoError(t, err)
		standing := records.Bed(histories, records.Calendar{}, planDay())
		toCome := records.ToCome(histories, records.Calendar{}, planDay())
		require.LessOrEqual(t, len(standing), places)
		most, trays := 0, 0
		for _, room := range records.BedForecast(standing, toCome) {
			require.LessOrEqual(t, room.Trays, places, "%v", room)
			most = max(most, room.Trays)
			trays += room.Arriving
		}
		require.Equal(t, places, most, "a tight bed is used to the full")
		perDay := map[time.Time]int{}
		for _, c := range histories {
			perDay[c.Batch.Date] += c.Batch.Grafts
		}
		for day, grafts := range perDay {
			if !day.Before(planDay()) {
				require.LessOrEqual(t, grafts, 50, "%v: with what was labelled", day)
				require.NotEqual(t, time.Saturday, day.Weekday())
				require.NotEqual(t, time.Sunday, day.Weekday())
			}
		}
	}
}

// BenchmarkPlan plans 200 orders over 60 days, learning from 500 finished batches
// of 60 pairs.
func BenchmarkPlan(b *testing.B) {
	var all []grown
	for i := range 500 {
		all = append(all, grown{fmt.Sprint("Variety ", i%20), fmt.Sprint("Stock ", i%3), 120 + i%400, 20 + i%70, (20 + i%70) * (50 + i*7%45) / 100, 70 + i%30})
	}
	book := grow(b, all)
	var rows []string
	for i := range 200 {
		rows = append(rows, fmt.Sprintf("Variety %d,Stock %d,%d,%s,%d", i%20, i%3, 20+i*13%80, planDay().AddDate(0, 0, 95+10+i*7%50).Format(time.DateOnly), 20+i%4*10))
	}
	for _, bed := range []struct {
		name  string
		want  int // exit code
		flags []string
	}{{"no limits", 0, nil}, {"roomy", 0, []string{"--bed-spaces", "1500", "--a-day", "1500", "--off", "sun"}}, {"too small", 1, []string{"--bed", "300", "--a-day", "600", "--off", "sun"}}} {
		b.Run(bed.name, func(b *testing.B) {
			for b.Loop() {
				got := runPlan(b, book, "variety,stock,wanted,by,tray", rows, bed.want, bed.flags...)
				require.Len(b, got.Orders, len(rows))
				require.Contains(b, got.Orders[0].Basis, ", 500 in all")
			}
		})
	}
}
