package symbol

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"graftslip/codes/internal/qrchart"
	"rsc.io/qr/coding"
)

// linesOf returns the modules of a symbol as a plan has them.
func linesOf(p *qrPlan, m Modules) (rows, columns []uint64) {
	rows, columns = make([]uint64, p.side*p.words), make([]uint64, p.side*p.words)
	for y := range p.side {
		for x := range p.side {
			if m.Dark(x, y) {
				p.set(rows, columns, place{uint8(x), uint8(y)}, 1)
			}
		}
	}
	return rows, columns
}

// underMask returns a symbol with another mask, format information included.
func underMask(p *qrPlan, m Modules, from, to int) Modules {
	masked := m
	masked.dark = append([]bool(nil), m.dark...)
	for i := range masked.dark {
		x, y := i%p.side, i/p.side
		word := y*p.words + x/64
		if (p.rows[from][word]^p.rows[to][word])>>(x%64)&1 == 1 {
			masked.dark[i] = !masked.dark[i]
		}
	}
	return masked
}

// slowPoints charges a symbol module by module and feature by feature, as ISO/IEC
// 18004, 7.8.3.1, puts it: runs, squares, finder patterns, balance. If apart, a
// finder pattern that has been counted hides those that share modules with it.
func slowPoints(m Modules, apart bool) [4]int {
	var points [4]int
	side, dark := m.Width(), 0
	for i := range side {
		for _, at := range []func(int) bool{
			func(j int) bool { return m.Dark(j, i) },
			func(j int) bool { return m.Dark(i, j) },
		} {
			for start := 0; start < side; {
				end := start
				for end < side && at(end) == at(start) {
					end++
				}
				if end-start >= 5 {
					points[0] += 3 + end - start - 5
				}
				start = end
			}
			var line strings.Builder
			for j := -4; j < side+4; j++ {
				line.WriteByte(" #"[map[bool]int{true: 1}[at(j)]])
			}
			for start := 0; start < side-6; start++ {
				around := line.String()[start : start+15]
				if around[4:11] == "# ### #" && (around[:4] == "    " || around[11:] == "    ") {
					points[2] += 40
					if apart {
						start += 6
					}
				}
			}
		}
		for j := range side {
			if m.Dark(i, j) {
				dark++
			}
			if i > 0 && j > 0 && m.Dark(i, j) == m.Dark(i-1, j) && m.Dark(i, j) == m.Dark(i, j-1) && m.Dark(i, j) == m.Dark(i-1, j-1) {
				points[1] += 3
			}
		}
	}
	percent := 100 * float64(dark) / float64(side*side)
	points[3] = 10 * int(math.Abs(percent-50)/5)
	return points
}

func sum(points [4]int) int { return points[0] + points[1] + points[2] + points[3] }

// Whatever the modules are, counting words finds what counting modules finds.
func TestPenalty(t *testing.T) {
	random := rand.New(rand.NewPCG(44, 4))
	var encoder qrEncoder
	for version := range versions() {
		plan := encoder.plan(version, coding.L)
		for _, share := range []float64{0, 0.1, 0.3, 0.5, 0.9, 1} {
			m := Modules{kind: QR, width: plan.side, height: plan.side, dark: make([]bool, plan.side*plan.side)}
			for i := range m.dark {
				m.dark[i] = random.Float64() < share
			}
			// Finder patterns with and without light on either side, at random.
			for range plan.side {
				at := random.IntN(len(m.dark) - 15)
				for i, c := range "    # ### #    "[random.IntN(5) : 11+random.IntN(5)] {
					m.dark[at+i] = c == '#'
				}
			}
			for _, m := range []Modules{m, mirrored(m)} {
				rows, columns := linesOf(plan, m)
				require.Equal(t, sum(slowPoints(m, false)), plan.penalty(rows, columns, math.MaxInt), "version %d, %g dark", version, share)
			}
		}
	}
}

// One feature at a time, in the first row of a symbol, worked out by hand. A
// lone row of version 1 has 441 modules to be balanced; the balance is not
// counted here.
func TestLinePoints(t *testing.T) {
	plan := new(qrEncoder).plan(1, coding.H)
	within := plan.within(0)
	for _, test := range []struct {
		line   string // 21 modules
		points int
		reason string
	}{
		{"# # # # # # # # # # #", 0, "nothing"},
		{"#### # # # # # # # # ", 0, "four of a colour"},
		{"##### # # # # # # # #", 3, "five of a colour"},
		{" # # # # # # # ######", 4, "six at the end"},
		{"#####################", 19, "all of a colour"},
		{"##########           ", 8 + 9, "two runs"},
		{"# ### # # # # # # # #", 40, "a finder pattern at the edge, light outside"},
		{"# # # # # # # # ### #", 40 * 1, "the same at the other edge"},
		{" # ### # # # # # # # ", 40, "one light module and the quiet zone"},
		{"## ### # # # # # # # ", 0, "a dark module before it"},
		{"# ##    # ### # ## ##", 40, "light before it only"},
		{"# ## # ### #    # ## ", 40, "light behind it only"},
		{"# #    # ### #    # #", 40, "light on both sides, counted once"},
		{"# ##   # ### #   ## #", 0, "three light modules"},
		{"#    # ### # ### #   ", 80, "two that share three modules"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			require.Len(t, test.line, 21)
			line := uint64(0)
			for i, c := range test.line {
				if c == '#' {
					line |= 1 << i
				}
			}
			require.Equal(t, test.points, within.runs([]uint64{line}))
		})
	}
}

func TestBalance(t *testing.T) {
	for _, test := range []struct{ dark, points int }{
		{200, 0}, {220, 0}, {209, 0}, {242, 0}, {243, 10}, {199, 0}, {198, 10}, {264, 10}, {265, 20}, {441, 100}, {0, 100},
	} {
		require.Equal(t, test.points, balance(test.dark, 441), "%d of 441, in steps of 22.05 from half", test.dark)
	}
	require.Equal(t, 10, balance(55, 100), "exactly 5 %")
	require.Equal(t, 0, balance(54, 100))
	require.Equal(t, 10, balance(45, 100))
}

// The mask of a symbol is the first among those with the fewest points, counted
// module by module.
func TestBestMask(t *testing.T) {
	random := rand.New(rand.NewPCG(45, 4))
	var encoder qrEncoder
	var chosen [8]int
	for i := range 400 {
		version := coding.Version(1 + i%12)
		if i%40 == 0 {
			version = coding.Version(1 + random.IntN(40))
		}
		level := levels[random.IntN(4)].level
		text := textIn(random, numericMode, 1+random.IntN(most(numericMode, version, level)))
		plan := encoder.plan(version, level)
		m := encoder.symbol(coding.Num(text), version, level)
		_, mask, err := readFormat(m, qrchart.New(int(version)))
		require.NoError(t, err)
		chosen[mask]++

		best, fewest := -1, math.MaxInt
		for other := range 8 {
			masked := underMask(plan, m, mask, other)
			require.NoError(t, verify(masked, text), "under any mask it is the same text")
			if points := sum(slowPoints(masked, false)); points < fewest {
				best, fewest = other, points
			}
		}
		require.Equal(t, best, mask, "version %d %q", version, text)
	}
	t.Logf("chosen, by mask: %d", chosen)
	require.NotContains(t, chosen, 0, "every mask is the best of some symbol")
}
