package ledger_test

import (
	"cmp"
	"fmt"
	"maps"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/ledger"
	"graftslip/testdata/long"
)

// nursery is a plain model of a ledger: what each code stands for, written down as a person
// would.
type nursery struct {
	t      *testing.T
	random *rand.Rand
	book   *ledger.Ledger
	plants map[codes.Code]*plants
	counts map[string]int // what happened, so that the test is known to try it
}

// plants are a batch of the model.
type plants struct {
	code     codes.Code
	versions []records.Draft // as issued, then after each amendment that stands
	void     bool
	steps    int                      // amendments, also undone ones
	entries  map[int]time.Time        // days of entries that stand, by number
	printed  map[string]records.Draft // what stands on labels and cards: "stem 3", "tray 1"
}

func (p *plants) now() records.Draft { return p.versions[len(p.versions)-1] }

// suits reports whether a row is the batch, now or before an amendment.
func (p *plants) suits(d records.Draft) bool {
	return slices.ContainsFunc(p.versions, func(was records.Draft) bool {
		return was.Date.Equal(d.Date) && strings.EqualFold(was.Variety, d.Variety) && was.Stock == d.Stock && was.Source == d.Source &&
			(was.Grafter == "" || d.Grafter == "" || was.Grafter == d.Grafter)
	})
}

// Through random prints, amendments, voids, entries and reprints, each code stands for what the
// model has, and nothing is doubled or lost.
func TestAmendingAgainstAPlainModel(t *testing.T) {
	counts := map[string]int{}
	for seed := range uint64(long.Cases(14, 200)) {
		n := &nursery{t, rand.New(rand.NewPCG(seed, 13)), openLater(t, filepath.Join(t.TempDir(), "ledger.db")), map[codes.Code]*plants{}, counts}
		n.print()
		for range 40 {
			[]func(){n.print, n.print, n.amend, n.amend, n.amend, n.undo, n.undo, n.void, n.undoVoid, n.log, n.log, n.log, n.undoEntry, n.reprint, n.reprintAmended}[n.random.IntN(15)]()
			n.check()
		}
	}
	for _, event := range []string{"printed new", "printed known", "printed by what it was", "printed beside a void one", "asked about a void one",
		"amended", "amended to what it is", "amend refused", "date refused", "undone", "undo refused", "void", "void refused", "void undone",
		"entered", "entry refused", "reprinted", "old text reprinted"} {
		require.Greater(t, counts[event], 1, "%s: %v", event, counts)
	}
}

func (n *nursery) pick(values ...string) string { return values[n.random.IntN(len(values))] }

func (n *nursery) day() time.Time { return graftDay.AddDate(0, 0, n.random.IntN(3)) }

// all are the batches, in the order of their codes.
func (n *nursery) all() []*plants {
	return slices.SortedFunc(maps.Values(n.plants), func(a, b *plants) int { return codes.Compare(a.code, b.code) })
}

func (n *nursery) any() *plants {
	all := n.all()
	return all[n.random.IntN(len(all))]
}

// besideVoid reports whether a row is a void batch.
func (n *nursery) besideVoid(d records.Draft) bool {
	return slices.ContainsFunc(n.all(), func(p *plants) bool { return p.void && p.suits(d) })
}

// print prints a file of a few rows. If a question comes up, it prints all rows as new.
func (n *nursery) print() {
	drafts := make([]records.Draft, 1+n.random.IntN(3))
	for i := range drafts {
		drafts[i] = records.Draft{Row: i + 2, Date: n.day(), Variety: n.pick("Ada", "Ada", "Bo", "Cy"), Stock: "Fen", Grafts: 1 + n.random.IntN(3),
			TraySize: 2, Grafter: n.pick("", "", "MK", "TL")}
	}
	before := dump(n.t, n.book.Path())
	issued, err := n.book.Issue(n.t.Context(), drafts, nil)
	if asked := err != nil; asked {
		require.Equal(n.t, before, dump(n.t, n.book.Path()))
		if strings.Contains(err.Error(), "which is void") {
			require.True(n.t, slices.ContainsFunc(drafts, n.besideVoid), "%v", err)
			n.counts["asked about a void one"]++
		}
		issued, err = n.book.Issue(n.t.Context(), drafts, nil, ledger.AsNew(records.Numbers{2, 3, 4}))
		require.NoError(n.t, err)
	} else {
		for i, one := range issued {
			require.False(n.t, one.State == records.New && n.besideVoid(drafts[i]), "a second batch beside a void one, unasked")
		}
	}
	seen := map[codes.Code]bool{}
	for i, one := range issued {
		require.False(n.t, seen[one.Code], "two rows share a batch")
		seen[one.Code] = true
		n.take(drafts[i], one)
	}
}

// take records the outcome of a row, and that all its labels and cards were printed.
func (n *nursery) take(d records.Draft, one records.Issued) {
	p := n.plants[one.Code]
	if one.State == records.New {
		require.Nil(n.t, p, "a code that was given")
		highest := 0
		for code := range n.plants {
			if code.Date().Equal(d.Date) {
				highest = max(highest, code.Batch())
			}
		}
		require.Equal(n.t, highest+1, one.Code.Batch())
		require.True(n.t, one.Code.Date().Equal(d.Date))
		if n.besideVoid(d) {
			n.counts["printed beside a void one"]++
		}
		d.Row = 0
		n.plants[one.Code] = &plants{code: one.Code, versions: []records.Draft{d}, entries: map[int]time.Time{}, printed: map[string]records.Draft{}}
		n.counts["printed new"]++
	} else {
		require.False(n.t, p.void, "a void batch came back")
		require.True(n.t, p.suits(d), "a row got a batch of something else")
		n.counts["printed known"]++
		if !(&plants{versions: p.versions[len(p.versions)-1:]}).suits(d) {
			require.NotEmpty(n.t, one.Notes, "the amendment is named")
			n.counts["printed by what it was"]++
		}
		amended := slices.ContainsFunc(p.versions, func(was records.Draft) bool { return was.Grafter != p.now().Grafter })
		for i := range p.versions {
			was := &p.versions[i]
			if was.Grafts = max(was.Grafts, d.Grafts); !amended {
				was.Grafter = cmp.Or(was.Grafter, d.Grafter)
			}
		}
	}
	n.printed(one.Batch, records.Range(1, one.Grafts), records.Range(1, one.Trays()))
}

// printed records, in the model and the ledger, that labels and cards were printed.
func (n *nursery) printed(b records.Batch, stems, trays records.Numbers) {
	p := n.plants[b.Code]
	for _, stem := range stems {
		p.printed[fmt.Sprint("stem ", stem)] = p.now()
	}
	for _, tray := range trays {
		p.printed[fmt.Sprint("tray ", tray)] = p.now()
	}
	if len(b.Amendments) == 0 {
		return
	}
	require.NoError(n.t, n.book.Change(n.t.Context(), func(c *ledger.Change) error {
		var all []records.Reprint
		for kind, units := range map[codes.Kind]records.Numbers{codes.Stem: stems, codes.Tray: trays} {
			if len(units) > 0 {
				all = append(all, records.Reprint{Batch: b.Code, Kind: kind, Units: units, Count: len(units), Amendment: b.LastAmendment()})
			}
		}
		return c.Reprinted(n.t.Context(), all)
	}))
}

// try makes an amendment, checks whether it should be refused, and reports whether it was made.
func (n *nursery) try(p *plants, refused bool, what string, amending amendment) bool {
	was, is, err := n.book.Amend(n.t.Context(), p.code, "IV", amending)
	if refused {
		require.Error(n.t, err, what)
		n.counts[what+" refused"]++
		return false
	}
	require.NoError(n.t, err, what)
	p.steps += len(is.Amendments) - len(was.Amendments)
	return len(is.Amendments) > len(was.Amendments)
}

func (p *plants) entryBefore(day time.Time) bool {
	return slices.ContainsFunc(slices.Collect(maps.Values(p.entries)), day.After)
}

func (n *nursery) amend() {
	p := n.any()
	d := p.now()
	var fields []string
	switch n.random.IntN(3) {
	case 0:
		d.Variety = n.pick("Ada", "Bo", "Cy")
		fields = []string{"variety", d.Variety}
	case 1:
		d.Grafter = n.pick("", "MK", "TL")
		fields = []string{"grafter", d.Grafter}
	}
	if n.random.IntN(2) == 0 {
		d.Date = n.day()
		fields = append(fields, "date", d.Date.Format(time.DateOnly))
	}
	early := !p.void && p.entryBefore(d.Date)
	if early {
		n.counts["date refused"]++
	}
	made := n.try(p, p.void || early, "amend", to(fields...))
	switch {
	case made:
		p.versions = append(p.versions, d)
		n.counts["amended"]++
	case !p.void && !early:
		require.Equal(n.t, p.now(), d, "to what it is")
		n.counts["amended to what it is"]++
	}
}

func (n *nursery) undo() {
	p := n.any()
	last := len(p.versions) - 1
	if n.try(p, p.void || last == 0 || p.entryBefore(p.versions[max(0, last-1)].Date), "undo", undo) {
		p.versions = p.versions[:last]
		n.counts["undone"]++
	}
}

func (n *nursery) void() {
	if p := n.any(); n.try(p, len(p.entries) > 0, "void", void) {
		p.void = true
		n.counts["void"]++
	}
}

func (n *nursery) undoVoid() {
	for _, p := range n.all() {
		if p.void {
			require.True(n.t, n.try(p, false, "undo", undoVoid))
			p.void = false
			n.counts["void undone"]++
			return
		}
	}
	n.try(n.any(), true, "undo", undoVoid)
}

func (n *nursery) log() {
	p, seen := n.any(), n.day().Add(10*time.Hour)
	kept, _, err := n.book.Log(n.t.Context(), records.Entry{Key: records.NewKey(), Unit: p.code, At: seen, Note: "seen"})
	if p.void || records.Midnight(seen).Before(p.now().Date) {
		require.Error(n.t, err)
		n.counts["entry refused"]++
		return
	}
	require.NoError(n.t, err)
	p.entries[kept.Number] = records.Midnight(seen)
	n.counts["entered"]++
}

func (n *nursery) undoEntry() {
	for _, p := range n.all() {
		for _, number := range slices.Sorted(maps.Keys(p.entries)) {
			logged(n.t, n.book, records.Entry{Key: records.NewKey(), Unit: p.code, Corrects: number})
			delete(p.entries, number)
			return
		}
	}
}

func (n *nursery) reprint() {
	if p := n.any(); !p.void {
		record, err := n.book.Find(n.t.Context(), p.code)
		require.NoError(n.t, err)
		n.printed(record.Batch, records.Numbers{1 + n.random.IntN(p.now().Grafts)}, nil)
		n.counts["reprinted"]++
	}
}

// reprintAmended prints all that shows an old text, which is what the model has, once.
func (n *nursery) reprintAmended() {
	amended, err := n.book.Amendments(n.t.Context())
	require.NoError(n.t, err)
	for _, batch := range amended {
		for again := range 2 {
			reprints, err := n.book.ReprintsOf(n.t.Context(), batch.Code)
			require.NoError(n.t, err)
			stems, trays := batch.Outdated(reprints)
			wantStems, wantTrays := n.plants[batch.Code].outdated()
			require.Equal(n.t, wantStems, stems)
			require.Equal(n.t, wantTrays, trays)
			require.True(n.t, again == 0 || len(stems)+len(trays) == 0)
			if len(stems)+len(trays) > 0 {
				n.printed(batch, stems, trays)
				n.counts["old text reprinted"]++
			}
		}
	}
}

// outdated lists the stems whose labels, and the trays whose cards, differ from the record.
func (p *plants) outdated() (stems, trays records.Numbers) {
	if p.void {
		return nil, nil
	}
	for stem := 1; stem <= p.now().Grafts; stem++ {
		if was := p.printed[fmt.Sprint("stem ", stem)]; was.Variety != p.now().Variety || !was.Date.Equal(p.now().Date) {
			stems = append(stems, stem)
		}
	}
	for tray := 1; tray <= p.now().Trays(); tray++ {
		if was := p.printed[fmt.Sprint("tray ", tray)]; was.Variety != p.now().Variety || !was.Date.Equal(p.now().Date) || was.Grafter != p.now().Grafter {
			trays = append(trays, tray)
		}
	}
	return stems, trays
}

// check compares all that the ledger has with the model.
func (n *nursery) check() {
	var living int
	for _, p := range n.plants {
		history, err := n.book.History(n.t.Context(), p.code)
		require.NoError(n.t, err)
		b := history.Batch
		require.Equal(n.t, p.now(), b.Draft)
		require.Equal(n.t, p.void, b.Void)
		require.Len(n.t, b.Amendments, p.steps)
		versions := b.Versions()
		slices.Reverse(versions)
		require.Equal(n.t, p.versions, versions)
		standing := slices.DeleteFunc(history.Entries(p.code), func(e records.HistoryEntry) bool { return e.CorrectedBy != 0 || e.Undoes() })
		require.Len(n.t, standing, len(p.entries))
		if !p.void {
			living++
		}
	}
	all, err := n.book.Histories(n.t.Context())
	require.NoError(n.t, err)
	require.Len(n.t, all, living, "no ghost, and none lost")
	of := 0
	for day := range 3 {
		date := graftDay.AddDate(0, 0, day)
		found, err := n.book.Search(n.t.Context(), ledger.Wanted{Date: date})
		require.NoError(n.t, err)
		for _, b := range found {
			require.Equal(n.t, n.plants[b.Code].now(), b.Draft)
		}
		of += len(found)
	}
	require.Equal(n.t, living, of, "each batch is of one day")
}
