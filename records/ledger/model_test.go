package ledger_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/ledger"
)

// meaning is what a batch code stands for, whatever is issued later.
type meaning struct {
	date, variety, stock, source string
	traySize                     int
}

func meaningOf(d records.Draft) meaning {
	return meaning{d.Date.Format("2006-01-02"), d.Variety, d.Stock, d.Source, d.TraySize}
}

// Over random sequences of Issue calls a code never stands for anything else,
// a stem that was issued never vanishes, no two drafts of a call share a
// batch, and a call that is repeated finds everything in its place.
func TestCodesNeverChangeTheirMeaning(t *testing.T) {
	for seed := range uint64(20) {
		random := rand.New(rand.NewPCG(seed, 7))
		l := openNew(t)
		model := map[codes.Code]meaning{}
		stems := map[codes.Code]int{}
		undone := errors.New("undone")
		for range 20 {
			drafts := make([]records.Draft, 1+random.IntN(7))
			for i := range drafts {
				drafts[i] = randomDraft(random, i+2)
			}
			if random.IntN(4) == 0 {
				was := dump(t, l.Path())
				_, err := l.Issue(context.Background(), drafts, func(*ledger.Change, []records.Issued) error { return undone }, ledger.AsNew(records.Range(0, 99)))
				require.ErrorIs(t, err, undone)
				require.Equal(t, was, dump(t, l.Path()))
				continue
			}
			issued := issue(t, l, drafts...)
			seen := map[codes.Code]bool{}
			for i, one := range issued {
				d := drafts[i]
				require.False(t, seen[one.Code], "two drafts share a batch")
				seen[one.Code] = true
				require.Equal(t, codes.Batch, one.Code.Kind())
				require.True(t, strings.EqualFold(d.Variety, one.Variety) && strings.EqualFold(d.Stock, one.Stock) &&
					strings.EqualFold(d.Source, one.Source) && d.Date.Equal(one.Date), "a draft got a batch of something else")
				require.True(t, d.Grafter == "" || d.Grafter == one.Grafter, "a draft got a batch of another grafter")
				before, known := stems[one.Code]
				require.Equal(t, before, one.Before)
				require.Equal(t, max(before, d.Grafts), one.Grafts)
				switch {
				case !known:
					require.Equal(t, records.New, one.State)
					require.Equal(t, meaningOf(d), meaningOf(one.Draft))
					model[one.Code] = meaningOf(one.Draft)
				case d.Grafts > before:
					require.Equal(t, records.Extended, one.State)
				case d.Grafts < before:
					require.Equal(t, records.Kept, one.State)
				default:
					require.Equal(t, records.Known, one.State)
				}
				stems[one.Code] = one.Grafts
			}
			requireSettled(t, l, drafts, issued)
			for code, meaning := range model {
				last, err := code.Stem(stems[code])
				require.NoError(t, err)
				record, err := l.Find(context.Background(), last)
				require.NoError(t, err, "a stem vanished")
				require.Equal(t, meaning, meaningOf(record.Batch.Draft), "a code changed its meaning")
				require.Equal(t, stems[code], record.Batch.Grafts)
			}
		}
		require.Greater(t, len(model), 8)
	}
}

// randomDraft draws from so few names that most drafts meet batches.
func randomDraft(random *rand.Rand, row int) records.Draft {
	pick := func(values ...string) string { return values[random.IntN(len(values))] }
	return records.Draft{
		Row: row, Date: graftDay.AddDate(0, 0, random.IntN(2)),
		Variety: pick("Ada", "Ada", "ADA", "Bo"), Stock: pick("Fen", "fen"), Source: pick("", "Bed 2"),
		Grafts: 1 + random.IntN(4)*10, TraySize: random.IntN(3) * 10, Grafter: pick("", "", "MK", "TL"),
		Stem: float64(random.IntN(3)), Note: pick("", "soft", "hard"),
	}
}
