package lookup

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records"
	"graftslip/records/ledger"
)

// Advice of an error, as a person sees it.
func adviceOf(t *testing.T, err error) string {
	t.Helper()
	var problem *records.Problem
	require.True(t, errors.As(err, &problem))
	return problem.Advice
}

func TestNone(t *testing.T) {
	names := NamesOf(batchesOf(t,
		records.Draft{Variety: "Blue Lantern", Stock: "Marlpit Hedge", Source: "House bed 2"},
		records.Draft{Variety: "Blue Lanyard", Stock: "Marlpit Hedge"},
		records.Draft{Variety: "Crème de l’Étang", Stock: "Anchor"},
	))
	const search = "give a part of a variety, stock, source, grafter or note, or a code such as 26329-004-0017-63"
	for _, row := range []struct{ reason, text, advice string }{
		{"two wrong letters", "creem etong", `did you mean "Crème de l’Étang"?`},
		{"half of the letters are right", "anchxyyz", search},
		{"two names are as near", "lnatenn", `did you mean "Blue Lantern"?`},
		{"the whole name with a letter more in each word", "bblue llanyardd", `did you mean "Blue Lanyard"?`},
		{"nothing like it", "quinquereme", search},
		{"a short word", "blo", search},
	} {
		t.Run(row.reason, func(t *testing.T) {
			err := names.None(row.text)
			require.Equal(t, row.advice, adviceOf(t, err))
		})
	}
}

func TestNoneWanted(t *testing.T) {
	batches := batchesOf(t,
		records.Draft{Variety: "Blue Lantern", Stock: "Marlpit Hedge"},
		records.Draft{Variety: "Tallow Moon", Stock: "Anchor"},
	)
	for _, row := range []struct {
		reason       string
		wanted       ledger.Wanted
		text, advice string
	}{
		{"a variety mistyped", ledger.Wanted{Variety: "Blue Lanten"}, `the ledger has no batch of variety "Blue Lanten"`, `did you mean "Blue Lantern"?`},
		{"half of a variety", ledger.Wanted{Variety: "lantern"}, `the ledger has no batch of variety "lantern"`, `did you mean "Blue Lantern"?`},
		{"a stock given as the variety", ledger.Wanted{Variety: "Marlpit Hedge"}, `the ledger has no batch of variety "Marlpit Hedge"`,
			"write the variety as on the labels, or find it by a part of any name: slipread NAME"},
		{"both mistyped", ledger.Wanted{Variety: "Tallow Mon", Stock: "Ancor"}, `the ledger has no batch of variety "Tallow Mon" and stock "Ancor"`,
			`did you mean "Tallow Moon"? did you mean "Anchor"?`},
		{"both there, but not together", ledger.Wanted{Variety: "Tallow Moon", Stock: "Marlpit Hedge"},
			`the ledger has no batch of variety "Tallow Moon" and stock "Marlpit Hedge"`, "leave out one of the options to find more"},
		{"another day", ledger.Wanted{Date: batches[1].Date, Variety: "Blue Lantern"}, `the ledger has no batch of variety "Blue Lantern" grafted 2026-11-03`,
			"leave out one of the options to find more"},
		{"only a day", ledger.Wanted{Date: batches[1].Date.AddDate(0, 0, 1)}, "the ledger has no batch grafted 2026-11-04", "leave out one of the options to find more"},
	} {
		t.Run(row.reason, func(t *testing.T) {
			err := NoneWanted(batches, row.wanted)
			require.EqualError(t, err, row.text)
			require.Equal(t, row.advice, adviceOf(t, err))
		})
	}
}
