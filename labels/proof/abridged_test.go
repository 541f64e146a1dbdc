package proof

import (
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/labels"
	"graftslip/layouts"
	"graftslip/records"
)

// A small label may leave something out, but what it shows must be right. Any other
// label shows everything.
func TestAbridged(t *testing.T) {
	code, err := codes.Parse("26329-004-0017-63")
	require.NoError(t, err)
	tray, err := code.Whole().Tray(1)
	require.NoError(t, err)
	stem := records.Record{Code: code, Batch: records.Batch{Code: code.Whole(), Draft: records.Draft{Variety: "Amber Weather-cock", Stock: "Oak", Grafts: 40}}}
	card := stem
	card.Code = tray
	for _, test := range []struct {
		reason, stock string
		record        records.Record
		texts         []string
		want          bool
	}{
		{"variety and code", "strip-12x80", stem, []string{"‘Amber", "Weather-cock’", "26329-004-0017-63"}, true},
		{"a code in two lines", "strip-12x80", stem, []string{"26329-004", "0017-63"}, true},
		{"variety and batch", "strip-10x25", stem, []string{"‘Amber Weather-cock’", "26329-004"}, true},
		{"the batch alone", "strip-10x25", stem, []string{"26329-004"}, true},
		{"another batch", "strip-10x25", stem, []string{"26329-005"}, false},
		{"another stem", "strip-10x25", stem, []string{"26329-004", "0018-60"}, false},
		{"another variety", "strip-12x80", stem, []string{"‘Amber’", "26329-004"}, false},
		{"more than it should", "strip-12x80", stem, []string{"‘Amber Weather-cock’", "/ ‘Oak’", "26329-004"}, false},
		{"a large label", "letter-3x10", stem, []string{"‘Amber Weather-cock’", "26329-004"}, false},
		{"a card", "strip-12x80", card, []string{"‘Amber Weather-cock’", "26329-004"}, false},
	} {
		stock, err := layouts.Lookup(test.stock)
		require.NoError(t, err)
		p := newProof(Check{}, labels.Setup{Stock: stock, DPI: 300}, 300)
		require.Equal(t, test.want, p.abridged(test.record, test.texts), test.reason)
	}
}
