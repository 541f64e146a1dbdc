package pdf

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// small is a PDF as the library writes it: its objects stand in another order
// than their numbers have, and one of its streams is compressed already.
func small(t *testing.T) []byte {
	t.Helper()
	var b bytes.Buffer
	places := map[int]int{}
	b.WriteString("%PDF-1.3\n")
	add := func(number int, body string) {
		places[number] = b.Len()
		fmt.Fprintf(&b, "%d 0 obj\n%s\nendobj\n", number, body)
	}
	page := strings.Repeat("0 0 1 1 re ", 50)
	add(3, "<</Type /Page\n/Contents 4 0 R>>")
	add(4, fmt.Sprintf("<</Length %d>>\nstream\n%s\nendstream", len(page), page))
	add(1, "<</Type /Pages\n/Kids [3 0 R ]>>")
	add(2, "<</Filter /FlateDecode /Length 3>>\nstream\nabc\nendstream")
	add(5, "<<\n/Type /Catalog\n/Pages 1 0 R\n>>")
	table := b.Len()
	b.WriteString("xref\n0 6\n0000000000 65535 f \n")
	for n := 1; n <= 5; n++ {
		fmt.Fprintf(&b, "%010d 00000 n \n", places[n])
	}
	fmt.Fprintf(&b, "trailer\n<<\n/Size 6\n/Root 5 0 R\n>>\nstartxref\n%d\n%%%%EOF\n", table)
	return b.Bytes()
}

func TestFinish(t *testing.T) {
	var out bytes.Buffer
	require.NoError(t, finish(&out, small(t), "en"))
	objects, trailer, err := objectsOf(out.Bytes())
	require.NoError(t, err)
	require.Equal(t, "trailer\n<<\n/Size 6\n/Root 5 0 R\n>>\n", string(trailer))
	require.Len(t, objects, 5)
	bodies := map[int]string{}
	for _, o := range objects {
		require.True(t, bytes.HasPrefix(o.body, fmt.Appendf(nil, "%d 0 obj\n", o.number)), "the table leads to object %d", o.number)
		bodies[o.number] = string(o.body)
	}
	require.Contains(t, bodies[5], "/Type /Catalog\n/Lang (en)\n/Pages")
	require.Equal(t, "2 0 obj\n<</Filter /FlateDecode /Length 3>>\nstream\nabc\nendstream\nendobj\n", bodies[2], "what is compressed stays")
	_, stream, _ := strings.Cut(bodies[4], "stream\n")
	content, err := zlib.NewReader(strings.NewReader(stream))
	require.NoError(t, err)
	page, err := io.ReadAll(content)
	require.NoError(t, err)
	require.Equal(t, strings.Repeat("0 0 1 1 re ", 50), string(page))
	require.Less(t, len(bodies[4]), 200)
}

// TestFinishRefuses what the library does not write: rather no file than one
// that is not whole.
func TestFinishRefuses(t *testing.T) {
	whole := string(small(t))
	for _, row := range []struct{ reason, pdf string }{
		{"nothing", ""},
		{"the end is missing", whole[:len(whole)-20]},
		{"the table is elsewhere", strings.Replace(whole, "startxref\n", "startxref\n9", 1)},
		{"no table", strings.Replace(whole, "xref\n0 6", "yref\n0 6", 1)},
		{"the table is too short", strings.Replace(whole, "0 6\n", "0 9000\n", 1)},
		{"an object behind the table", strings.Replace(whole, "\n0000000009 ", "\n0000099999 ", 1)},
		{"no catalogue", strings.Replace(whole, "/Catalog", "/Catalox", 1)},
	} {
		t.Run(row.reason, func(t *testing.T) {
			require.NotEqual(t, whole, row.pdf)
			var out bytes.Buffer
			require.ErrorIs(t, finish(&out, []byte(row.pdf), "en"), errUnfinished)
			require.Empty(t, out.Bytes())
		})
	}
}
