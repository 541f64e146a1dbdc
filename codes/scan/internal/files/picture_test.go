package files

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestIsPDF(t *testing.T) {
	require.True(t, IsPDF([]byte("%PDF-1.4\n")))
	require.True(t, IsPDF([]byte("\xef\xbb\xbf\n%PDF-2.0")), "bytes before the mark")
	require.False(t, IsPDF([]byte("%PDF")))
	require.False(t, IsPDF(nil))
	require.False(t, IsPDF(append(make([]byte, 1024), "%PDF-1.4"...)), "too far in")
}
