package ledger_test

import (
	"context"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/ledger"
)

// Parts of a file are issued in any order, and at last the whole: each row has the code
// that its part gave it.
func TestPartsAgreeWithTheWhole(t *testing.T) {
	refused := 0
	for seed := range uint64(40) {
		random := rand.New(rand.NewPCG(seed, 3))
		l := openNew(t)
		drafts := make([]records.Draft, 2+random.IntN(8))
		for i := range drafts {
			drafts[i] = randomDraft(random, i+2)
			if seed%2 == 0 { // so that some are equal
				drafts[i].Stem, drafts[i].Note, drafts[i].TraySize, drafts[i].Grafts = 0, "", 0, 20
			}
		}
		given := map[int]codes.Code{}
		for range 6 {
			rows := records.Numbers{}
			for i := range drafts {
				if random.IntN(3) == 0 {
					rows = rows.With(records.Numbers{i + 2})
				}
			}
			issued, err := l.Issue(context.Background(), drafts, nil, ledger.AsNew(records.Range(2, 99)),
				ledger.Only(func(d records.Draft) bool { return rows.Contains(d.Row) }))
			if err != nil {
				require.ErrorContains(t, err, "is the same and must be printed first")
				refused++
				continue
			}
			require.Len(t, issued, len(rows))
			for n, one := range issued {
				require.Equal(t, rows[n], one.Row)
				if code, known := given[one.Row]; known {
					require.Equal(t, code, one.Code, "row %d", one.Row)
				}
				given[one.Row] = one.Code
			}
		}
		for _, one := range issue(t, l, drafts...) {
			if code, known := given[one.Row]; known {
				require.Equal(t, code, one.Code, "row %d of the whole", one.Row)
			}
		}
	}
	require.Positive(t, refused)
}

func TestEqualRowsInParts(t *testing.T) {
	l := openNew(t)
	rows := []records.Draft{draft(func(d *records.Draft) { d.Row = 4 }), draft(func(d *records.Draft) { d.Row = 9 })}
	only := func(row int) ledger.IssueOption {
		return ledger.Only(func(d records.Draft) bool { return d.Row == row })
	}
	_, err := l.Issue(context.Background(), rows, nil, only(9))
	require.EqualError(t, err, `row 9, "Ada Lantern": row 4 is the same and must be printed first`)
	require.Equal(t, "print both with --rows 4,9, or tell them apart with a note in each", hint(err))
	first, err := l.Issue(context.Background(), rows, nil, only(4))
	require.NoError(t, err)
	second, err := l.Issue(context.Background(), rows, nil, only(9))
	require.NoError(t, err)
	for i, one := range issue(t, l, rows...) {
		require.Equal(t, append(first, second...)[i].Code, one.Code)
		require.Equal(t, records.Known, one.State)
	}
}
