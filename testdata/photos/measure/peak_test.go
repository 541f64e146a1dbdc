package main

import (
	"context"
	"io"
	"os"
	"testing"

	"github.com/stretchr/testify/require"
)

// The program calls itself to measure memory, so the test program has to answer.
func TestMain(m *testing.M) {
	if len(os.Args) > 1 && os.Args[1] == tellPeak {
		if err := run(context.Background(), os.Args[1:], os.Stdout, os.Stderr); err != nil {
			io.WriteString(os.Stderr, err.Error())
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

func TestPeak(t *testing.T) {
	held := make([]byte, 200<<20)
	for i := 0; i < len(held); i += 4096 {
		held[i] = 1
	}
	peak, err := peakOf(context.Background(), "sh", "-c", "exit 1")
	require.NoError(t, err, "1 says that there was no answer")
	require.Greater(t, peak, int64(500_000), "bytes, not kilobytes")
	require.Less(t, peak, int64(len(held)/2), "what this process holds is not counted")
	require.Equal(t, byte(1), held[4096])

	more, err := peakOf(context.Background(), "sh", "-c", "x=$(head -c 60000000 /dev/zero | tr '\\0' a); exit 0")
	require.NoError(t, err)
	require.Greater(t, more, peak+30_000_000)

	for _, test := range []struct {
		reason  string
		command []string
		want    string
	}{
		{"a wrong call says nothing about memory", []string{"sh", "-c", "echo what; echo no >&2; exit 2"}, "exit status 2\nno"},
		{"no such program", []string{"no-such-program"}, "not found"},
		{"no command", nil, "name a command"},
	} {
		_, err := peakOf(context.Background(), test.command...)
		require.ErrorContains(t, err, test.want, test.reason)
	}
}
