package ledger

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/layouts"
	"graftslip/records"
)

// The promise of the package comment, on far more cases than a database takes:
// drafts that were paired with batches are paired with the same batches when
// they come again, and then nothing is left to change.
func TestPairingAgainIsTheSame(t *testing.T) {
	random := rand.New(rand.NewPCG(8, 9))
	date := time.Date(2026, time.November, 25, 0, 0, 0, 0, time.UTC)
	pick := func(values ...string) string { return values[random.IntN(len(values))] }
	folder := newFolder()
	contested := 0
	for range 4000 {
		var batches []records.Batch
		for range 6 {
			drafts, indices := make([]records.Draft, 1+random.IntN(5)), []int{}
			for i := range drafts {
				drafts[i] = records.Draft{Date: date, Variety: pick("Ada", "Ada", "ADA"), Stock: "Fen", Grafts: 1 + random.IntN(5),
					TraySize: random.IntN(2), Stem: float64(random.IntN(3)), Grafter: pick("", "", "MK", "mk", "TL"),
					Wrap: layouts.Wrap(random.IntN(3)), Note: pick("", "x", "y")}
				indices = append(indices, i)
			}
			before := len(batches)
			partners := folder.pair(drafts, indices, batches)
			for i, j := range partners {
				if j >= 0 {
					batches[j] = update(drafts[i], batches[j]).Batch
					continue
				}
				code, err := codes.New(date, len(batches)+1)
				require.NoError(t, err)
				partners[i] = len(batches)
				batches = append(batches, records.Batch{Code: code, Draft: drafts[i]})
			}
			if before > 1 && len(drafts) > 1 {
				contested++
			}
			require.Equal(t, partners, folder.pair(drafts, indices, batches), "drafts %v, batches %v", drafts, batches)
			for i, j := range partners {
				require.Equal(t, batches[j], update(drafts[i], batches[j]).Batch)
			}
		}
	}
	require.Greater(t, contested, 10_000)
}

func TestFold(t *testing.T) {
	folder := newFolder()
	for _, row := range []struct {
		reason, a, b string
		equal        bool
	}{
		{"letter case", "Ada Lantern", "ADA lantern", true},
		{"letter case that changes the length", "Straße", "STRASSE", true},
		{"final sigma", "Λόγος", "ΛΌΓΟΣ", true},
		{"white space", " Ada\t\u00a0Lantern ", "Ada Lantern", true},
		{"no space", "Ada Lantern", "AdaLantern", false},
		{"normalisation", "\u00e9", "e\u0301", true},
		{"accent", "\u00e9", "e", false},
		{"hybrid sign", "× ambra", "×ambra", true},
		{"a letter x is no hybrid sign", "x ambra", "×ambra", false},
		{"apostrophes", "d’Or", "d'Or", true},
		{"hyphens", "No‑Break", "no-break", true},
		{"nothing", "", " ", true},
	} {
		t.Run(row.reason, func(t *testing.T) {
			require.Equal(t, row.equal, folder.fold(row.a) == folder.fold(row.b))
		})
	}
}
