package codes_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
)

// words returns what changes say.
func words(changes []codes.Change) []string {
	var all []string
	for _, change := range changes {
		all = append(all, change.String())
	}
	return all
}

// The code 26329-004-0017-63 is found again, with the changes in words.
func TestRepairFinds(t *testing.T) {
	const want = "26329-004-0017-63"
	for _, test := range []struct {
		read    string
		faults  int
		changes []string
		reason  string
	}{
		{want, 0, nil, "nothing is damaged"},
		{"code " + want + "\r\n", 0, nil, "what Parse accepts is not looked at again"},

		{"26329-0?4-0017-63", 0, []string{"digit 7 is 0, read as ?"}, "one illegible digit"},
		{"?6329-0?4-00?7-?3", 0, []string{"digit 1 is 2, read as ?", "digit 7 is 0, read as ?", "digit 11 is 1, read as ?", "digit 13 is 6, read as ?"}, "four illegible digits in four places"},
		{"26329-0x4-0017-63", 0, []string{"digit 7 is 0, read as x"}, "a letter like no digit is illegible"},
		{"26329-004-0017-xX", 0, []string{"digit 13 is 6, read as x", "digit 14 is 3, read as X"}, "a group of x is no word"},
		{"26329-0*4-0#17-63", 0, []string{"digit 7 is 0, read as *", "digit 10 is 0, read as #"}, "other signs for what cannot be read"},
		{"26329.004.0017.63", 0, nil, "stops for hyphens"},
		{"26329/0?4/0017/63", 0, []string{"digit 7 is 0, read as ?"}, "slashes for hyphens"},
		{"26329-0ж4-0017-63", 0, []string{"digit 7 is 0, read as ж"}, "so is a letter of another script"},

		{"26329-oO4-QDI7-G3", 0, []string{"digit 6 is 0, read as o", "digit 7 is 0, read as O", "digit 9 is 0, read as Q", "digit 10 is 0, read as D", "digit 11 is 1, read as I", "digit 13 is 6, read as G"}, "letters for digits"},
		{"Z63zq-004-00|7-b3", 0, []string{"digit 1 is 2, read as Z", "digit 4 is 2, read as z", "digit 5 is 9, read as q", "digit 11 is 1, read as |", "digit 13 is 6, read as b"}, "small letters, and b as 6"},
		{"2632g-004-00l7-g3", 0, []string{"digit 5 is 9, read as g", "digit 11 is 1, read as l", "digit 13 is 6, read as g"}, "g once as 9, once as 6"},
		{"26329-004-001b-63", 1, []string{"digit 12 is 7, read as b"}, "b is 6 or 8, and no 7"},
		{"26329-004-00g7-63", 1, []string{"digit 11 is 1, read as g"}, "g is 6 or 9, and no 1"},
		{"26329-004-00i7-63", 0, []string{"digit 11 is 1, read as i"}, "a small i"},

		{"26329-004-0071-63", 1, []string{"digits 11 and 12 were swapped"}, "two neighbours exchanged"},
		{"36329-004-0017-62", 1, []string{"digits 1 and 14 were swapped"}, "the first and the last exchanged"},
		{"26329-004-0018-63", 1, []string{"digit 12 is 7, read as 8"}, "one digit wrong"},
		{"26329-004-O01O-63", 1, []string{"digit 9 is 0, read as O", "digit 12 is 7, read as O"}, "a letter that looks like the wrong digit"},
		{"6329-004-0017-63", 1, []string{"digit 1 (2) was missing"}, "the first digit dropped"},
		{"26329-004-0017-6", 1, []string{"digit 14 (3) was missing"}, "the last digit dropped"},
		{"26329-04-0017-63", 1, []string{"digit 6 (0) was missing"}, "one of two equal digits dropped"},
		{"26329-0044-0017-63", 1, []string{"an extra 4 after digit 7"}, "a digit doubled"},
		{"726329-004-0017-63", 1, []string{"an extra 7 before digit 1"}, "a digit too many in front"},
		{"26329-004-0017-635", 1, []string{"an extra 5 after digit 14"}, "a digit too many behind"},
		{"26329-004-0?17-6?3", 1, []string{"digit 10 is 0, read as ?", "an extra 6 after digit 12", "digit 13 is 6, read as ?"}, "an illegible mark too many, beside the digit that it doubles"},

		{"62329-004-0071-63", 2, []string{"digits 1 and 2 were swapped", "digits 11 and 12 were swapped"}, "two exchanges"},
		{"26329-004-1700-63", 2, []string{"digits 9 and 11 were swapped", "digits 10 and 12 were swapped"}, "two pairs exchanged crosswise"},
		{"16329-004-0067-23", 2, []string{"digits 1 and 13 were swapped", "digits 11 and 13 were swapped"}, "three digits went round"},
		{"26529-004-0018-63", 2, []string{"digit 3 is 3, read as 5", "digit 12 is 7, read as 8"}, "two digits wrong"},
		{"26529-004-0071-63", 2, []string{"digit 3 is 3, read as 5", "digits 11 and 12 were swapped"}, "one wrong, two exchanged"},
		{"6329-004-0017-6", 2, []string{"digit 1 (2) was missing", "digit 14 (3) was missing"}, "two dropped"},
		{"226329-004-0017-633", 2, []string{"an extra 2 before digit 1", "an extra 3 after digit 13"}, "two doubled"},
		{"6329-004-0017-863", 2, []string{"digit 1 (2) was missing", "an extra 8 after digit 12"}, "one dropped, one too many"},
		{"?6529-004-0018-63", 2, []string{"digit 1 is 2, read as ?", "digit 3 is 3, read as 5", "digit 12 is 7, read as 8"}, "one illegible and two wrong"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			found := false
			for candidate := range codes.Repair(test.read) {
				if candidate.Code.String() != want {
					continue
				}
				found = true
				require.Equal(t, test.faults, candidate.Faults)
				require.Equal(t, test.changes, words(candidate.Changes))
			}
			require.True(t, found)
		})
	}
}

// Words and signs around a damaged code.
func TestRepairWords(t *testing.T) {
	const want = "26329-004-0017-63"
	for _, test := range []struct{ read, reason string }{
		{"Code: 26329-0?4-00I7-63", "a word before"},
		{"Code:26329-0?4-00I7-63", "a word without a space"},
		{"26329-0?4-0017-63, Bank an der Tür", "words behind, with letters like digits in them"},
		{"  26329\t0?4\u00a00017\u201363 \r\n", "separators as in Parse"},
		{"2 6 3 2 9 0 ? 4 0 0 1 7 6 3", "a space between all digits"},
		{"\ufeff]Q126329-0?4-0017-63", "symbology identifier"},
		{"gate ]Q1 code 26329-0?4-0017-63 end", "symbology identifier among words"},
		{"(26329-0?4-0017-63)", "brackets"},
		{"26329-004-0017-?x", "a last word of illegible digits, one a letter"},
		{"26329-004-0017-x_", "the same with another sign"},
		{"№ 26329-0?4-0017-63 ✓", "signs"},
		{"\x0226329-0?4-0017-63\x03", "control characters"},
		{"x6329-004-0017-63", "a letter in one word with digits"},
		{"\xff26329-0?4-0017-63\xff", "bytes that are no text, outside"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			for candidate := range codes.Repair(test.read) {
				require.Zero(t, candidate.Faults)
				require.Equal(t, want, candidate.Code.String())
				return
			}
			require.Fail(t, "nothing came")
		})
	}
}

func TestRepairRefuses(t *testing.T) {
	for _, test := range []struct {
		read   string
		want   error
		reason string
	}{
		{"", codes.ErrShape, "empty"},
		{"no code here", codes.ErrShape, "words without a digit"},
		{"]Q1", codes.ErrShape, "nothing but a symbology identifier"},
		{"26329-0?4-0017\xa063", codes.ErrShape, "a byte that is no text between"},
		{"26329-0?4-0017-63 ½", codes.ErrShape, "a number of another kind"},
		{"٢6329-0?4-0017-63", codes.ErrShape, "a digit of another script"},

		{"26329-0?4-001", codes.ErrLength, "11 digits"},
		{"26329-0?4-0017-63123", codes.ErrLength, "17 digits"},
		{"???", codes.ErrLength, "three signs"},
		{"26329-004-0017-63 26329-004-0018-60", codes.ErrLength, "two codes"},
		{strings.Repeat("2", 4096), codes.ErrLength, "4096 digits"},
		{strings.Repeat("?", 4096), codes.ErrLength, "4096 illegible digits"},

		{"?6329-???-00?7-63", codes.ErrIllegible, "five illegible digits"},
		{"?????-???-????-??", codes.ErrIllegible, "nothing can be read"},
		{"x6329-xbg-00x7-63", codes.ErrIllegible, "five unknown letters"},
		{"????9-004-0017-6", codes.ErrIllegible, "four illegible and one missing"},
		{"????9-004-0017-633", codes.ErrIllegible, "four illegible and one too many"},
		{"??329-004-0017", codes.ErrIllegible, "two illegible and two missing"},
		{"??329-004-0017-6333", codes.ErrIllegible, "two illegible and two too many"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			require.Empty(t, slices.Collect(codes.Repair(test.read)))
			tried, err := codes.Tried(test.read)
			require.Equal(t, test.want, err)
			require.Empty(t, tried)
			require.NotEmpty(t, err.(interface{ Hint() string }).Hint())
		})
	}
}

// What a change is made of, for those who do not want words.
func TestRepairChanges(t *testing.T) {
	for _, test := range []struct {
		read string
		want []codes.Change
	}{
		{"26329-0?4-0xI7-b3", []codes.Change{
			{Kind: codes.Filled, At: 7, Read: '?', Is: '0'},
			{Kind: codes.Filled, At: 10, Read: 'x', Is: '0'},
			{Kind: codes.Letter, At: 11, Read: 'I', Is: '1'},
			{Kind: codes.Letter, At: 13, Read: 'b', Is: '6'},
		}},
		{"26329-004-O018-63", []codes.Change{
			{Kind: codes.Letter, At: 9, Read: 'O', Is: '0'},
			{Kind: codes.Wrong, At: 12, Read: '8', Is: '7'},
		}},
		{"2I329-004-0017-63", []codes.Change{{Kind: codes.Wrong, At: 2, Read: 'I', Is: '6'}}},
		{"26392-004-0017-63", []codes.Change{{Kind: codes.Exchanged, At: 4, Other: 5}}},
		{"26329-004-007-63", []codes.Change{{Kind: codes.Dropped, At: 11, Is: '1'}}},
		{"26329-004-0O017-63", []codes.Change{
			{Kind: codes.Doubled, At: 8, Read: '0'},
			{Kind: codes.Letter, At: 9, Read: 'O', Is: '0'},
		}},
	} {
		t.Run(test.read, func(t *testing.T) {
			for candidate := range codes.Repair(test.read) {
				if candidate.Code.String() == "26329-004-0017-63" {
					require.Equal(t, test.want, candidate.Changes)
					return
				}
			}
			require.Fail(t, "the code did not come")
		})
	}
}

// The limits of unknown digits and faults: with the highest number of faults
// that is tried, something comes, and nothing of more.
func TestRepairLimits(t *testing.T) {
	for _, test := range []struct {
		read   string
		most   int
		tried  string
		reason string
	}{
		{"26329-004-0017-63", 0, "the code was taken as it was read, since its check digits match", "a code that fits"},
		{"26329-004-0017-64", 2, "up to two digits were taken as wrong, swapped, missing or extra", "no unknown digit"},
		{"26329-0?4-0017-64", 2, "1 digit was filled in, and up to two digits were taken as wrong, swapped, missing or extra", "one"},
		{"26329-0?4-0O?7-64", 1, "2 digits were filled in, letters were read as digits, and one digit was taken as wrong, or two as swapped", "two, and a letter"},
		{"26329-0?4-0??7-64", 1, "3 digits were filled in, and one digit was taken as wrong, or two as swapped", "three"},
		{"26329-0?4-???7-64", 0, "4 digits were filled in", "four"},
		{"26329-0?4-??b7-O4", 0, "4 digits were filled in, and letters were read as digits", "three, and a letter like two digits"},
		{"26329-004-017-63", 2, "one digit was taken as missing, alone or with one other wrong or two swapped", "13 digits"},
		{"26329-???-017-63", 1, "3 digits were filled in, and one digit was taken as missing", "13 digits, three unknown"},
		{"26329-004-00017-63", 2, "one digit was taken as extra, alone or with one other wrong or two swapped", "15 digits"},
		{"2?329-0?4-00?17-63", 1, "3 digits were filled in, and one digit was taken as extra", "15 digits, three unknown"},
		{"6329-004-017-63", 2, "two digits were taken as missing", "12 digits"},
		{"226329-004-00017-63", 2, "two digits were taken as extra", "16 digits"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			most := -1
			for candidate := range codes.Repair(test.read) {
				most = max(most, candidate.Faults)
			}
			require.Equal(t, test.most, most)
			tried, err := codes.Tried(test.read)
			require.NoError(t, err)
			require.Equal(t, test.tried, tried)
		})
	}
}

// Repair can be left at any candidate, and be asked again.
func TestRepairStops(t *testing.T) {
	all := slices.Collect(codes.Repair("26329-0?4-0017-64"))
	repaired := codes.Repair("26329-0?4-0017-64")
	for stop := range 3 {
		var some []codes.Candidate
		for candidate := range repaired {
			some = append(some, candidate)
			if len(some) > stop {
				break
			}
		}
		require.Equal(t, all[:stop+1], some)
	}
}
