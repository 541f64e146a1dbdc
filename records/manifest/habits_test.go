package manifest_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/records"
	"graftslip/records/manifest"
	"graftslip/testdata/long"
)

// habits is how a person writes dates and numbers in a file.
type habits struct {
	date               func(time.Time) string
	order              manifest.DateOrder
	thousands, decimal string
	decimals           int  // of counts
	copied             bool // diameters have a point, as our manual has them
	header             string
}

func someHabits(random *rand.Rand) habits {
	pick := func(some ...string) string { return some[random.IntN(len(some))] }
	german := []string{"Jan", "Feb", "Mär", "Apr", "Mai", "Jun", "Jul", "Aug", "Sep", "Okt", "Nov", "Dez"}
	h := habits{
		decimal: pick(".", ","), decimals: random.IntN(4), copied: random.IntN(3) == 0,
		header: pick("date;variety;stock;grafts;stem", "Datum;Sorte;Unterlage;Anzahl;Durchmesser", "Winter\n\nDATE:;Variety;stock_;Grafts (n);Stem"),
	}
	h.thousands = pick("", "", " ", "\u202f", "’", map[string]string{".": ",", ",": "."}[h.decimal])
	switch random.IntN(4) {
	case 0:
		form := pick("2006-01-02", "2006/1/2", "2.1.2006", "02.01.06", "2 January 2006", "Jan 2, 2006", "2-Jan-06", "2006-01-02 15:04:05")
		h.date, h.order = func(day time.Time) string { return day.Format(form) }, manifest.DayFirst
	case 1:
		h.date, h.order = func(day time.Time) string { return day.Format("2. ") + german[day.Month()-1] + day.Format(". 2006") }, manifest.DayFirst
	default:
		forms := map[manifest.DateOrder][]string{
			manifest.DayFirst:   {"2/1/2006", "02/01/06", "2-1-2006"},
			manifest.MonthFirst: {"1/2/2006", "01/02/06", "01-02-2006 3:04 PM"},
			manifest.YearFirst:  {"06/01/02", "06-01-02"},
		}
		h.order = []manifest.DateOrder{manifest.DayFirst, manifest.MonthFirst, manifest.YearFirst}[random.IntN(3)]
		form := pick(forms[h.order]...)
		h.date = func(day time.Time) string { return day.Format(form) }
	}
	return h
}

func (h habits) count(n int) string {
	text := strconv.Itoa(n)
	if n >= 1000 {
		text = text[:1] + h.thousands + text[1:]
	}
	if h.decimals > 0 {
		text += h.decimal + strings.Repeat("0", h.decimals)
	}
	return text
}

func (h habits) text(drafts []records.Draft) string {
	var b strings.Builder
	b.WriteString(h.header + "\n")
	for _, d := range drafts {
		stem := fmt.Sprintf("%.1f mm", d.Stem)
		if !h.copied {
			stem = strings.Replace(stem, ".", h.decimal, 1)
		}
		fmt.Fprintf(&b, "%s;%s;%s;%s;%s\n", h.date(d.Date), d.Variety, d.Stock, h.count(d.Grafts), stem)
	}
	return b.String()
}

// A manifest in any consistent form reads back as written, or print asks; it never reads
// as anything else.
func TestConsistentFormsAreReadRight(t *testing.T) {
	random := rand.New(rand.NewPCG(13, 2026))
	today := time.Date(2026, time.November, 25, 0, 0, 0, 0, time.UTC)
	cases, read, askedDates, askedCounts := long.Cases(1500, 20_000), 0, 0, 0
	for range cases {
		h := someHabits(random)
		first := 2
		if strings.HasPrefix(h.header, "Winter") {
			first = 4
		}
		var drafts []records.Draft
		for i := range 1 + random.IntN(5) {
			drafts = append(drafts, records.Draft{
				Row: first + i, Date: today.AddDate(0, 0, random.IntN(400)-60), Variety: "Ada", Stock: "Fen",
				Grafts: []int{1 + random.IntN(60), 1 + random.IntN(8999), 1000 * (1 + random.IntN(8))}[random.IntN(3)],
				Stem:   float64(2+random.IntN(40)) / 2,
			})
		}
		text := h.text(drafts)
		for _, order := range []manifest.DateOrder{manifest.Undecided, h.order} {
			got, err := manifest.Read("t.csv", strings.NewReader(text), manifest.Options{Today: today.AddDate(0, 2, 0), Order: order})
			if err == nil {
				read++
				require.Equal(t, drafts, got.Drafts, text)
				continue
			}
			var faults manifest.Errors
			require.True(t, errors.As(err, &faults))
			for _, fault := range faults {
				switch {
				case strings.HasPrefix(fault.Expected, "dates that can be read in one way only:"):
					require.Equal(t, manifest.Undecided, order, text)
					askedDates++
				case strings.HasPrefix(fault.Expected, "a number without separators:"):
					askedCounts++
				default:
					require.NoError(t, fault, text)
				}
			}
			for _, draft := range got.Drafts {
				require.Contains(t, drafts, draft, text)
			}
		}
	}
	t.Logf("%d of %d readings as written; cells asked about: %d dates, %d counts", read, 2*cases, askedDates, askedCounts)
	require.Greater(t, read, cases)
	require.Positive(t, askedDates)
	require.Positive(t, askedCounts)
}
