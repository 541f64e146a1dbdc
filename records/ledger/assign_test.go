package ledger

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// bruteForce tries every assignment, in the order of preference among equals.
func bruteForce(costs [][]int64, fresh []int64) []int {
	var best []int
	bestCost := int64(0)
	current := make([]int, len(fresh))
	taken := map[int]bool{}
	var try func(r int, cost int64)
	try = func(r int, cost int64) {
		if r == len(fresh) {
			if best == nil || cost < bestCost {
				best, bestCost = append([]int(nil), current...), cost
			}
			return
		}
		for c, price := range costs[r] {
			if !taken[c] {
				taken[c], current[r] = true, c
				try(r+1, cost+price)
				delete(taken, c)
			}
		}
		current[r] = -1
		try(r+1, cost+fresh[r])
	}
	try(0, 0)
	return best
}

func TestAssignAgainstEveryAssignment(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	for range 20_000 {
		rows, columns := 1+random.IntN(5), 1+random.IntN(5)
		values := 1 + random.Int64N(6) // few values, many ties
		costs := make([][]int64, rows)
		fresh := make([]int64, rows)
		for r := range costs {
			costs[r] = make([]int64, columns)
			for c := range costs[r] {
				costs[r][c] = random.Int64N(values)
				if random.IntN(6) == 0 {
					costs[r][c] = costNever
				}
			}
			fresh[r] = random.Int64N(2 * values)
			if random.IntN(3) == 0 {
				fresh[r] += costNew
			}
		}
		require.Equal(t, bruteForce(costs, fresh), assign(costs, fresh), "costs %v, fresh %v", costs, fresh)
	}
}

// The largest group there can be: a day of equal rows, issued before.
func TestAssignDayOfEqualRows(t *testing.T) {
	const n = 999
	costs, fresh := make([][]int64, n), make([]int64, n)
	for r := range costs {
		costs[r] = make([]int64, n)
		fresh[r] = costNew
	}
	for r, c := range assign(costs, fresh) {
		require.Equal(t, r, c)
	}
}
