package labels

import (
	"strings"
	"testing"

	"graftslip/layouts"
)

func BenchmarkDesignStem(b *testing.B) {
	batch := testBatch(b, "Velvet Midnight Over Chalkfold", "Marlpit Hedge")
	o := testOptions(b, builtIn(b), "letter-2x10", layouts.Flag, 8)
	for b.Loop() {
		if _, err := DesignStem(batch, o); err != nil {
			b.Fatal(err)
		}
	}
}

// A note of one-letter words has the most places to break.
func BenchmarkDesignTray(b *testing.B) {
	batch := testBatch(b, "Velvet Midnight Over Chalkfold", "Marlpit Hedge")
	batch.Note = strings.TrimSpace(strings.Repeat("a ", 60))
	o := testOptions(b, builtIn(b), "letter-2x2", 0, 0)
	for b.Loop() {
		if _, err := DesignTray(batch, o); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkStemSlip(b *testing.B) {
	d, err := DesignStem(testBatch(b, "Velvet Midnight Over Chalkfold", "Marlpit Hedge"), testOptions(b, builtIn(b), "letter-2x10", layouts.Flag, 8))
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := d.Label(7); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkDesignUsualTray(b *testing.B) {
	batch := testBatch(b, "Velvet Midnight Over Chalkfold", "Marlpit Hedge")
	o := testOptions(b, builtIn(b), "letter-2x2", 0, 0)
	for b.Loop() {
		if _, err := DesignTray(batch, o); err != nil {
			b.Fatal(err)
		}
	}
}
