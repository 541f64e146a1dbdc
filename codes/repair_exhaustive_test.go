package codes_test

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
)

// Every reading that is one fault away from those in from, tried one by one on
// the characters: a fault and its undoing are of the same kinds.
func faultsFrom(from map[string]bool) map[string]bool {
	all := map[string]bool{}
	for read := range from {
		for i := range len(read) + 1 {
			for digit := '0'; digit <= '9'; digit++ {
				all[read[:i]+string(digit)+read[i:]] = true
				if i < len(read) {
					all[read[:i]+string(digit)+read[i+1:]] = true
				}
			}
			if i == len(read) {
				continue
			}
			all[read[:i]+read[i+1:]] = true
			for j := range i {
				all[read[:j]+read[i:i+1]+read[j+1:i]+read[j:j+1]+read[i+1:]] = true
			}
		}
	}
	return all
}

// codesOf adds to known the codes that texts are, with every digit for a ?, and
// that are not known yet, with their number of faults.
func codesOf(texts map[string]bool, faults int, known map[codes.Code]int) {
	for text := range texts {
		filled := []string{text}
		for strings.Contains(filled[0], "?") {
			var more []string
			for _, one := range filled {
				for digit := '0'; digit <= '9'; digit++ {
					more = append(more, strings.Replace(one, "?", string(digit), 1))
				}
			}
			filled = more
		}
		for _, one := range filled {
			code, err := codes.Parse(one)
			if _, is := known[code]; err == nil && !is {
				known[code] = faults
			}
		}
	}
}

// Repair finds exactly the codes that trying every fault, and every second fault
// after it, finds, also where both befall the same digits.
func TestRepairMissesNothing(t *testing.T) {
	random := rand.New(rand.NewPCG(13, 13))
	type ways []func(*rand.Rand, []byte) []byte
	all := []ways{
		{wrong}, {exchanged}, {dropped}, {added},
		{wrong, exchanged}, {dropped, dropped}, {added, added}, {dropped, exchanged}, {added, wrong},
		{wrong, illegible}, {dropped, illegible}, {added, illegible},
	}
	total := 0
	for i, code := range randomCodes(t, len(all), 13) {
		read := []byte(code.Compact())
		for _, way := range all[i] {
			read = way(random, read)
		}
		_, err := codes.Parse(string(read))
		require.Error(t, err, "a seed that leaves no code whole")
		want := map[codes.Code]int{}
		texts := map[string]bool{string(read): true}
		codesOf(texts, 0, want)
		for faults := 1; faults <= 2; faults++ {
			texts = faultsFrom(texts)
			codesOf(texts, faults, want)
		}
		got := map[codes.Code]int{}
		for candidate := range codes.Repair(string(read)) {
			got[candidate.Code] = candidate.Faults
		}
		require.Equal(t, want, got, string(read))
		total += len(got)
	}
	t.Logf("candidates found both ways: %d", total)
}
