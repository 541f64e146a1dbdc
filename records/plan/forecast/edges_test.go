package forecast_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records/plan/forecast"
	"graftslip/testdata/long"
)

// At the edges of what nurseries may be like the plans are still safe, and where
// nothing differs they come near to what who knows the truth would graft.
func TestPlansInUnusualNurseries(t *testing.T) {
	for _, test := range []struct {
		name                        string
		precision                   float64
		scale                       float64 // of all effects
		batches                     int
		leastReached, mostReached   float64
		mostGraftsBesideThoseNeeded float64 // by who knows the truth
	}{
		{"nothing differs, 10 batches", 1e5, 0, 10, 0.9, 1, 1.6},
		{"nothing differs, 100 batches", 1e5, 0, 100, 0.9, 1, 1.15},
		{"pairs differ, batches hardly", 1000, 1, 60, 0.86, 1, 1.6},
		{"batches differ much", 3, 0.5, 60, 0.8, 0.95, 1.5},
		{"effects half as large again", 20, 1.5, 60, 0.84, 0.96, 2.5},
		{"two batches", 20, 1, 2, 0.84, 0.98, 10},
	} {
		var orders []order
		refused := 0
		for seed := range uint64(long.Cases(10, 25)) {
			w := newWorld(2000 + seed)
			w.precision = test.precision
			for i := range w.spreads {
				w.spreads[i] *= test.scale
			}
			for v := range w.variety {
				w.variety[v] *= test.scale
				for s := range w.stock {
					w.pair[v][s] *= test.scale
				}
			}
			for s := range w.stock {
				w.stock[s] *= test.scale
			}
			taken, not := w.orders(t, test.batches)
			orders, refused = append(orders, taken...), refused+not
		}
		planned := serve(orders, plan)
		needed := serve(orders, func(o order) int {
			if n, err := o.truth.HowMany(o.want, sure); err == nil {
				return n
			}
			return forecast.MostGrafts // not even with the truth known
		})
		t.Logf("%s: %.1f %% reached of %d orders, %d refused, with %.0f grafts; with the truth %.0f; for each plant %.2f and %.2f (median)",
			test.name, 100*planned.reached, len(orders), refused, planned.grafts, needed.grafts, planned.perWant, needed.perWant)
		require.GreaterOrEqual(t, planned.reached, test.leastReached, test.name)
		require.LessOrEqual(t, planned.reached, test.mostReached, test.name)
		require.LessOrEqual(t, planned.perWant, test.mostGraftsBesideThoseNeeded*needed.perWant, test.name)
	}
}
