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
// they come again, and then nothing is left to change; also where batches were amended
// in between.
func TestPairingAgainIsTheSame(t *testing.T) {
	random := rand.New(rand.NewPCG(8, 9))
	date := time.Date(2026, time.November, 25, 0, 0, 0, 0, time.UTC)
	pick := func(values ...string) string { return values[random.IntN(len(values))] }
	contested, moved := 0, 0
	for range 4000 {
		var batches []records.Batch
		for range 6 {
			drafts, indices := make([]records.Draft, 1+random.IntN(5)), []int{}
			for i := range drafts {
				drafts[i] = records.Draft{Date: date.AddDate(0, 0, random.IntN(5)/4), Variety: pick("Ada", "Ada", "ADA"), Stock: "Fen", Grafts: 1 + random.IntN(5),
					TraySize: random.IntN(2), Stem: float64(random.IntN(3)), Grafter: pick("", "", "MK", "mk", "TL"),
					Wrap: layouts.Wrap(random.IntN(3)), Note: pick("", "x", "y")}
				indices = append(indices, i)
			}
			before := len(batches)
			partners := pair(drafts, indices, batches)
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
			for i, j := range partners {
				if !batches[j].Date.Equal(drafts[i].Date) {
					moved++
				}
			}
			require.Equal(t, partners, pair(drafts, indices, batches), "drafts %v, batches %v", drafts, batches)
			for i, j := range partners {
				require.Equal(t, batches[j], update(drafts[i], batches[j]).Batch)
			}
			if j := random.IntN(len(batches)); random.IntN(2) == 0 {
				amendment, err := records.NewHistory(batches[j], nil).Amend([]records.Change{
					{Field: "date", Is: pick("2026-11-25", "2026-11-26")}, {Field: "grafter", Is: pick("", "MK", batches[j].Grafter)}})
				require.NoError(t, err)
				batches[j] = records.Batch{Code: batches[j].Code, Draft: batches[j].AsIssued()}.Amended(append(batches[j].Amendments, amendment))
			}
		}
	}
	require.Greater(t, contested, 10_000)
	require.Greater(t, moved, 1_000)
}
