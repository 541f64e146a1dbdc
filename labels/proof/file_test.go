package proof_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/labels"
	"graftslip/records"
)

// TestPagesAreCounted: progress comes page by page and knows the end, and a
// proof that is stopped between two pages has an end.
func TestPagesAreCounted(t *testing.T) {
	r := renderer(t)
	s := newSession(t, "card-3x5in", 203)
	file := s.write(t, s.slips(t))
	var seen []string
	count := func(done, pages int) { seen = append(seen, fmt.Sprintf("%d of %d", done, pages)) }
	_, err := s.check().File(context.Background(), r, file, count)
	require.NoError(t, err)
	require.Equal(t, []string{"1 of 4", "2 of 4", "3 of 4", "4 of 4"}, seen)

	seen = nil
	gone := errors.New("the person has gone")
	ctx, stop := context.WithCancelCause(context.Background())
	_, err = s.check().File(ctx, r, file, func(done, pages int) {
		count(done, pages)
		stop(gone)
	})
	require.ErrorIs(t, err, gone)
	require.Equal(t, []string{"1 of 4"}, seen)
}

// TestFilesRefused: files of which nothing can be said.
func TestFilesRefused(t *testing.T) {
	r := renderer(t)
	s := newSession(t, "letter-2x10", 203)
	good := s.write(t, s.slips(t))
	unknown := errors.New("the ledger is on fire")
	stopped, stop := context.WithCancelCause(context.Background())
	gone := errors.New("the person has gone")
	stop(gone)
	for _, test := range []struct {
		reason string
		ctx    context.Context
		file   []byte
		find   func(codes.Code) (records.Record, bool, error)
		says   string
		is     error
	}{
		{"a file that tells nothing about itself", nil, bytes.ReplaceAll(good, []byte("/Keywords"), []byte("/Hardware")), nil, "not written by this version", nil},
		{"keywords of another program", nil, bytes.Replace(good, []byte("stock="), []byte("shelf="), 1), nil, "not written by this version", nil},
		{"a page that is for no label stock", nil, bytes.Replace(good, []byte("stock=letter-2x10"), []byte("stock=ruler-2x10x"), 1), nil, "no labels or cards were found", nil},
		{"a file that does not tell how many slips it has", nil, bytes.Replace(good, []byte("slips="), []byte("strips="), 1), nil, "not written by this version", nil},
		{"print without symbol or code", nil, s.write(t, []labels.Design{{Lines: []labels.Line{{FromX: 10, FromY: 5, ToX: 40, ToY: 5, Thickness: 0.5}}}}), nil, "no labels or cards were found", nil},
		{"no PDF", nil, []byte("26329-001-0001-95"), nil, "not a PDF", scan.ErrUnsupported},
		{"a PDF cut short", nil, good[:len(good)/3], nil, "damaged", scan.ErrBroken},
		{"records that cannot be read", nil, good, func(codes.Code) (records.Record, bool, error) { return records.Record{}, false, unknown }, "on fire", unknown},
		{"a proof that is stopped", stopped, good, nil, "gone", gone},
	} {
		c := s.check()
		if test.find != nil {
			c.Find = test.find
		}
		ctx := test.ctx
		if ctx == nil {
			ctx = context.Background()
		}
		_, err := c.File(ctx, r, test.file, nil)
		require.ErrorContains(t, err, test.says, test.reason)
		if test.is != nil {
			require.ErrorIs(t, err, test.is, test.reason)
		}
	}
	// A page that is larger than its label stock says is named once. That of the
	// stock would be drawn at 1200 dots an inch.
	large := bytes.Replace(good, []byte("stock=letter-2x10 dpi=203"), []byte("stock=card-140x80 dpi=2400"), 1)
	_, err := s.check().File(context.Background(), r, large, nil)
	require.ErrorIs(t, err, scan.ErrTooLarge)
	require.EqualError(t, err, "page 1 of the PDF would be 10200 × 13200 pixels")
	var hinted interface{ Hint() string }
	for _, test := range []struct{ replaced, by, hint string }{
		{"/Keywords", "/Hardware", "print it again"}, {" slips=4", "", "print it again"}, {"stock=letter-2x10", "stock=ruler-2x10x", "name a PDF that graftslip print wrote"},
	} {
		_, err := s.check().File(context.Background(), r, bytes.ReplaceAll(good, []byte(test.replaced), []byte(test.by)), nil)
		require.ErrorAs(t, err, &hinted)
		require.Equal(t, test.hint, hinted.Hint())
	}
}
