package labels

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/symbol"
)

func TestParseLink(t *testing.T) {
	for _, test := range []struct{ reason, text, want string }{
		{"an address in the house", "http://192.168.1.20:8080", "HTTP://192.168.1.20:8080"},
		{"a bar at the end", "http://192.168.1.20:8080/", "HTTP://192.168.1.20:8080"},
		{"a path", "https://weathercock.example/slips/", "HTTPS://WEATHERCOCK.EXAMPLE/SLIPS"},
		{"capitals", "HTTPS://Weathercock.Example", "HTTPS://WEATHERCOCK.EXAMPLE"},
		{"spaces around it", " http://bench.local ", "HTTP://BENCH.LOCAL"},
		{"the highest port", "http://bench:65535", "HTTP://BENCH:65535"},
		{"the longest", "http://bench/" + strings.Repeat("a", LongestLink-13), "HTTP://BENCH/" + strings.Repeat("A", LongestLink-13)},
	} {
		t.Run(test.reason, func(t *testing.T) {
			link, err := ParseLink(test.text)
			require.NoError(t, err)
			require.Equal(t, test.want, link)
		})
	}
}

func TestParseLinkRefuses(t *testing.T) {
	const characters = "letters A to Z, digits and $%*+-./:"
	for _, test := range []struct{ reason, text, says string }{
		{"nothing", "", "it does not begin with http:// or https://"},
		{"no scheme", "bench.local/slips", "it does not begin with http:// or https://"},
		{"a port taken for a scheme", "bench:8080", "it does not begin with http:// or https://"},
		{"another scheme", "ftp://bench.local", "it does not begin with http:// or https://"},
		{"no host", "http://", "it has no host name"},
		{"a path alone", "http:/slips", "it has no host name"},
		{"a port alone", "http://:8080", "it has no host name"},
		{"an empty port", "http://bench:", "its port is not a number from 1 to 65535"},
		{"a port too high", "http://bench:65536", "its port is not a number from 1 to 65535"},
		{"port 0", "http://bench:0", "its port is not a number from 1 to 65535"},
		{"a port in letters", "http://bench:http", "it is not a web address"},
		{"a query", "http://bench/?code=", "the character '?' is not allowed, only " + characters},
		{"a fragment", "http://bench/#code", "the character '#'"},
		{"a user", "http://iv@bench", "the character '@'"},
		{"an underline", "http://my_bench", "the character '_'"},
		{"a tilde", "http://bench/~iv", "the character '~'"},
		{"a space", "http://bench/my slips", "the character ' '"},
		{"an accent", "http://bänk", "the character 'ä'"},
		{"a letter that is an S as a capital", "http://ſlips", "the character 'ſ'"},
		{"a letter that is an I as a capital", "http://slıps", "the character 'ı'"},
		{"a broken escape", "http://bench/%zz", "it is not a web address"},
		{"other bytes than UTF-8", "http://bench\xff", "the character '\ufffd'"},
		{"too long", "http://bench/" + strings.Repeat("a", LongestLink-12), "it is longer than 200 characters"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			_, err := ParseLink(test.text)
			var fault *Error
			require.ErrorAs(t, err, &fault)
			require.ErrorContains(t, err, test.says)
			require.NotEmpty(t, fault.Hint())
		})
	}
}

// FuzzParseLink: an address reads as itself once more, and QR packs it as
// letters and digits, three bytes in the room of two.
func FuzzParseLink(f *testing.F) {
	for _, seed := range []string{"http://192.168.1.20:8080", "https://bench.local/slips/", "http://b//", "HTTP://B/%41%c3", "http://:1", "https:b", "http://b/$*+-.:", "http://[::1]/", "http://b:1:2"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		link, err := ParseLink(text)
		if err != nil {
			require.ErrorAs(t, err, new(*Error))
			return
		}
		again, err := ParseLink(link)
		require.NoError(t, err)
		require.Equal(t, link, again)
		require.True(t, strings.HasPrefix(link, "HTTP"))
		require.False(t, strings.HasSuffix(link, "/"))
		modules, err := symbol.Encode(symbol.QR, link)
		require.NoError(t, err)
		plain, err := symbol.Encode(symbol.QR, strings.Repeat("A", len(link)))
		require.NoError(t, err)
		require.Equal(t, plain.Width(), modules.Width())
	})
}
