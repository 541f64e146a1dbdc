package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image"
	"io"
	"iter"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes/scan"
	"graftslip/records"
	"graftslip/records/ledger"
)

// seenFiles reads from every file what it was told, and then waits for the end
// of the context if it is to.
type seenFiles struct {
	views []scan.View
	waits bool
}

func (s seenFiles) File(ctx context.Context, _ io.Reader, _ func(string) bool) iter.Seq2[scan.View, error] {
	return func(yield func(scan.View, error) bool) {
		for _, view := range s.views {
			var err error
			if s.waits {
				<-ctx.Done()
				err = context.Cause(ctx)
			}
			if !yield(view, err) {
				return
			}
		}
	}
}

func (s seenFiles) Close() error { return nil }

// bench is a ledger with a batch of three stems, and a picture's file.
type bench struct {
	folder, book, picture string
}

func newBench(t *testing.T) bench {
	t.Helper()
	b := bench{folder: t.TempDir()}
	b.book, b.picture = filepath.Join(b.folder, "book.db"), filepath.Join(b.folder, "tray.jpg")
	l, err := ledger.Open(t.Context(), b.book)
	require.NoError(t, err)
	drafts := []records.Draft{{Date: time.Date(2026, 11, 26, 0, 0, 0, 0, time.UTC), Variety: "Paper Lighthouse", Stock: "Anchor", Grafts: 3}}
	_, err = l.Issue(t.Context(), drafts, nil)
	require.NoError(t, err)
	require.NoError(t, l.Close())
	require.NoError(t, os.WriteFile(b.picture, nil, 0o666)) // what is read off it is said beforehand
	return b
}

// run runs the program with what is read off files.
func (b bench) run(ctx context.Context, read files, args ...string) (status int, stdout, stderr string) {
	var out, errs bytes.Buffer
	p := program{
		now:  func() time.Time { return time.Date(2026, 12, 7, 12, 0, 0, 0, time.UTC) },
		open: func(context.Context) (files, error) { return read, nil },
	}
	status = p.run(ctx, append(args, "--ledger", b.book), strings.NewReader(""), &out, &errs)
	return status, out.String(), strings.ReplaceAll(errs.String(), b.folder+string(filepath.Separator), "")
}

func square(left, top, side float64) scan.Sight {
	return scan.Sight{
		Place: image.Rect(int(left), int(top), int(left+side), int(top+side)), Module: side / 21,
		Corners: [4]scan.Point{{X: left, Y: top}, {X: left + side, Y: top}, {X: left + side, Y: top + side}, {X: left, Y: top + side}}}
}

// lookedAt is a picture with two codes that were read and three that were not.
func lookedAt(page int) scan.View {
	return scan.View{Page: page, Picture: image.NewGray(image.Rect(0, 0, 600, 600)), Reading: scan.Reading{
		Found: []scan.Found{
			{Text: "26330001000161", Symbol: scan.QR, Sight: square(100.04, 50.25, 84)},
			{Text: "26330001000258", Symbol: scan.DataMatrix, Sight: square(300, 50, 84)}},
		Missed: []scan.Missed{
			{Symbol: scan.QR, Reason: scan.TooSmall, Sight: square(40, 40, 29.4)},
			{Symbol: scan.Code128, Reason: scan.Blurred, Sight: square(250, 250, 84)},
			{Symbol: scan.QR, Reason: scan.Blurred, Sight: square(500, 500, 84)}}}}
}

// What was seen and not read is told with its place, after what was read, and
// equal advice once.
func TestMissed(t *testing.T) {
	b := newBench(t)
	missed := `error: tray.jpg: a QR code at the upper left is too small to read: 1.4 pixels per module
error: tray.jpg: a bar code in the middle is blurred
error: tray.jpg: a QR code at the lower right is blurred
hint: take the picture from closer up
hint: hold still, add light, and let the camera focus on the code
`
	status, stdout, stderr := b.run(t.Context(), seenFiles{views: []scan.View{lookedAt(0)}}, b.picture)
	require.Equal(t, 1, status)
	require.Equal(t, `26330-001-0001-61  ‘Paper Lighthouse’ / ‘Anchor’  stem 1 of 3, tray 1 of 1  grafted 2026-11-26, 11 days ago
26330-001-0002-58  ‘Paper Lighthouse’ / ‘Anchor’  stem 2 of 3, tray 1 of 1  grafted 2026-11-26, 11 days ago
`, stdout)
	require.Equal(t, missed, stderr)

	nothing := lookedAt(0)
	nothing.Found = nil
	status, stdout, stderr = b.run(t.Context(), seenFiles{views: []scan.View{nothing}}, b.picture)
	require.Equal(t, 1, status)
	require.Empty(t, stdout)
	require.Equal(t, missed, stderr, "a picture of which nothing was read is not one without a code")

	status, _, stderr = b.run(t.Context(), seenFiles{views: []scan.View{{Page: 1, Picture: image.NewGray(image.Rect(0, 0, 60, 60))}, lookedAt(2)}}, b.picture)
	require.Equal(t, 1, status)
	require.Equal(t, strings.ReplaceAll(missed, "tray.jpg", "tray.jpg, page 2"), stderr)

	card := scan.View{Picture: image.NewGray(image.Rect(0, 0, 600, 600)), Reading: scan.Reading{
		Found:  []scan.Found{{Text: "26330-001-9001-27 Paper Lighthouse / Anchor; 3 grafts; tray 1 of 1: stems 1-3", Symbol: scan.QR, Sight: square(100, 100, 84)}},
		Missed: lookedAt(0).Missed}}
	status, stdout, stderr = b.run(t.Context(), seenFiles{views: []scan.View{card}}, "import", "--until", "2026-11-26", b.picture)
	require.Equal(t, 1, status)
	require.Contains(t, stdout, "cards read: 1, batches: 1 (new 0, known 1, extended 0)")
	require.True(t, strings.HasPrefix(stderr, missed), stderr)
}

// Objects say where a symbol is; those of codes that were typed do not.
func TestPlacesAsJSON(t *testing.T) {
	b := newBench(t)
	unknown := scan.Found{Text: "26330-001-0017-13", Symbol: scan.Code128}
	view := lookedAt(3)
	view.Found = append(view.Found, unknown)
	status, stdout, stderr := b.run(t.Context(), seenFiles{views: []scan.View{view}}, "--json", b.picture, "26330001000161")
	require.Equal(t, 1, status)
	require.Empty(t, stderr)
	var objects []map[string]any
	for line := range strings.Lines(stdout) {
		var object map[string]any
		require.NoError(t, json.Unmarshal([]byte(line), &object))
		objects = append(objects, object)
	}
	require.Len(t, objects, 7)
	for i, test := range []struct {
		want   map[string]any
		reason string
	}{
		{map[string]any{"code": "26330-001-0001-61", "symbol": "qr", "module": 4.0, "page": 3.0, "corners": corners(100, 50.3, 184, 134.3)}, "one decimal"},
		{map[string]any{"code": "26330-001-0002-58", "symbol": "datamatrix", "module": 4.0, "page": 3.0, "corners": corners(300, 50, 384, 134)}, "whole pixels"},
		{map[string]any{"fault": "not-in-ledger", "symbol": "code128", "module": nil, "page": 3.0, "corners": corners(0, 0, 0, 0)}, "a fault is seen somewhere, too"},
		{map[string]any{"fault": "missed", "reason": "too-small", "symbol": "qr", "module": 1.4, "corners": corners(40, 40, 69.4, 69.4), "code": nil, "read": nil,
			"message": b.picture + ", page 3: a QR code at the upper left is too small to read: 1.4 pixels per module"}, "missed"},
		{map[string]any{"fault": "missed", "reason": "blurred", "symbol": "code128", "page": 3.0}, "missed, another"},
		{map[string]any{"fault": "missed", "reason": "blurred", "symbol": "qr", "page": 3.0}, "missed, the last"},
		{map[string]any{"code": "26330-001-0001-61", "symbol": nil, "corners": nil, "module": nil, "page": nil}, "typed"},
	} {
		for key, value := range test.want {
			require.Equal(t, value, objects[i][key], "%s: %s", test.reason, key)
		}
	}
}

// corners are those of a box, as an object holds them.
func corners(left, top, right, bottom float64) []any {
	at := func(x, y float64) any { return []any{x, y} }
	return []any{at(left, top), at(right, top), at(right, bottom), at(left, bottom)}
}

// A deadline ends the reading of one file; what was read of it is told, and the
// next file has its own time.
func TestDeadline(t *testing.T) {
	b := newBench(t)
	view := lookedAt(0)
	for _, test := range []struct {
		found  int
		said   string
		reason string
	}{
		{0, "no code was", "nothing"}, {1, "1 code was", "one"}, {2, "2 codes were", "several"},
	} {
		part := view
		part.Found = view.Found[:test.found]
		status, stdout, stderr := b.run(t.Context(), seenFiles{[]scan.View{part}, true}, "--deadline", "20ms", b.picture, b.picture)
		require.Equal(t, 1, status, test.reason)
		require.Equal(t, 2*test.found, strings.Count(stdout, "Paper Lighthouse"), test.reason)
		told := fmt.Sprintf("error: tray.jpg: stopped after 20ms; %s read by then, and there may be more\nhint: give it more time with --deadline, or send a smaller picture\n", test.said)
		require.Equal(t, told+told, stderr, "%s, and nothing missed, of which nobody knows", test.reason)
	}
	status, stdout, _ := b.run(t.Context(), seenFiles{[]scan.View{view}, true}, "--json", "--deadline", "20ms", b.picture)
	require.Equal(t, 1, status)
	require.Contains(t, stdout, `"fault":"deadline","message":"`+b.picture+`: stopped after 20ms; 2 codes were read by then, and there may be more"}`)

	// A picture is marked although nothing was read of it, if it could be opened.
	out := filepath.Join(b.folder, "seen.png")
	const notOpened = "hint: it has no marked picture: the time was up before it was opened\n"
	_, _, stderr := b.run(t.Context(), seenFiles{[]scan.View{{}}, true}, "--mark", out, "--deadline", "20ms", b.picture)
	require.Contains(t, stderr, notOpened)
	require.NoFileExists(t, out)
	_, _, stderr = b.run(t.Context(), seenFiles{[]scan.View{{Picture: view.Picture}}, true}, "--mark", out, "--deadline", "20ms", b.picture)
	require.NotContains(t, stderr, notOpened)
	require.FileExists(t, out)
	status, _, stderr = b.run(t.Context(), seenFiles{views: []scan.View{{Picture: view.Picture, Reading: scan.Reading{Found: view.Found}}}}, "--deadline", "1h", b.picture)
	require.Zero(t, status, stderr)
}

// The person's own interruption is no deadline: it ends everything, and no
// marked picture is left.
func TestStoppedBeforeDeadline(t *testing.T) {
	b := newBench(t)
	folder := filepath.Join(b.folder, "seen")
	require.NoError(t, os.Mkdir(folder, 0o777))
	ctx, stop := context.WithCancel(t.Context())
	time.AfterFunc(20*time.Millisecond, stop)
	status, stdout, stderr := b.run(ctx, seenFiles{[]scan.View{{Picture: lookedAt(0).Picture}}, true},
		"--deadline", "1h", "--mark", filepath.Join(folder, "out.png"), b.picture, b.picture)
	require.Equal(t, 1, status)
	require.Empty(t, stdout)
	require.Equal(t, "error: stopped before the end\n", stderr)
	left, err := os.ReadDir(folder)
	require.NoError(t, err)
	require.Empty(t, left)
}
