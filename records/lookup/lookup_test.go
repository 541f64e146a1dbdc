package lookup

import (
	"context"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/ledger"
)

func TestParse(t *testing.T) {
	for _, row := range []struct {
		text  string
		form  Form
		code  string
		wrong error
	}{
		{"26313-001-9001-23", Code, "26313-001-9001-23", nil},
		{" 26313001900123 ", Code, "26313-001-9001-23", nil},
		{"26313-001-9001-23 Copper Almanac / Withy Gate; 36 grafts", Code, "26313-001-9001-23", nil},
		{"https://labels.example/26313001900123", Code, "26313-001-9001-23", nil},
		{"26313-001", BatchName, "26313-001-0000-60", nil},
		{"26313-001-90?1-23", Damaged, "", codes.ErrShape},
		{"26313-001-9001-24", Damaged, "", codes.ErrCheckDigits},
		{"26313-001-9001-24.", Damaged, "", codes.ErrCheckDigits},
		{"26313-???-????-23", Damaged, "", codes.ErrIllegible},
		{"tray.jpg", FileName, "", codes.ErrShape},
		{"orders plan.CSV", FileName, "", codes.ErrShape},
		{"/cards/tray", FileName, "", codes.ErrShape},
		{"../tray", FileName, "", codes.ErrShape},
		{"cards/", FileName, "", codes.ErrShape},
		{"growing", Name, "", codes.ErrShape},
		{"‘Blue Lantern’ / ‘Marlpit’", Name, "", codes.ErrShape},
		{"blue/marlpit", Name, "", codes.ErrShape},
		{"K.12", Name, "", codes.ErrLength},
		{"M26", Name, "", codes.ErrLength},
		{"Rosa sp.", Name, "", codes.ErrShape},
		{"34", Name, "", codes.ErrLength},
		{"Sobs Bill Gloss", Name, "", codes.ErrShape}, // 13 letters that look like digits
		{"Selection 12 of house bed 4", Name, "", codes.ErrShape},
		{"OIIO2-OOI-9OOI-23", Damaged, "", codes.ErrShape},
		{"26313 001 9001 2", Damaged, "", codes.ErrLength},
		{"2631300", Other, "", codes.ErrLength},
		{"26313001.....", Other, "", codes.ErrLength},
		{"https://labels.example/263130", Other, "", codes.ErrLength},
		{"?", Other, "", codes.ErrShape},
		{"", Other, "", codes.ErrShape},
	} {
		got := Parse(row.text)
		require.Equal(t, row.form, got.Form, row.text)
		require.Equal(t, row.code, got.Code.String(), row.text)
		require.Equal(t, row.wrong, got.Invalid, row.text)
		require.Equal(t, row.form == Damaged && row.wrong != codes.ErrIllegible, got.Tried != "", row.text)
	}
}

// Whatever a ledger has or not, a text has a record, candidates, or a reason.
func TestFind(t *testing.T) {
	book, err := ledger.Open(t.Context(), filepath.Join(t.TempDir(), "book.db"))
	require.NoError(t, err)
	defer book.Close()
	issued, err := book.Issue(t.Context(), []records.Draft{{
		Date: time.Date(2026, 11, 9, 0, 0, 0, 0, time.UTC), Variety: "Copper Almanac", Stock: "Withy Gate", Grafts: 36, TraySize: 18,
	}}, nil)
	require.NoError(t, err)
	tray, err := issued[0].Code.Tray(2)
	require.NoError(t, err)
	card := records.Line(records.Record{Batch: issued[0].Batch, Code: tray})
	other := issued[0].Batch
	other.Variety = "Tallow Moon"
	alien := other
	alien.Code, err = codes.New(other.Date, 7)
	require.NoError(t, err)
	for _, row := range []struct {
		reason, text     string
		book             *ledger.Ledger
		kind             Kind // "": there is a record
		carried, differs bool
		candidates       int
	}{
		{"a code", tray.String(), book, "", false, false, 0},
		{"a batch by its name", "26313-001", book, "", false, false, 0},
		{"a card", card, book, "", true, false, 0},
		{"a card that says something else", records.Line(records.Record{Batch: other, Code: tray}), book, "", true, true, 0},
		{"a card of another ledger", records.Line(records.Record{Batch: alien, Code: alien.Code}), book, NotInLedger, true, false, 0},
		{"a code that was never given", alien.Code.String(), book, NotInLedger, false, false, 0},
		{"a digit that cannot be read", tray.String()[:10] + "?" + tray.String()[11:], book, WrongShape, false, false, 1},
		{"a code that fits none", "20099-888-8888-8?", book, WrongLength, false, false, 0},
		{"too little", "26313-???-????-23", book, Illegible, false, false, 0},
		{"no code", "growing", book, WrongShape, false, false, 0},
		{"without a ledger", tray.String(), nil, NoLedger, false, false, 0},
		{"a card without a ledger", card, nil, NoLedger, true, false, 0},
		{"a damaged code without a ledger", tray.String()[:10] + "?" + tray.String()[11:], nil, NoLedger, false, false, 0},
	} {
		t.Run(row.reason, func(t *testing.T) {
			found, err := Find(t.Context(), row.book, row.text)
			require.Equal(t, row.carried, found.Carried != nil)
			require.Len(t, found.Candidates, row.candidates)
			if row.kind != "" {
				var none *Error
				require.ErrorAs(t, err, &none)
				require.Equal(t, row.kind, none.Kind)
				require.Zero(t, found.Record)
				return
			}
			require.NoError(t, err)
			require.Equal(t, issued[0].Batch, found.Record.Batch)
			if row.carried {
				_, differ := records.LastingDifference(found.Record.Batch, found.Carried.Batch)
				require.Equal(t, row.differs, differ)
			}
		})
	}
}

// A line that is meant as a code must not be taken for counts, nor counts for a
// code: what is said behind it would be of other plants.
func TestLikeCode(t *testing.T) {
	for _, row := range []struct {
		reason, line string
		like         bool
	}{
		{"a wrong digit", "26313-001-9001-24", true},
		{"an unknown digit", "26313-001-90?1-23", true},
		{"too many unknown digits to repair", "26313-???-????-23", true},
		{"half of a code", "26313-001", true},
		{"a code with spaces", "26313 001 9001 24", true},
		{"letters for digits", "263I3-OO1-9001-23", true},
		{"a wrong code with counts behind it", "26313-001-9001-24 34 alive 12 growing", true},
		{"a link that is no code's", "https://labels.example/2631300190012", true},
		{"a count", "34", false},
		{"counts with a letter that is wrong", "34a 12x 5r 2d", false},
		{"counts with a word that is wrong", "34 alive 12 growng 2 dead", false},
		{"a word", "growing", false},
	} {
		t.Run(row.reason, func(t *testing.T) { require.Equal(t, row.like, LikeCode(row.line)) })
	}
}

// BenchmarkRepair repairs codes against a ledger of a million batches: 1,002
// days of 999. Each is the worst of its kind: every way is tried, and no code
// of the ledger fits, or the one that does comes last.
func BenchmarkRepair(b *testing.B) {
	path := filepath.Join(b.TempDir(), "ledger.db")
	book, err := ledger.Open(context.Background(), path)
	require.NoError(b, err)
	defer book.Close()
	first := time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC)
	for day := range 1002 {
		drafts := make([]records.Draft, codes.MaxBatch)
		for i := range drafts {
			drafts[i] = records.Draft{Date: first.AddDate(0, 0, day), Variety: fmt.Sprintf("Seedling %d", i), Stock: "Fen Hedge", Grafts: 60, TraySize: 30}
		}
		_, err := book.Issue(context.Background(), drafts, nil)
		require.NoError(b, err)
	}
	for _, kind := range []struct{ name, read string }{
		{"one unknown digit", "25329-004-0017-?5"},
		{"four unknown digits of the unit", "25329-004-????-63"},
		{"four unknown digits of the date", "2????-004-0017-63"},
		{"three unknown digits and one fault", "2??29-0?4-7017-63"},
		{"one unknown digit and two faults", "2?329-004-7777-63"},
		{"two wrong digits", "25329-004-7777-63"},
		{"two digits missing", "25329-7777-63"},
		{"nothing fits", "7?777-777-7777-77"},
	} {
		b.Run(kind.name, func(b *testing.B) {
			found := 0
			for b.Loop() {
				candidates, err := Candidates(context.Background(), book, kind.read)
				if err != nil {
					b.Fatal(err)
				}
				found = len(candidates)
			}
			b.ReportMetric(float64(found), "candidates")
		})
	}
}
