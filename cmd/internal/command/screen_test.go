package command

import (
	"bytes"
	"encoding/json"
	"io"
	"strings"
	"testing"
	"testing/iotest"
	"unicode"

	"github.com/stretchr/testify/require"
)

func TestScreen(t *testing.T) {
	for _, test := range []struct{ reason, text, want string }{
		{"letters of any language, signs and line ends are as they are", "Märzgrün × 月\t½\n2\r\n", "Märzgrün × 月\t½\n2\r\n"},
		{"escape sequences would clear the screen", "a\x1b[2Jb", `a\u001b[2Jb`},
		{"a bell, a backspace and a delete", "\a\b\x7f", `\u0007\u0008\u007f`},
		{"a carriage return alone would write over the line", "error\rfine", `error\u000dfine`},
		{"control characters of eight bits, in UTF-8", "a\u009b2Jb", `a\u009b2Jb`},
		{"and as a byte of a file name", "a\x9b2Jb", `a\x9b2Jb`},
		{"a direction turned round hides how a name ends", "plan\u202evsc.exe", `plan\u202evsc.exe`},
		{"isolates do so too", "a\u2066b\u2069", `a\u2066b\u2069`},
	} {
		t.Run(test.reason, func(t *testing.T) {
			for _, whole := range []bool{true, false} {
				var out bytes.Buffer
				shown := &screen{out: &out}
				var parts io.Reader = strings.NewReader(test.text + "\n")
				if !whole { // a character or line end may come in parts
					parts = iotest.OneByteReader(parts)
				}
				_, err := io.Copy(struct{ io.Writer }{shown}, struct{ io.Reader }{parts})
				require.NoError(t, err)
				require.Equal(t, test.want+"\n", out.String())
			}
		})
	}
}

// JSON holds the same after it was shown.
func FuzzScreen(f *testing.F) {
	f.Add("a\x1b[2J\u009b\u202e\x7f\"\\ü")
	f.Fuzz(func(t *testing.T, text string) {
		var out bytes.Buffer
		shown := &screen{out: &out}
		require.NoError(t, json.NewEncoder(shown).Encode(text))
		for _, r := range out.String() {
			require.True(t, r == '\n' || !unicode.IsControl(r) && !unicode.Is(unicode.Bidi_Control, r), "%U", r)
		}
		plain, err := json.Marshal(text)
		require.NoError(t, err)
		var want, got string
		require.NoError(t, json.Unmarshal(plain, &want))
		require.NoError(t, json.Unmarshal(out.Bytes(), &got))
		require.Equal(t, want, got)
	})
}
