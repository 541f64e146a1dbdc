package plot

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image"
	"image/png"
	"io"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/records"
)

const (
	cyrillic = "‘Тихая Заводь за Старой Мельницей и ещё дальше, чем обычно’ / ‘Ήσυχη Κοιλάδα πίσω από τον Παλιό Μύλο του Βορρά’"
	markup   = `‘Salt <i>&amp; "Ember"</i>’ / ‘Sloe Barrow’`
	oneWord  = "‘Llanfairoakmeadowbarrowhillquarrythornferrysidewickunderstonebridge’"
)

func chart() Chart {
	return Chart{Title: "Grafts that became plants, by pair", Notes: []string{"226 of 4306 grafts"}, Level: 0.95, Rows: []Row{
		{"‘Lantern Wren’ / ‘Quarry Thorn’", 0.81, 0.89, 0.94, &Expected{0.62, 0.75, 0.88}, 90},
		{cyrillic, 0.5, 0.62, 0.73, nil, 120},
		{markup, 0, 0, 0.2, &Expected{0.02, 0.1, 0.3}, 4000},
		{oneWord, 0.9, 1, 1, &Expected{0.93, 0.985, 1}, 96},
	}}
}

func drawn(t *testing.T, write func(io.Writer) error) []byte {
	t.Helper()
	var first, second bytes.Buffer
	require.NoError(t, write(&first))
	require.NoError(t, write(&second))
	require.Equal(t, first.Bytes(), second.Bytes(), "the same bytes each time")
	return first.Bytes()
}

// On the picture the scale is found by its two black ends, and the dots, the lines
// and the lozenges stand where the shares are.
func TestPNG(t *testing.T) {
	content := drawn(t, chart().PNG)
	require.Equal(t, []byte("\x00\x00\x00\x09pHYs\x00\x00\x1e\xc2\x00\x00\x1e\xc2\x01"), content[33:50], "7874 dots a metre are 200 an inch")
	decoded, err := png.Decode(bytes.NewReader(content))
	require.NoError(t, err)
	picture, is := decoded.(*image.Gray)
	require.True(t, is, "black, white and grey")
	require.InDelta(t, 136/25.4*200, picture.Rect.Dx(), 1)
	l, err := chart().layout()
	require.NoError(t, err)
	dark := func(x, y float64) bool { return picture.GrayAt(int(x), int(y)).Y < 100 }

	y := l.head*perMM + 2
	var ends []int
	for x := int(l.left*perMM) - 3; x < picture.Rect.Dx(); x++ {
		if picture.GrayAt(x, int(y)).Y < 150 {
			ends = append(ends, x)
		}
	}
	require.NotEmpty(t, ends)
	from, to := float64(ends[0]), float64(ends[len(ends)-1])
	at := func(share float64) float64 { return from + share*(to-from) + 0.5 }
	for i, row := range chart().Rows {
		y := l.rows[i].middle * perMM
		for _, above := range []float64{-0.7, 0, 0.7} { // a dot is higher than its line
			require.True(t, dark(at(row.Share), y+above*dotRadius*perMM), "the dot of %s", row.Name)
		}
		middle := (row.Low + row.High) / 2
		require.True(t, dark(at(middle), y), "the line of %s", row.Name)
		if math.Abs(middle-row.Share) > 0.03 {
			require.False(t, dark(at(middle), y-0.7*dotRadius*perMM), "no dot there")
		}
		for _, outside := range []float64{row.Low - 0.05, row.High + 0.05} {
			if outside > 0.02 && outside < 0.98 {
				require.False(t, dark(at(outside), y), "outside the line of %s", row.Name)
			}
		}
		if e := row.Expected; e != nil {
			y += lozengeBelow * perMM
			require.False(t, dark(at(e.Mean), y), "a lozenge is open, of %s", row.Name)
			require.True(t, dark(at(e.Mean)+lozengeReach*perMM-0.5, y), "its corner, of %s", row.Name)
			require.True(t, dark(at(e.Mean)-lozengeReach*perMM, y), "its other corner, of %s", row.Name)
			line := func(x float64) bool { return dark(x, y-1) || dark(x, y) }
			require.True(t, line(at((e.Low+e.Mean)/2)), "the range of %s", row.Name)
			require.True(t, line(at(e.Low)+2), "to its end, of %s", row.Name)
			require.False(t, line(at(e.Low)-3) && e.Low > 0.02, "and no further, of %s", row.Name)
			require.False(t, dark(at(e.Low)+2, y+3), "it is thin, of %s", row.Name)
		}
	}
	for y := range picture.Rect.Dy() {
		require.Equal(t, uint8(255), picture.GrayAt(1, y).Y, "nothing reaches over the edge")
		require.Equal(t, uint8(255), picture.GrayAt(picture.Rect.Dx()-2, y).Y)
	}
}

// The texts of an SVG are whole, whatever is in them, and each line is inside its
// column.
func TestSVG(t *testing.T) {
	content := drawn(t, chart().SVG)
	var root struct {
		Width string `xml:"width,attr"`
		Title string `xml:"title"`
		Texts []struct {
			Lines []struct {
				X      float64 `xml:"x,attr"`
				Length float64 `xml:"textLength,attr"`
				Text   string  `xml:",chardata"`
			} `xml:"tspan"`
		} `xml:"text"`
		Circles []struct {
			X float64 `xml:"cx,attr"`
		} `xml:"circle"`
	}
	require.NoError(t, xml.Unmarshal(content, &root))
	require.Equal(t, "136mm", root.Width)
	require.Equal(t, chart().Title, root.Title)
	l, err := chart().layout()
	require.NoError(t, err)
	var texts []string
	for _, text := range root.Texts {
		var lines []string
		for _, line := range text.Lines {
			lines = append(lines, line.Text)
			require.LessOrEqual(t, line.X+line.Length, l.width-margin+0.01, line.Text)
		}
		texts = append(texts, strings.Join(lines, " "))
	}
	for _, row := range chart().Rows[:3] {
		require.Contains(t, texts, row.Name)
	}
	require.Contains(t, strings.ReplaceAll(strings.Join(texts, "\n"), " ", ""), oneWord, "a word that is too long is broken, not cut")
	require.Contains(t, texts, "batches differ more than the thick lines show; the text says what is within chance")
	require.Len(t, root.Circles, len(chart().Rows)+1, "a dot for each, and one in the key")
	for i, row := range chart().Rows {
		require.InDelta(t, l.left+(l.right-l.left)*row.Share, root.Circles[i].X, 0.01, row.Name)
	}
	for i, row := range l.rows {
		require.LessOrEqual(t, l.letters.longest(row.name, nameSize, regular), l.left-margin-gap+1e-9, "a name ends before the scale")
		if i > 0 {
			before := l.rows[i-1]
			apart := row.middle - before.middle
			require.GreaterOrEqual(t, apart, nameSize*leading*float64(len(row.name)+len(before.name))/2, "names do not touch")
		}
	}
}

func TestFit(t *testing.T) {
	rows := make([]Row, 63)
	for i := range rows {
		rows[i] = Row{Name: strings.Repeat("i", i+1), Share: 0.5, Grafts: 10}
	}
	rows[0].Grafts, rows[7].Grafts = 1, 2
	kept, left := Fit(rows)
	require.Equal(t, 3, left)
	require.Len(t, kept, MostRows)
	require.Equal(t, []string{rows[1].Name, rows[8].Name, rows[61].Name}, []string{kept[0].Name, kept[6].Name, kept[59].Name},
		"those with few grafts go, then the lowest; the order stays")
	same, left := Fit(rows[:60])
	require.Equal(t, rows[:60], same)
	require.Zero(t, left)
	drawn(t, Chart{Title: "t", Rows: kept, Level: 0.9}.PNG)
	drawn(t, Chart{Title: "t", Rows: kept[:1], Level: 0.9}.SVG)
	for _, wrong := range [][]Row{nil, rows} {
		require.ErrorContains(t, Chart{Rows: wrong}.SVG(io.Discard), "it holds 1 to 60")
	}
}

// Letters that the font lacks are told for a picture, and kept in an SVG.
func TestLetters(t *testing.T) {
	c := chart()
	c.Rows[0].Name = "‘月光’ / ‘Sloe Barrow’"
	var missing *records.Problem
	require.True(t, errors.As(c.PNG(io.Discard), &missing))
	require.Contains(t, missing.Error(), "the font has no letter '月', as in \"‘月光’ / ‘Sloe Barrow’\"")
	require.Contains(t, missing.Hint(), ".svg")
	require.Contains(t, string(drawn(t, c.SVG)), "‘月光’ / ‘Sloe Barrow’")
}

// Texts are as long as Chromium 156 draws them with the same font, kerning and
// all (getComputedTextLength).
func TestLength(t *testing.T) {
	l, err := newLetters()
	require.NoError(t, err)
	for text, length := range map[string]float64{"grafts": 7.3145, "‘Тихая Заводь’ / ‘Quarry Thorn’": 40.2733, "Late Barge under the Old Stone Bridge": 48.9727} {
		require.InDelta(t, length, l.length(text, 2.8, regular), 0.001, text)
	}
}
