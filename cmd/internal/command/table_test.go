package command

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no room is left") }

func TestTable(t *testing.T) {
	var out strings.Builder
	require.NoError(t, Table(&out, []string{"DUE", "PAIR", "CODES"}, [][]string{
		{"2026-12-16", "‘Zlatý Kaktus’ / ‘Tenký Dub’", "1"},
		{"today", "‘Tin Moon’ / ‘Low Sorrel’", "12"},
	}))
	require.Equal(t, "DUE         PAIR                          CODES\n"+
		"2026-12-16  ‘Zlatý Kaktus’ / ‘Tenký Dub’  1\n"+
		"today       ‘Tin Moon’ / ‘Low Sorrel’     12\n", out.String(), "letters are counted, not bytes, and no line ends with spaces")
	require.EqualError(t, Table(full{}, []string{"DUE"}, nil), "no room is left")
}
