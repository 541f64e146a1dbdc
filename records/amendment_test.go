package records_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
)

// Which labels and cards differ from the record.
func TestOutdated(t *testing.T) {
	changed := func(number int, field, is string) records.Amendment {
		return records.Amendment{Number: number, Changes: []records.Change{{Field: field, Is: is}}}
	}
	printed := func(amendment int, kind codes.Kind, units ...int) records.Reprint {
		return records.Reprint{Kind: kind, Units: units, Amendment: amendment}
	}
	for _, test := range []struct {
		reason       string
		amendments   []records.Amendment
		reprints     []records.Reprint
		stems, cards string
	}{
		{"nothing amended", nil, []records.Reprint{printed(0, codes.Stem, 1)}, "", ""},
		{"a name stands on labels and cards", []records.Amendment{changed(5, "variety", "Bo")}, nil, "1-4", "1-2"},
		{"so does the date", []records.Amendment{changed(5, "date", "2026-11-26")}, nil, "1-4", "1-2"},
		{"a note stands on cards alone", []records.Amendment{changed(5, "note", "soft")}, nil, "", "1-2"},
		{"what was printed since is as it is", []records.Amendment{changed(5, "variety", "Bo")},
			[]records.Reprint{printed(5, codes.Stem, 1, 2), printed(5, codes.Tray, 2)}, "3-4", "1"},
		{"what was printed before is not", []records.Amendment{changed(5, "variety", "Bo")}, []records.Reprint{printed(0, codes.Stem, 1)}, "1-4", "1-2"},
		{"undone before anything was printed", []records.Amendment{changed(5, "variety", "Bo"), {Number: 6, Undoes: 5}}, nil, "", ""},
		{"undone after some was printed", []records.Amendment{changed(5, "variety", "Bo"), {Number: 6, Undoes: 5}}, []records.Reprint{printed(5, codes.Stem, 3)}, "3", ""},
		{"there and back by two amendments", []records.Amendment{changed(5, "variety", "Bo"), changed(6, "variety", "Ada")}, nil, "", ""},
		{"a void batch has none", []records.Amendment{changed(5, "variety", "Bo"), {Number: 6, Void: true}}, nil, "", ""},
		{"spare labels are of no stem", []records.Amendment{changed(5, "variety", "Bo")}, []records.Reprint{printed(5, codes.Batch)}, "1-4", "1-2"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			code, err := codes.New(day(2026, time.November, 25), 1)
			require.NoError(t, err)
			batch := records.Batch{Code: code, Draft: records.Draft{Date: code.Date(), Variety: "Ada", Stock: "Fen", Grafts: 4, TraySize: 2}}.Amended(test.amendments)
			stems, cards := batch.Outdated(test.reprints)
			require.Equal(t, [2]string{test.stems, test.cards}, [2]string{stems.String(), cards.String()})
		})
	}
}

// A card may show the record as it was at any time, even if undone since.
func TestShown(t *testing.T) {
	code, err := codes.New(day(2026, time.November, 25), 1)
	require.NoError(t, err)
	issued := records.Batch{Code: code, Draft: records.Draft{Date: code.Date(), Variety: "Ada", Stock: "Fen", Grafts: 4}}
	batch := issued.Amended([]records.Amendment{
		{Number: 5, Changes: []records.Change{{Field: "variety", Is: "Bo"}}}, {Number: 6, Undoes: 5},
		{Number: 7, Changes: []records.Change{{Field: "variety", Is: "Cy"}}},
	})
	for _, test := range []struct {
		reason, card string
		differs, old bool
	}{
		{"as it is", "Cy", false, false},
		{"as issued", "Ada", true, true},
		{"as it was while an amendment stood that was undone", "Bo", true, true},
		{"as it never was", "Di", true, false},
	} {
		t.Run(test.reason, func(t *testing.T) {
			card := issued
			card.Variety = test.card
			_, differs, old := batch.Shown(records.Record{Batch: card, Code: code})
			require.Equal(t, [2]bool{test.differs, test.old}, [2]bool{differs, old})
		})
	}
}
