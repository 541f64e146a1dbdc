package mark

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/scan"
	"graftslip/codes/symbol"
)

// Marked symbols are read as before: no pixel of them is another, and the line
// round them is not taken for a part of them.
func TestStillRead(t *testing.T) {
	for _, kind := range []symbol.Kind{symbol.QR, symbol.DataMatrix, symbol.Code128} {
		for _, shot := range []struct {
			labels, module int
			degrees        float64
			reason         string
		}{
			{4, 3, 0, "small modules, where a line is as wide as one"},
			{4, 5, 0, "a page as it is printed"},
			{2, 5, 17, "a picture taken askew"},
			{1, 12, 0, "from near by"},
		} {
			t.Run(fmt.Sprintf("%v of %d, %s", kind, shot.module, shot.reason), func(t *testing.T) {
				if kind == symbol.Code128 && shot.labels > 1 {
					shot.labels = 1 // two do not stand side by side
				}
				s := newScene(t, kind, shot.labels, shot.module, shot.degrees)
				require.ElementsMatch(t, s.texts, read(t, s.picture), "before")
				dotted, err := Draw(s.picture, s.signs(NotInLedger, "not in the ledger"))
				require.NoError(t, err)
				require.ElementsMatch(t, s.texts, read(t, dotted), "after, with dots")
				marked, err := Draw(s.picture, s.signs(Read, "‘Brass Heron’ / ‘Low Weir’"))
				require.NoError(t, err)
				require.ElementsMatch(t, s.texts, read(t, marked), "after")
				for y := range marked.Rect.Dy() {
					for x := range marked.Rect.Dx() {
						for _, sight := range s.sights {
							if within(sight, x, y) {
								require.Equal(t, s.picture.RGBAAt(x, y), marked.RGBAAt(x, y), "(%d, %d)", x, y)
							}
						}
					}
				}
			})
		}
	}
}

func read(t *testing.T, picture image.Image) []string {
	t.Helper()
	founds, err := scan.Picture(t.Context(), picture, nil)
	require.NoError(t, err)
	var texts []string
	for _, found := range founds {
		texts = append(texts, found.Text)
	}
	return texts
}

// The line of a symbol that was read runs along all its sides without a gap;
// that of others has gaps, more of them where it is dotted, and angles at the corners.
func TestLines(t *testing.T) {
	for _, test := range []struct {
		kind    Kind
		drawn   float64 // share of the line, about
		degrees float64
		reason  string
	}{
		{Read, 1, 0, "read"}, {Read, 1, 30, "read, askew"},
		{NotInLedger, 0.4, 0, "not in the ledger"}, {NotInLedger, 0.4, 30, "not in the ledger, askew"},
		{Missed, 0.7, 0, "not read"}, {Missed, 0.7, 30, "not read, askew"},
	} {
		t.Run(test.reason, func(t *testing.T) {
			s := newScene(t, symbol.QR, 1, 6, test.degrees)
			marked, err := Draw(s.picture, s.signs(test.kind)[:1])
			require.NoError(t, err)
			p := newPen(marked.Bounds(), s.signs(test.kind)[0])
			line := p.middle()
			drawn, all := 0, 0
			for i, from := range line {
				to := line[(i+1)%4]
				for step := range 200 {
					at := from.far(to.sub(from), float64(step)/200)
					coloured := near(marked.RGBAAt(int(at.X), int(at.Y)), p.style.line)
					all++
					if coloured {
						drawn++
					}
					if step == 0 || step == 199 {
						require.True(t, coloured, "corner %d", i)
					}
				}
			}
			if test.kind == Read {
				require.Equal(t, all, drawn, "of the line")
			} else {
				require.InDelta(t, test.drawn, float64(drawn)/float64(all), 0.1, "of the line")
			}
		})
	}
	require.NotEqual(t, Sign{}.style().line, Sign{Kind: Missed}.style().line)
	require.NotEqual(t, Sign{}.style().line, Sign{Kind: NotInLedger}.style().line)
	require.NotEqual(t, Sign{Kind: Missed}.style().line, Sign{Kind: NotInLedger}.style().line)
}

func near(a, b color.RGBA) bool {
	apart := func(x, y uint8) int { return max(int(x)-int(y), int(y)-int(x)) }
	return max(apart(a.R, b.R), apart(a.G, b.G), apart(a.B, b.B)) < 40
}

// A tag lies within the picture, and neither on a symbol nor on another tag.
func TestTagsHideNothing(t *testing.T) {
	s := newScene(t, symbol.QR, 4, 3, 0)
	signs := s.signs(Read, "‘Brass Heron’ / ‘Low Weir’")
	var taken []image.Rectangle
	for _, sign := range signs {
		taken = append(taken, newPen(s.picture.Bounds(), sign).box())
	}
	tags, err := placeTags(s.picture, signs, taken)
	require.NoError(t, err)
	for i, tag := range tags {
		require.True(t, tag.box.In(s.picture.Bounds()), "%v", tag.box)
		require.Len(t, tag.lines, 2, "there is room for both")
		for _, other := range slices.Concat(taken, boxes(tags[:i])) {
			require.False(t, tag.box.Overlaps(other), "%v over %v", tag.box, other)
		}
	}
}

func boxes(tags []tag) []image.Rectangle {
	var all []image.Rectangle
	for _, t := range tags {
		all = append(all, t.box)
	}
	return all
}

// Where there is little room a tag says less, and it goes where it hides no
// symbol although another place is nearer to the usual one.
func TestTagsInLittleRoom(t *testing.T) {
	page := image.NewRGBA(image.Rect(0, 0, 400, 400))
	draw.Draw(page, page.Bounds(), image.White, image.Point{}, draw.Src)
	sign := Sign{Lines: []string{"1", "‘Brass Heron’ / ‘Low Weir’"}}
	for _, test := range []struct {
		outline, other image.Rectangle
		lines          int
		at             func(tag) bool
		reason         string
	}{
		{image.Rect(100, 100, 300, 200), image.Rectangle{}, 2, func(t tag) bool { return t.box.Min.Y == 200 }, "below, as long as it is free"},
		{image.Rect(100, 100, 300, 200), image.Rect(0, 200, 400, 400), 2, func(t tag) bool { return t.box.Max.Y == 100 }, "above, since there is a symbol below"},
		{image.Rect(0, 10, 370, 390), image.Rectangle{}, 1, func(t tag) bool { return t.box.Min.X == 370 }, "beside it there is room for a number"},
	} {
		tags, err := placeTags(page, []Sign{sign, {}}, []image.Rectangle{test.outline, test.other})
		require.NoError(t, err, test.reason)
		require.Len(t, tags[0].lines, test.lines, test.reason)
		require.True(t, test.at(tags[0]), "%s: %v", test.reason, tags[0].box)
	}
}

// A name in letters that the font lacks is left out, the code stays.
func TestUnknownLetters(t *testing.T) {
	setter, err := newTypesetter(20)
	require.NoError(t, err)
	require.Len(t, setter.tag([]string{"1   26329-001-0017-47", "‘月光’ / ‘Low Weir’"}).lines, 1)
	require.Len(t, setter.tag([]string{"1   26329-001-0017-47", "‘Żółta Zorza’ / ‘Заря’"}).lines, 2)
}

// Whatever the corners are, and wherever the picture begins, Draw gives a
// picture of the same size.
func TestOddSigns(t *testing.T) {
	for _, test := range []struct {
		corners [4]scan.Point
		reason  string
	}{
		{[4]scan.Point{}, "all corners in one"},
		{[4]scan.Point{{X: 10, Y: 10}, {X: 50, Y: 10}, {X: 50, Y: 10}, {X: 10, Y: 10}}, "no height"},
		{[4]scan.Point{{X: -500, Y: -500}, {X: 1e6, Y: -500}, {X: 1e6, Y: 1e6}, {X: -500, Y: 1e6}}, "larger than the picture"},
		{[4]scan.Point{{X: -900, Y: 10}, {X: -800, Y: 10}, {X: -800, Y: 90}, {X: -900, Y: 90}}, "beyond the picture"},
		{[4]scan.Point{{X: 10, Y: 10}, {X: 50, Y: 60}, {X: 50, Y: 10}, {X: 10, Y: 60}}, "sides that cross"},
	} {
		for _, kind := range []Kind{Read, NotInLedger, Missed} {
			picture := image.NewGray(image.Rect(-20, 5, 180, 155))
			marked, err := Draw(picture, []Sign{{Sight: scan.Sight{Corners: test.corners}, Lines: []string{"1"}, Kind: kind}})
			require.NoError(t, err, test.reason)
			require.Equal(t, picture.Bounds(), marked.Bounds(), test.reason)
		}
	}
}

// A symbol whose corners go the other way round, as on the back of a window,
// has its line outside too.
func TestMirrored(t *testing.T) {
	corners := [4]point{{10, 10}, {50, 10}, {50, 40}, {10, 40}}
	want := [4]point{{2, 5}, {58, 5}, {58, 45}, {2, 45}}
	require.Equal(t, want, outset(corners, margins{5, 8}))
	slices.Reverse(corners[:])
	slices.Reverse(want[:])
	require.Equal(t, want, outset(corners, margins{5, 8}))
}
