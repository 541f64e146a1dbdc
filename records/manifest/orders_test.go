package manifest_test

import (
	"errors"
	"io"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/layouts"
	"graftslip/records"
	"graftslip/records/manifest"
)

func orderedOn() time.Time { return time.Date(2026, time.November, 25, 23, 30, 0, 0, time.UTC) }

func TestReadOrders(t *testing.T) {
	text := "\xef\xbb\xbfVariety;STOCK;wanted;by;sure;grafts;source;tray;stem;grafter;wrap;note;price\r\n" +
		"‘Quiet Semaphore’;Thistledown Rootling;100;2027-05-01;95 %;;Row 4;30;7mm;LM;band;two eyes;12\r\n" +
		"\r\n" +
		"Quiet Semaphore;\"Brackenfold\";1;;0,9;40;;;;;;;\r\n" +
		"Ochre Parasol;Brackenfold;8999;;;;;;;;;;\r\n"
	read, err := manifest.ReadOrders("o.csv", strings.NewReader(text), manifest.Options{Today: orderedOn()})
	require.NoError(t, err)
	require.Equal(t, []records.Order{
		{Draft: records.Draft{Row: 2, Variety: "Quiet Semaphore", Stock: "Thistledown Rootling", Source: "Row 4", TraySize: 30, Stem: 7, Grafter: "LM", Wrap: layouts.Band, Note: "two eyes"},
			Wanted: 100, By: time.Date(2027, time.May, 1, 0, 0, 0, 0, time.UTC), Sure: 0.95},
		{Draft: records.Draft{Row: 4, Variety: "Quiet Semaphore", Stock: "Brackenfold", Grafts: 40}, Wanted: 1, Sure: 0.9},
		{Draft: records.Draft{Row: 5, Variety: "Ochre Parasol", Stock: "Brackenfold"}, Wanted: 8999},
	}, read.Orders)
	require.Equal(t, []string{`column "price" is not used`}, read.Hints)
}

// Each fault with its row and column, all at once.
func TestOrderFaults(t *testing.T) {
	for _, row := range []struct{ reason, text, want string }{
		{"nothing", "", "o.csv: found an empty file, expected a header with the columns variety, stock and wanted, and a row for each order"},
		{"no rows", "variety,stock,wanted\n", "o.csv: found a header and no rows, expected a row for each order"},
		{"a manifest", "date,variety,stock,grafts\n2026-11-25,A,B,4\n", `o.csv row 1: found only the columns "date", "variety", "stock", "grafts", expected "wanted" too`},
		{"every cell", "variety,stock,wanted,by,sure,grafts,tray\n,B,none,2026-11-25,90,x,0\nA,B,4,2026-11-26,100%,9000,\n",
			`o.csv row 2, variety: found nothing, expected a name
o.csv row 2, wanted: found "none", expected a whole number from 1 to 8999
o.csv row 2, by: found "2026-11-25", expected a day after today, 2026-11-25
o.csv rows 2-3, sure: found "90" and "100%", expected a chance such as 90% or 0.9, from 1% to 99.9%
o.csv rows 2-3, grafts: found "x" and "9000", expected a whole number from 1 to 8999
o.csv row 2, tray: found "0", expected a whole number from 1 to 8999`},
		{"wanted left empty", "variety,stock,wanted,grafts\nA,B,,40\n", `o.csv row 2, wanted: found nothing, expected a whole number from 1 to 8999`},
		{"a day too far", "variety,stock,wanted,by\nA,B,4,2062-05-01\n", `o.csv row 2, by: found "2062-05-01", expected a day at most three years ahead`},
		{"no day", "variety,stock,wanted,by\nA,B,4,spring\n", `o.csv row 2, by: found "spring", expected a date such as 2026-11-25, 25.11.2026 or 25 Nov 2026`},
		{"too many trays for what is given", "variety,stock,wanted,grafts,tray\nA,B,4,2000,2\n",
			`o.csv row 2, tray: found "2", expected at least 3 for 2000 grafts: a batch has at most 999 trays`},
		{"after the last column", "variety,stock,wanted\nA,B,4,5\n", `o.csv row 2, column D: found "5", expected nothing after the last column of the header`},
		{"a quotation mark", "variety,stock,wanted\nA\"x,B,4\n", `o.csv row 2, variety: found "A\"x", expected quotation marks round a cell that contains one ("), and the inner one doubled`},
	} {
		t.Run(row.reason, func(t *testing.T) {
			_, err := manifest.ReadOrders("o.csv", strings.NewReader(row.text), manifest.Options{Today: orderedOn()})
			var faults manifest.Errors
			require.True(t, errors.As(err, &faults), "%v", err)
			require.Equal(t, row.want, err.Error())
		})
	}
	_, err := manifest.ReadOrders("o.csv", iotest.ErrReader(io.ErrUnexpectedEOF), manifest.Options{Today: orderedOn()})
	require.ErrorIs(t, err, io.ErrUnexpectedEOF, "what the disk says is no fault of the file")
}

func TestParseShare(t *testing.T) {
	for _, row := range []struct {
		reason, text string
		want         float64
		ok           bool
	}{
		{"percent", "90%", 0.9, true},
		{"with a space", " 97.5 %", 0.975, true},
		{"a fraction", "0.9", 0.9, true},
		{"without the zero", ".5", 0.5, true},
		{"a decimal comma", "0,85", 0.85, true},
		{"the least", "1%", 0.01, true},
		{"the most", "0.999", 0.999, true},
		{"the most, in percent", "99.9%", 0.999, true},
		{"90 may be percent or nonsense", "90", 0, false},
		{"certainty cannot be had", "100%", 0, false},
		{"one is certainty", "1", 0, false},
		{"nothing", "", 0, false},
		{"zero", "0", 0, false},
		{"less than nothing", "-0.5", 0, false},
		{"an exponent", "9e-1", 0, false},
		{"a word of numbers", "NaN", 0, false},
		{"two points", "0.9.0", 0, false},
		{"two percent signs", "90%%", 0, false},
	} {
		got, ok := manifest.ParseShare(row.text)
		require.Equal(t, row.ok, ok, row.reason)
		if row.ok {
			require.InDelta(t, row.want, got, 1e-12, row.reason)
		}
	}
}

// Whatever the file, reading orders does not panic, every order keeps to what is
// documented, and every fault says what is expected.
func FuzzReadOrders(f *testing.F) {
	for _, seed := range []string{
		"", "variety,stock,wanted\nA,B,4\n", "variety;stock;wanted;by;sure;grafts;tray\nA;B;4;2027-05-01;0,9;40;1\n;B;x;2026-13-01;90;9000;0\n",
		"variety\tstock\twanted\tsure\n'A'\t«B»\t8999\t.5%\n", "variety,stock,wanted,sure\nA,B,1,\"\n", "\xff\xfev\x00",
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		read, err := manifest.ReadOrders("f.csv", strings.NewReader(string(data)), manifest.Options{Today: orderedOn()})
		for _, order := range read.Orders {
			draft := order.Draft
			require.True(t, draft.Date.IsZero())
			require.True(t, draft.Grafts >= 0 && draft.Grafts <= 8999)
			require.True(t, order.Wanted >= 1 && order.Wanted <= 8999)
			require.True(t, order.Sure == 0 || order.Sure > 0.009 && order.Sure < 0.9991)
			require.True(t, order.By.IsZero() || order.By.After(orderedOn().Truncate(24*time.Hour)))
			draft.Date, draft.Grafts = graftDay, max(1, draft.Grafts)
			requireDocumented(t, draft)
		}
		var faults manifest.Errors
		if err == nil {
			require.NotEmpty(t, read.Orders)
			return
		}
		require.True(t, errors.As(err, &faults))
		for _, fault := range faults {
			require.NotEmpty(t, fault.Expected)
			require.NotContains(t, fault.Error(), "\n")
		}
	})
}
