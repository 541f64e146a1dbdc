package codes_test

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
)

// A code that was damaged within the limits is among the candidates, with no
// more faults than were made.
func TestRepairFindsRandomDamage(t *testing.T) {
	random := rand.New(rand.NewPCG(11, 11))
	ways := []func(*rand.Rand, []byte) []byte{wrong, exchanged, doubled, added, dropped}
	tested := map[[2]int]int{}
	for _, code := range randomCodes(t, 3000, 11) {
		faults := random.IntN(3)
		unknown := random.IntN(min(4, 5-2*faults) + 1)
		read := []byte(code.Compact())
		for range faults {
			read = ways[random.IntN(len(ways))](random, read)
		}
		for range unknown {
			read = illegible(random, read)
		}
		read = lettered(random, read)
		if _, err := codes.Parse(string(read)); err == nil && string(read) != code.Compact() {
			continue // two faults that made another code of it
		}
		tested[[2]int{unknown, faults}]++
		least := -1
		for candidate := range codes.Repair(string(read)) {
			if candidate.Code == code {
				least = candidate.Faults
				break
			}
		}
		require.GreaterOrEqual(t, least, 0, "%v read as %s", code, read)
		require.LessOrEqual(t, least, faults, "%v read as %s", code, read)
	}
	require.Len(t, tested, 5+4+2, "every number of unknown digits and faults")
	t.Log("tested, by [unknown digits, faults]: ", tested)
}

// Whatever the reading: candidates are valid codes, each once, in order, the
// same each time, and their changes lead from the code back to the reading.
func TestRepairOrder(t *testing.T) {
	random := rand.New(rand.NewPCG(12, 12))
	ways := []func(*rand.Rand, []byte) []byte{wrong, exchanged, doubled, added, dropped, illegible, lettered}
	count := 0
	for _, code := range randomCodes(t, 150, 12) {
		read := []byte(code.Compact())
		for range 1 + random.IntN(3) {
			read = ways[random.IntN(len(ways))](random, read)
		}
		all := slices.Collect(codes.Repair(string(read)))
		require.Equal(t, all, slices.Collect(codes.Repair(string(read))))
		seen := map[codes.Code]bool{}
		for i, candidate := range all {
			count++
			require.False(t, seen[candidate.Code], "%s: %v twice", read, candidate.Code)
			seen[candidate.Code] = true
			requireSound(t, candidate, string(read))
			if i > 0 {
				before := all[i-1]
				require.Negative(t, cmp.Or(cmp.Compare(before.Faults, candidate.Faults),
					cmp.Compare(cost(before), cost(candidate)), codes.Compare(before.Code, candidate.Code)),
					"%s: %v before %v", read, before, candidate)
			}
		}
	}
	t.Logf("candidates looked at: %d", count)
}

// requireSound checks that a candidate is a code, that its faults are counted
// and its changes in order, and that they lead back to characters of read.
func requireSound(t *testing.T, candidate codes.Candidate, read string) {
	t.Helper()
	again, err := codes.Parse(candidate.Code.Compact())
	if err != nil || again != candidate.Code {
		t.Fatalf("%q: %v is no code: %v", read, candidate, err)
	}
	faults := 0
	exchanged := map[int]bool{}
	for _, change := range candidate.Changes {
		if change.Kind >= codes.Wrong {
			faults++
		}
		if change.Kind == codes.Exchanged {
			exchanged[change.At], exchanged[change.Other] = true, true
		}
	}
	for _, change := range candidate.Changes {
		if (change.Kind == codes.Wrong || change.Kind == codes.Dropped) && exchanged[change.At] {
			t.Fatalf("%q: %v: a digit both exchanged and wrong or missing", read, candidate)
		}
	}
	ordered := slices.IsSortedFunc(candidate.Changes, func(a, b codes.Change) int { return cmp.Compare(a.At, b.At) })
	if faults != candidate.Faults || !ordered {
		t.Fatalf("%q: %v", read, candidate)
	}
	marks := strings.Map(func(r rune) rune {
		if strings.ContainsRune(" -", r) {
			return -1
		}
		return r
	}, read)
	if back := undone(candidate); !strings.Contains(marks, back) {
		t.Fatalf("%q: %v leads back to %q", read, candidate, back)
	}
}

// undone takes the changes back, as the documentation of Change tells.
func undone(candidate codes.Candidate) string {
	var digits [15]string // the first is no digit, but what stands before them
	for i, digit := range candidate.Code.Compact() {
		digits[i+1] = string(digit)
	}
	for _, change := range candidate.Changes {
		switch change.Kind {
		case codes.Filled, codes.Letter, codes.Wrong:
			if digits[change.At] != string(change.Is) {
				return fmt.Sprintf("digit %d is not %c", change.At, change.Is)
			}
			digits[change.At] = string(change.Read)
		}
	}
	for _, change := range slices.Backward(candidate.Changes) {
		if change.Kind == codes.Exchanged {
			digits[change.At], digits[change.Other] = digits[change.Other], digits[change.At]
		}
	}
	for _, change := range candidate.Changes {
		if change.Kind == codes.Dropped {
			if digits[change.At] != string(change.Is) {
				return fmt.Sprintf("digit %d is not %c", change.At, change.Is)
			}
			digits[change.At] = ""
		}
	}
	for _, change := range candidate.Changes {
		if change.Kind == codes.Doubled {
			digits[change.At] += string(change.Read)
		}
	}
	return strings.Join(digits[:], "")
}

// torn reports whether all digits between one that is missing and an end of the
// code are missing, too.
func torn(candidate codes.Candidate, at int) bool {
	missing := map[int]bool{}
	for _, change := range candidate.Changes {
		missing[change.At] = missing[change.At] || change.Kind == codes.Dropped
	}
	before, behind := true, true
	for place := 1; place <= 14; place++ {
		before = before && (place > at || missing[place])
		behind = behind && (place < at || missing[place])
	}
	return before || behind
}

// cost adds up what the documentation of Repair says that faults cost.
func cost(candidate codes.Candidate) int {
	digits := "x" + candidate.Code.Compact() + "x"
	like := map[rune]rune{'O': '0', 'o': '0', 'Q': '0', 'D': '0', 'I': '1', 'l': '1', 'i': '1', '|': '1',
		'Z': '2', 'z': '2', 'S': '5', 's': '5', 'G': '6', 'B': '8', 'q': '9'}
	sum := 0
	for _, change := range candidate.Changes {
		read := change.Read
		if like[read] != 0 {
			read = like[read]
		}
		switch change.Kind {
		case codes.Exchanged:
			sum += map[int]int{1: 1, 2: 3}[change.Other-change.At]
			if change.Other-change.At > 2 {
				sum += 4
			}
		case codes.Wrong:
			sum += 2
		case codes.Dropped:
			if digits[change.At-1] == change.Is || digits[change.At+1] == change.Is || torn(candidate, change.At) {
				sum++
			} else {
				sum += 3
			}
		case codes.Doubled:
			if rune(digits[change.At]) == read || rune(digits[change.At+1]) == read {
				sum++
			} else {
				sum += 3
			}
		}
	}
	return sum
}
