package codes_test

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
)

var update = flag.Bool("update", false, "rewrite the table of what is caught in README.md")

const trials = 1000 // of each kind of damage

// season is an invented ledger: which batches were given, with how many stems.
type season struct {
	stems map[codes.Code]int // by the code of the batch
	all   []codes.Code       // of stems and trays
}

const trayOf = 30 // stems in a tray

// newSeason returns 500 batches of 20 to 120 stems, over 60 days.
func newSeason(t testing.TB, random *rand.Rand) season {
	t.Helper()
	first := time.Date(2026, 10, 12, 0, 0, 0, 0, time.UTC)
	s := season{stems: map[codes.Code]int{}}
	last := map[int]int{} // batch of each day
	for range 500 {
		day := random.IntN(60)
		last[day]++
		batch := must(t)(codes.New(first.AddDate(0, 0, day), last[day]))
		stems := 20 + random.IntN(101)
		s.stems[batch] = stems
		for stem := 1; stem <= stems; stem++ {
			s.all = append(s.all, must(t)(batch.Stem(stem)))
		}
		for tray := 1; tray <= traysOf(stems); tray++ {
			s.all = append(s.all, must(t)(batch.Tray(tray)))
		}
	}
	return s
}

func traysOf(stems int) int { return (stems + trayOf - 1) / trayOf }

// knows reports whether code was given: to a batch, a stem of it or a tray.
func (s season) knows(code codes.Code) bool {
	stems, given := s.stems[code.Whole()]
	switch code.Kind() {
	case codes.Stem:
		return given && code.Number() <= stems
	case codes.Tray:
		return given && code.Number() <= traysOf(stems)
	}
	return given
}

// fits are the candidates with the fewest faults, of all or of those known.
type fits struct {
	codes  []codes.Code
	faults int
}

// takes adds candidate unless others have fewer faults, and reports whether it
// was added.
func (f *fits) takes(candidate codes.Candidate) bool {
	if f.codes != nil && candidate.Faults > f.faults {
		return false
	}
	f.codes, f.faults = append(f.codes, candidate.Code), candidate.Faults
	return true
}

// fitting returns the candidates with the fewest faults, and those with the
// fewest that the ledger knows.
func fitting(read string, ledger season) (alone, held []codes.Code) {
	var all, known fits
	for candidate := range codes.Repair(read) {
		wanted := all.takes(candidate)
		if ledger.knows(candidate.Code) {
			wanted = known.takes(candidate) || wanted
		}
		if !wanted && known.codes != nil && candidate.Faults > known.faults {
			break
		}
	}
	return all.codes, known.codes
}

// tally counts what came of damaged codes.
type tally struct{ one, oneWrong, right, wrong int }

func (c *tally) add(found []codes.Code, code codes.Code) {
	switch {
	case len(found) == 0:
		return
	case len(found) == 1:
		c.one++
	}
	switch {
	case found[0] == code:
		c.right++
	case len(found) == 1:
		c.oneWrong++
		fallthrough
	default:
		c.wrong++
	}
}

// catches returns, as Markdown, what the check digits and Repair make of damaged
// codes of a season.
func catches(t testing.TB) string {
	random := rand.New(rand.NewPCG(97, 10))
	ledger := newSeason(t, random)
	type way func(*rand.Rand, []byte) []byte
	times := func(count int) way {
		return func(random *rand.Rand, read []byte) []byte {
			for range count {
				read = illegible(random, read)
			}
			return read
		}
	}
	var b strings.Builder
	fmt.Fprintf(&b, `Codes damaged at random, %s a row, out of an invented season of %d batches with %s stems and trays
(`+"`go test ./codes -v -run TestCatches`"+`):

| damage | refused | alone: only one | of them wrong | first right | first wrong | ledger: only one | of them wrong | first right | first wrong |
|---|---|---|---|---|---|---|---|---|---|
`, thousands(trials), len(ledger.stems), thousands(len(ledger.all)))
	for _, row := range []struct {
		damage string
		do     way
	}{
		{"one digit illegible", times(1)},
		{"two illegible", times(2)},
		{"three illegible", times(3)},
		{"four illegible", times(4)},
		{"one digit wrong", wrong},
		{"two swapped, near or far", exchanged},
		{"one doubled", doubled},
		{"one dropped", dropped},
		{"two wrong", twoWrong},
	} {
		refused, alone, held := 0, tally{}, tally{}
		for range trials {
			code := ledger.all[random.IntN(len(ledger.all))]
			read := string(row.do(random, []byte(code.Compact())))
			if _, err := codes.Parse(read); err != nil {
				refused++
			}
			all, known := fitting(read, ledger)
			alone.add(all, code)
			held.add(known, code)
		}
		fmt.Fprintf(&b, "| %s | %d | %d | %d | %d | %d | %d | %d | %d | %d |\n", row.damage, refused,
			alone.one, alone.oneWrong, alone.right, alone.wrong, held.one, held.oneWrong, held.right, held.wrong)
	}
	b.WriteString(`
*Refused*: by the check digits, the length, or a sign that is not a digit. *Alone*: among all codes with the fewest faults, without a ledger; *ledger*: among the
codes that were given. *Only one*: no other fits. *First wrong*: how often taking the first without a look misleads. Two wrong digits that make a valid code are
not caught: they are read as that code, and nothing else is tried.
`)
	return b.String()
}

// thousands writes a number from 1,000 to 999,999.
func thousands(n int) string { return fmt.Sprintf("%d,%03d", n/1000, n%1000) }

// The table in README.md of this folder is what comes out.
func TestCatches(t *testing.T) {
	const (
		readme = "README.md"
		begin  = "<!-- catches -->\n"
		end    = "<!-- /catches -->"
	)
	text, err := os.ReadFile(readme)
	require.NoError(t, err)
	before, rest, found := strings.Cut(string(text), begin)
	require.True(t, found, "%s has %s", readme, begin)
	table, after, found := strings.Cut(rest, end)
	require.True(t, found, "%s has %s", readme, end)
	got := "\n" + catches(t) + "\n"
	t.Log(got)
	if *update {
		require.NoError(t, os.WriteFile(readme, []byte(before+begin+got+end+after), 0o644))
		return
	}
	require.Equal(t, table, got, "go test ./codes -run TestCatches -update rewrites it")
}
