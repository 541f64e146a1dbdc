package pdf_test

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/labels"
	"graftslip/labels/pdf"
)

func TestHeld(t *testing.T) {
	face, err := labels.BuiltIn()
	require.NoError(t, err)
	var batches []codes.Code
	for number := 1; number <= codes.MaxBatch; number++ {
		batch, err := codes.New(time.Date(2026, 11, 25, 0, 0, 0, 0, time.UTC), number)
		require.NoError(t, err)
		batches = append(batches, batch)
	}
	written := func(held []codes.Code) string {
		var content bytes.Buffer
		_, err := pdf.Write(&content, pdf.Document{Title: "Of /Keywords (none)", Language: "en", Face: face,
			Setup: labels.Setup{Stock: lookup(t, "a4-2x7"), DPI: 300, Batches: held}}, each([]labels.Design{{}}))
		require.NoError(t, err)
		return content.String()
	}
	for _, test := range []struct {
		reason, content string
		held            []codes.Code
	}{
		{"a day's batches", written(batches), batches},
		{"one batch", written(batches[:1]), batches[:1]},
		{"no batches, as earlier versions have it", written(nil), nil},
		{"somebody else's", "%PDF-1.4\n<< /Keywords (labels, nice) >>", nil},
		{"no keywords", strings.Replace(written(batches[:1]), "/Keywords", "/Keyword", 1), nil},
		{"an empty file", "", nil},
	} {
		t.Run(test.reason, func(t *testing.T) {
			setup, is, err := pdf.Held(strings.NewReader(test.content), int64(len(test.content)))
			require.NoError(t, err)
			require.Equal(t, test.held != nil, is)
			if is {
				require.Equal(t, test.held, setup.Batches)
			}
		})
	}
}
