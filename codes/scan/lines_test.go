package scan

import (
	"bytes"
	"errors"
	"io"
	"strings"
	"testing"
	"testing/iotest"
	"time"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
)

// linesOf collects lines; a line with an error comes as the error's text.
func linesOf(r io.Reader) []string {
	var lines []string
	for line, err := range Lines(r) {
		if err != nil {
			line += "!" + err.Error()
		}
		lines = append(lines, line)
	}
	return lines
}

func TestLines(t *testing.T) {
	full := strings.Repeat("7", MaxLine)
	for _, test := range []struct {
		in     string
		want   []string
		reason string
	}{
		{"", nil, "nothing"},
		{"26329\n26330\n", []string{"26329", "26330"}, "LF"},
		{"26329\r26330\r", []string{"26329", "26330"}, "CR"},
		{"26329\r\n26330\r\n", []string{"26329", "26330"}, "CRLF is one end"},
		{"26329\n\r26330", []string{"26329", "", "26330"}, "LFCR is two"},
		{"26329\r\r\n\n", []string{"26329", "", ""}, "a LF belongs to the CR right before it alone"},
		{"26329", []string{"26329"}, "the last line needs no end"},
		{"\n\n", []string{"", ""}, "empty lines"},
		{"\r\n", []string{""}, "an empty line"},
		{"\ufeff26329\n\ufeff26330", []string{"26329", "\ufeff26330"}, "a byte order mark at the start"},
		{" 26329\t\n", []string{" 26329\t"}, "spaces are left to the reader of the line"},
		{"Élan ×\n", []string{"Élan ×"}, "letters beyond ASCII"},
		{"\x1d26329\x00\n", []string{"\x1d26329\x00"}, "control characters"},
		{full + "\n26330", []string{full, "26330"}, "the longest line"},
		{full + "7\n26330", []string{"!line 1: line too long: more than 4096 bytes", "26330"}, "one byte longer"},
		{"26329\r" + strings.Repeat(full, 40), []string{"26329", "!line 2: line too long: more than 4096 bytes"}, "a long line at the end"},
		{"2632\xff\n26330\n\xc3", []string{"!line 1: line is not UTF-8 text", "26330", "!line 3: line is not UTF-8 text"}, "broken UTF-8 is passed over"},
	} {
		require.Equal(t, test.want, linesOf(strings.NewReader(test.in)), test.reason)
		require.Equal(t, test.want, linesOf(iotest.OneByteReader(strings.NewReader(test.in))), "byte by byte: %s", test.reason)
		require.Equal(t, test.want, linesOf(iotest.DataErrReader(strings.NewReader(test.in))), "end with the data: %s", test.reason)
	}
	for _, err := range Lines(strings.NewReader(full + "7\n")) {
		require.ErrorIs(t, err, ErrLineTooLong)
	}
	for _, err := range Lines(strings.NewReader("\xff\n")) {
		require.ErrorIs(t, err, ErrLineText)
	}
}

func TestLinesOfAFailingReader(t *testing.T) {
	unplugged := errors.New("the scanner was unplugged")
	var lines []string
	var last error
	for line, err := range Lines(io.MultiReader(strings.NewReader("26329\n263"), iotest.ErrReader(unplugged))) {
		lines, last = append(lines, line), err
	}
	require.Equal(t, []string{"26329", "263", ""}, lines, "what had come is given before the error")
	require.ErrorIs(t, last, unplugged)

	lines = nil
	for _, err := range Lines(never{}) {
		lines, last = append(lines, ""), err
	}
	require.Len(t, lines, 1)
	require.ErrorIs(t, last, io.ErrNoProgress)

	for line := range Lines(strings.NewReader("26329\n26330\n")) {
		require.Equal(t, "26329", line, "no more lines after the loop is left")
		break
	}
}

// never reads nothing, without an end.
type never struct{}

func (never) Read([]byte) (int, error) { return 0, nil }

// TestLinesWaitForNothing writes an end of line and no more: the line must come
// before anything else is written.
func TestLinesWaitForNothing(t *testing.T) {
	for _, end := range []string{"\n", "\r", "\r\n"} {
		in, out := io.Pipe()
		lines := make(chan string)
		go func() {
			defer close(lines)
			for line := range Lines(in) {
				lines <- line
			}
		}()
		for _, text := range []string{"26329", "26330"} {
			_, err := out.Write([]byte(text + end))
			require.NoError(t, err)
			select {
			case line := <-lines:
				require.Equal(t, text, line)
			case <-time.After(10 * time.Second):
				t.Fatalf("no line after %q", end)
			}
		}
		require.NoError(t, out.Close())
		_, open := <-lines
		require.False(t, open, "no line after the last")
	}
}

func FuzzLines(f *testing.F) {
	for _, seed := range []string{"", "26329-004-0017-42\r\n", "a\rb\n\nc", "\xff\r\xfe\n", "\ufeff1\n", strings.Repeat("x", MaxLine+1) + "\ny"} {
		f.Add([]byte(seed), uint8(3))
	}
	f.Fuzz(func(t *testing.T, in []byte, chunk uint8) {
		// The lines must not depend on how the bytes arrive, and must be those
		// of the plain rule: cut at CRLF, CR or LF.
		plain := strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(string(in))
		var want []string
		if plain != "" {
			want = strings.Split(strings.TrimSuffix(plain, "\n"), "\n")
		}
		n := 0
		for line, err := range Lines(&chunks{bytes.NewReader(in), int(chunk)%97 + 1}) {
			require.Less(t, n, len(want))
			expected := want[n]
			n++
			switch {
			case len(expected) > MaxLine:
				require.ErrorIs(t, err, ErrLineTooLong)
			case n == 1 && strings.HasPrefix(expected, "\ufeff"):
				require.Equal(t, err == nil, utf8.ValidString(expected))
			case !utf8.ValidString(expected):
				require.ErrorIs(t, err, ErrLineText)
			default:
				require.NoError(t, err)
				require.Equal(t, expected, line)
			}
		}
		require.Equal(t, len(want), n)
	})
}

// chunks reads a few bytes at a time.
type chunks struct {
	io.Reader
	size int
}

func (c *chunks) Read(p []byte) (int, error) { return c.Reader.Read(p[:min(len(p), c.size)]) }
