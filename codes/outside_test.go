package codes_test

import (
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/testdata/outside"
)

// python3-stdnum has an implementation of ISO/IEC 7064 MOD 97-10 that we did
// not write: it must find the same check digits for our codes, and must accept
// and refuse the same numbers.
func TestStdnumAgrees(t *testing.T) {
	const script = `
import sys
from stdnum.iso7064 import mod_97_10
for line in sys.stdin:
    number = line.strip()
    wrong = number[:-1] + str((int(number[-1]) + 1) % 10)
    print(mod_97_10.calc_check_digits(number[:-2]), mod_97_10.is_valid(number), mod_97_10.is_valid(wrong))
`
	python := outside.Python(t, "stdnum")
	made := randomCodes(t, 10_000, 4)
	var input strings.Builder
	for _, code := range made {
		input.WriteString(code.Compact() + "\n")
	}
	command := exec.Command(python, "-c", script)
	command.Stdin = strings.NewReader(input.String())
	output, err := command.Output()
	require.NoError(t, err)

	lines := strings.Split(strings.TrimSpace(string(output)), "\n")
	require.Len(t, lines, len(made))
	disagreed := 0
	for i, code := range made {
		digits := code.Compact()
		require.True(t, codes.Valid(digits))
		if lines[i] != digits[12:]+" True False" {
			disagreed++
			t.Errorf("%s: stdnum says %s", digits, lines[i])
		}
	}
	t.Logf("python3-stdnum: tested %d, disagreed %d", len(made), disagreed)
}
