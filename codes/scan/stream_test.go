package scan

import (
	"context"
	"errors"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestStream(t *testing.T) {
	var lines []string
	for line, err := range Stream(t.Context(), strings.NewReader("one\ntwo\r\n\xff\nthree")) {
		if err != nil {
			require.ErrorIs(t, err, ErrLineText)
		}
		lines = append(lines, line)
	}
	require.Equal(t, []string{"one", "two", "", "three"}, lines)
}

// TestStreamEndsWithItsContext: a scanner that sends nothing does not hold a
// program up that is to end.
func TestStreamEndsWithItsContext(t *testing.T) {
	waits, scanner := io.Pipe()
	defer scanner.Close()
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	go func() { _, _ = scanner.Write([]byte("one\n")) }()
	var lines []string
	var last error
	for line, err := range Stream(ctx, waits) {
		if last = err; err == nil {
			lines = append(lines, line)
			stop()
		}
	}
	require.Equal(t, []string{"one"}, lines)
	require.True(t, errors.Is(last, context.Canceled))
}
