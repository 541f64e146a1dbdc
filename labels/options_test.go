package labels

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/layouts"
)

func lookup(t testing.TB, name string) layouts.Stock {
	t.Helper()
	s, err := layouts.Lookup(name)
	require.NoError(t, err)
	return s
}

func TestSetupString(t *testing.T) {
	for _, test := range []struct {
		reason string
		setup  Setup
		want   string
	}{
		{"the least", Setup{Stock: lookup(t, "letter-2x10"), DPI: 300}, "stock=letter-2x10 dpi=300"},
		{"a resolution that is no whole number", Setup{Stock: lookup(t, "strip-1x7in"), DPI: 203.2}, "stock=strip-1x7in dpi=203.2"},
		{"outlines", Setup{Stock: lookup(t, "a4-2x7"), DPI: 600, Outlines: true}, "stock=a4-2x7 dpi=600 outlines=yes"},
		{"a correction", Setup{Stock: lookup(t, "a4-2x7"), DPI: 300, Correction: layouts.Correction{ShiftX: 0.5, ShiftY: -1, ScaleX: 0.998, ScaleY: 1.001}},
			"stock=a4-2x7 dpi=300 shift=0.5mm,-1mm scale=0.998,1.001"},
		{"a shift alone", Setup{Stock: lookup(t, "a4-2x7"), DPI: 300, Correction: layouts.Correction{ShiftX: 0.5}}, "stock=a4-2x7 dpi=300 shift=0.5mm,0mm scale=1"},
		{"a scale of 1 is no correction: the same pages are the same bytes", Setup{Stock: lookup(t, "a4-2x7"), DPI: 300, Correction: layouts.Correction{ScaleX: 1, ScaleY: 1}},
			"stock=a4-2x7 dpi=300"},
		{"a number of slips", Setup{Stock: lookup(t, "letter-2x10"), DPI: 300, Printed: 608}, "stock=letter-2x10 dpi=300 slips=608"},
		{"everything", Setup{Stock: lookup(t, "a4-2x7"), DPI: 300, Outlines: true, Correction: layouts.Correction{ShiftX: 0.5}, Printed: 1},
			"stock=a4-2x7 dpi=300 outlines=yes shift=0.5mm,0mm scale=1 slips=1"},
		{"batches", Setup{Stock: lookup(t, "a4-2x7"), DPI: 300, Batches: []codes.Code{batchNamed(t, "26329-001"), batchNamed(t, "26330-012")}},
			"stock=a4-2x7 dpi=300 batches=26329-001,26330-012"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			require.Equal(t, test.want, test.setup.String())
			read, err := ParseSetup(test.want)
			require.NoError(t, err)
			requireSameSetup(t, test.setup, read)
		})
	}
}

func batchNamed(t *testing.T, name string) codes.Code {
	t.Helper()
	batch, err := codes.ParseBatch(name)
	require.NoError(t, err)
	return batch
}

// requireSameSetup: the two print alike. A scale of 0 counts as 1.
func requireSameSetup(t *testing.T, want, got Setup) {
	t.Helper()
	for _, s := range []*Setup{&want, &got} {
		s.Correction.ScaleX, s.Correction.ScaleY = s.Correction.Scales()
	}
	require.Equal(t, want, got)
}

func TestParseSetupRefuses(t *testing.T) {
	for _, test := range []struct{ reason, text, says string }{
		{"nothing", "", "lacks the label stock or the resolution"},
		{"no resolution", "stock=a4-2x7", "lacks the label stock or the resolution"},
		{"no stock", "dpi=300", "lacks the label stock or the resolution"},
		{"words of another kind", "labels, made by hand", "lacks the label stock or the resolution"},
		{"no such stock", "stock=a4-9x9 dpi=300", "there is no label stock"},
		{"a ruler page is no sheet of slips", "stock=ruler-a4-2x7 dpi=300", "there is no label stock"},
		{"no number", "stock=a4-2x7 dpi=many", "is not a resolution"},
		{"not a number", "stock=a4-2x7 dpi=NaN", "is not a resolution"},
		{"infinity", "stock=a4-2x7 dpi=Inf", "is not a resolution"},
		{"a resolution that would fill the memory", "stock=a4-2x7 dpi=1000000", "is not a resolution"},
		{"a resolution of hardly anything", "stock=a4-2x7 dpi=0.001", "is not a resolution"},
		{"a shift that is no number", "stock=a4-2x7 dpi=300 shift=NaN,NaN", "is not a valid shift"},
		{"a shift off the paper", "stock=a4-2x7 dpi=300 shift=900mm,0mm", "more than 20 mm"},
		{"one number is no shift", "stock=a4-2x7 dpi=300 shift=5mm", "is not two lengths"},
		{"a scale of nothing", "stock=a4-2x7 dpi=300 scale=0", "from 0.97 to 1.03"},
		{"outlines of another kind", "stock=a4-2x7 dpi=300 outlines=dotted", "outlines must be yes"},
		{"no slips: then there is no file", "stock=a4-2x7 dpi=300 slips=0", "is not a number of labels or cards"},
		{"fewer slips than none", "stock=a4-2x7 dpi=300 slips=-1", "is not a number of labels or cards"},
		{"a number with a sign", "stock=a4-2x7 dpi=300 slips=+608", "is not a number of labels or cards"},
		{"half a slip", "stock=a4-2x7 dpi=300 slips=1.5", "is not a number of labels or cards"},
		{"more slips than a number holds", "stock=a4-2x7 dpi=300 slips=99999999999", "is not a number of labels or cards"},
		{"a batch that is none", "stock=a4-2x7 dpi=300 batches=26329-001,26329", "batch"},
		{"no batch", "stock=a4-2x7 dpi=300 batches=", "batch"},
		{"two stocks", "stock=a4-2x7 stock=a4-3x7 dpi=300", "twice"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			_, err := ParseSetup(test.text)
			require.ErrorContains(t, err, " is not a setup of labels or cards: ")
			require.ErrorContains(t, err, test.says)
		})
	}
	s, err := ParseSetup("stock=a4-2x7 dpi=300 paper=green")
	require.NoError(t, err, "a word that is not known is left alone")
	require.Equal(t, "a4-2x7", s.Stock.Name)
}

// Every setup that the programs can make is read back.
func TestSetupRoundTrip(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 4))
	thousandths := func(from, to int) float64 { return float64(from+random.IntN(to-from+1)) / 1000 }
	for _, stock := range append(layouts.Catalogue(), lookup(t, "strip-30x180"), lookup(t, "card-90x140")) {
		for range 50 {
			s := Setup{Stock: stock, DPI: thousandths(100_000, 2_400_000), Outlines: random.IntN(2) == 1, Correction: layouts.Correction{
				ShiftX: thousandths(-20_000, 20_000), ShiftY: thousandths(-20_000, 20_000), ScaleX: thousandths(970, 1030), ScaleY: thousandths(970, 1030),
			}, Printed: random.IntN(3) * random.IntN(100_000)}
			read, err := ParseSetup(s.String())
			require.NoError(t, err)
			requireSameSetup(t, s, read)
		}
	}
}

// What is read is written so that it is read again as the same.
func FuzzParseSetup(f *testing.F) {
	for _, seed := range []string{
		"stock=letter-2x10 dpi=300", "stock=strip-25x180 dpi=203 outlines=yes", "stock=a4-2x7 dpi=600 shift=0.5mm,-1mm scale=0.998,1.001",
		"stock=card-4x6in dpi=300 scale=1", "stock=letter-2x10 dpi=300 slips=608", "stock=letter-2x10 dpi=300 slips=007", "dpi=1e3 stock=A4-2x7", "stock=a4-2x7 dpi=300 batches=26329-001,26330-012", "stock=a4-2x7 dpi=0x1p8 shift=1/16in,0mm", "stock= dpi=", "=", "stock=a4-2x7 dpi=300 shift=-0mm,0mm",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ParseSetup(text)
		if err != nil {
			require.ErrorContains(t, err, " is not a setup of labels or cards: ")
			return
		}
		again, err := ParseSetup(s.String())
		require.NoError(t, err, "%q", s.String())
		requireSameSetup(t, s, again)
	})
}
