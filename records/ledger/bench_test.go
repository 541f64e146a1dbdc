package ledger_test

import (
	"context"
	"fmt"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/ledger"
)

// tenThousand returns 10,000 drafts over twelve days.
func tenThousand() []records.Draft {
	drafts := make([]records.Draft, 10_000)
	for i := range drafts {
		drafts[i] = draft(func(d *records.Draft) {
			d.Row, d.Variety, d.Date = i+2, fmt.Sprintf("Seedling %d", i), graftDay.AddDate(0, 0, i%12)
			d.TraySize, d.Stem, d.Grafter, d.Note = 25, 6.35, "MK", "two eyes each"
		})
	}
	return drafts
}

func BenchmarkIssue10000New(b *testing.B) {
	drafts := tenThousand()
	for b.Loop() {
		b.StopTimer()
		l, err := ledger.Open(context.Background(), filepath.Join(b.TempDir(), "ledger.db"))
		require.NoError(b, err)
		b.StartTimer()
		_, err = l.Issue(context.Background(), drafts, nil)
		b.StopTimer()
		require.NoError(b, err)
		require.NoError(b, l.Close())
		b.StartTimer()
	}
}

func BenchmarkIssue10000Known(b *testing.B) {
	l, drafts := openNew(b), tenThousand()
	issue(b, l, drafts...)
	for b.Loop() {
		_, err := l.Issue(context.Background(), drafts, nil)
		if err != nil {
			b.Fatal(err)
		}
	}
}

// New rows are compared with the batches near their days. Here all names differ.
func BenchmarkIssue2000Other(b *testing.B) {
	names := func(first string) []records.Draft {
		drafts := make([]records.Draft, 2_000)
		for i := range drafts {
			drafts[i] = draft(func(d *records.Draft) {
				d.Row, d.Variety = i+2, fmt.Sprintf("%s %c%c%c Weathercock", first, 'A'+i%26, 'a'+i/26%26, 'a'+i/676%26)
				d.Date = graftDay.AddDate(0, 0, i%10)
			})
		}
		return drafts
	}
	for b.Loop() {
		b.StopTimer()
		l := openNew(b)
		issue(b, l, names("Amber")...)
		drafts := names("Copper")
		for i := range drafts {
			drafts[i].Date = drafts[i].Date.AddDate(0, 0, 3)
		}
		b.StartTimer()
		issue(b, l, drafts...)
	}
}

func BenchmarkFind(b *testing.B) {
	l := openNew(b)
	issued := issue(b, l, tenThousand()...)
	i := 0
	for b.Loop() {
		code, err := issued[i%len(issued)].Code.Stem(1 + i%40)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := l.Find(context.Background(), code); err != nil {
			b.Fatal(err)
		}
		i++
	}
}

func BenchmarkOpen(b *testing.B) {
	path := openNew(b).Path()
	for b.Loop() {
		l, err := ledger.OpenExisting(context.Background(), path)
		if err != nil {
			b.Fatal(err)
		}
		if err := l.Close(); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkFindAmongAMillion looks codes up in a ledger of a million batches:
// 1,002 days of 999.
func BenchmarkFindAmongAMillion(b *testing.B) {
	l := openNew(b)
	for day := range 1002 {
		drafts := make([]records.Draft, codes.MaxBatch)
		for i := range drafts {
			drafts[i] = draft(func(d *records.Draft) {
				d.Variety, d.Date = fmt.Sprintf("Seedling %d", i), graftDay.AddDate(0, 0, day-500)
			})
		}
		issue(b, l, drafts...)
	}
	i := 0
	for b.Loop() {
		i++
		batch, err := codes.New(graftDay.AddDate(0, 0, i*37%1002-500), 1+i*61%codes.MaxBatch)
		if err != nil {
			b.Fatal(err)
		}
		code, err := batch.Stem(1 + i%40)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := l.Find(context.Background(), code); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkHistories reads 20,000 batches, without amendments and with one of each hundredth.
func BenchmarkHistories(b *testing.B) {
	for _, amended := range []bool{false, true} {
		b.Run(fmt.Sprintf("amended=%v", amended), func(b *testing.B) {
			l := openNew(b)
			for half := range 2 {
				drafts := tenThousand()
				for i := range drafts {
					drafts[i].Date = drafts[i].Date.AddDate(0, 0, 60*half) // no row looks like one moved
				}
				for i, issued := range issue(b, l, drafts...) {
					if amended && i%100 == 0 {
						_, _, err := l.Amend(b.Context(), issued.Code, "", to("variety", "Ada"))
						require.NoError(b, err)
					}
				}
			}
			for b.Loop() {
				if _, err := l.Histories(b.Context()); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
