package records_test

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/records"
	"graftslip/testdata/long"
)

// more is what holds between a unit and its parts, whatever was entered.
func more(t *testing.T, c records.History, unit codes.Code, parts []codes.Code, toldOfWhole bool, entries []records.Entry) {
	t.Helper()
	whole := c.Tally(unit)
	var sum records.Tally
	for _, part := range parts {
		tally := c.Tally(part)
		sum.Stems += tally.Stems
		sum.Alive += tally.Alive
		sum.Dead += tally.Dead
		sum.Sold += tally.Sold
		sum.Planted += tally.Planted
		sum.Culled += tally.Culled
		sum.Unused += tally.Unused
	}
	message := func() string { return unit.String() + "\n" + told(c.Batch, entries) }
	require.Equal(t, sum.Stems, whole.Stems, message())
	require.LessOrEqual(t, whole.Alive, sum.Alive, message())
	require.GreaterOrEqual(t, whole.Dead, sum.Dead, message())
	for _, left := range [][2]int{{whole.Sold, sum.Sold}, {whole.Planted, sum.Planted}, {whole.Culled, sum.Culled}, {whole.Unused, sum.Unused}} {
		require.GreaterOrEqual(t, left[0], left[1], message())
		if !toldOfWhole {
			require.Equal(t, left[0], left[1], message())
		}
	}
}

// leavers reports whether stems left with an entry about the unit itself.
func leavers(entries []records.Entry, unit codes.Code) bool {
	for _, entry := range entries {
		if entry.Unit == unit && entry.Left() > 0 {
			return true
		}
	}
	return false
}

// likely entries suit what is known so far, so that most are taken.
func likely(c records.History, units []codes.Code, hours int, random *rand.Rand) records.Entry {
	unit := units[0]
	switch random.IntN(4) {
	case 0, 1:
		unit = units[1+random.IntN(c.Batch.Trays())]
	case 2:
		unit = units[random.IntN(len(units))]
	}
	o := records.Entry{Unit: unit, At: c.Batch.Date.Add(time.Duration(hours) * time.Hour), Note: "x"}
	alive := c.Tally(unit).Alive
	for _, left := range []*int{&o.Sold, &o.Planted, &o.Culled, &o.Unused} {
		if random.IntN(8) == 0 && alive > 0 {
			*left = 1 + random.IntN(min(alive, 4))
			alive -= *left
		}
	}
	if alive = max(alive, 0); random.IntN(2) == 0 {
		alive -= random.IntN(min(alive, 3) + 1)
		o.Alive = records.Said(alive)
	}
	for _, count := range []*records.Count{&o.Growing, &o.Rooted} {
		if random.IntN(3) == 0 {
			*count = records.Said(random.IntN(alive + 1))
		}
	}
	if random.IntN(6) == 0 {
		o.Dead = records.Said(min(o.Of, c.Tally(unit).Dead+random.IntN(3)))
	}
	return o
}

// What holds for all tallies holds after each entry of long histories, and nothing
// is left of them when all is withdrawn.
func TestTalliesOfLongCourses(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 9))
	taken, refused, runs := 0, 0, long.Cases(16, 60)
	for run := range runs {
		b := batch(t, 60, []int{20, 25, 30, 0}[run/2%4])
		units := unitsOf(t, b)
		c, entries := records.NewHistory(b, nil), []records.Entry(nil)
		untouched := map[codes.Code]records.Tally{}
		for _, unit := range units {
			untouched[unit] = c.Tally(unit)
		}
		dead := map[codes.Code]int{}
		for n := range 30 {
			hours, inOrder := random.IntN(100*24), run%2 == 0
			if inOrder {
				hours = n * 24
			}
			o := likely(c, units, hours, random)
			next, err := kept(c, entries, o)
			if err != nil {
				refused++
				continue
			}
			taken++
			entries = next
			c = records.NewHistory(b, entries)
			for _, unit := range units {
				tally := c.Tally(unit)
				require.NoErrorf(t, adds(tally), "%v\n%s", unit, told(b, entries))
				require.Equal(t, untouched[unit].Stems, tally.Stems)
			}
			holdParts(t, c, units, entries)
			for _, unit := range units {
				now := c.Tally(unit).Dead
				if o.Unused == 0 && (inOrder || o.Left() == 0) { // labels told unused, and those that left before others were counted, are fewer dead
					require.GreaterOrEqualf(t, now, dead[unit], "dead of %v\n%s", unit, told(b, entries))
				}
				dead[unit] = now
			}
		}
		for number := len(entries); number > 0; number-- {
			next, err := kept(c, entries, records.Entry{Unit: b.Code, Corrects: number})
			require.NoErrorf(t, err, "%s", told(b, entries))
			entries = next
			c = records.NewHistory(b, entries)
		}
		for _, unit := range units {
			require.Equal(t, untouched[unit], c.Tally(unit))
		}
	}
	t.Logf("%d taken, %d refused", taken, refused)
	require.Greater(t, taken, 15*runs)
}

func holdParts(t *testing.T, c records.History, units []codes.Code, entries []records.Entry) {
	t.Helper()
	b := c.Batch
	trays := units[1 : 1+b.Trays()]
	if len(trays) > 1 {
		more(t, c, b.Code, trays, leavers(entries, b.Code), entries)
	} else {
		require.Equal(t, c.Tally(b.Code), c.Tally(trays[0]), "one tray is the batch")
	}
	for n, tray := range trays {
		from, to := b.StemsIn(n + 1)
		stems := units[b.Trays()+from : b.Trays()+to+1]
		toldOfWhole := leavers(entries, tray) || len(trays) == 1 && leavers(entries, b.Code)
		more(t, c, tray, stems, toldOfWhole, entries)
	}
}
