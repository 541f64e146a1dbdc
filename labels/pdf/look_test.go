package pdf_test

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/datamatrix"
	"github.com/makiuchi-d/gozxing/oned"
	"github.com/makiuchi-d/gozxing/qrcode"
	"github.com/stretchr/testify/require"

	"graftslip/codes/symbol"
	"graftslip/labels"
	"graftslip/layouts"
)

// look is a page as a printer would render it, with what has been accounted
// for so far.
type look struct {
	picture *image.Gray
	dot     float64 // mm
	known   *image.Gray
}

func newLook(picture *image.Gray, dpi float64) *look {
	return &look{picture, symbol.Dot(dpi), image.NewGray(picture.Bounds())}
}

// ink reports whether a printer would put a dot here.
func (l *look) ink(x, y int) bool { return l.picture.GrayAt(x, y).Y < 128 }

// pixels is the rectangle in whole pixels that covers r, grown by some more.
func (l *look) pixels(r layouts.Rect, more int) image.Rectangle {
	return image.Rect(
		int(math.Floor(r.X/l.dot+0.001))-more, int(math.Floor(r.Y/l.dot+0.001))-more,
		int(math.Ceil((r.X+r.Width)/l.dot-0.001))+more, int(math.Ceil((r.Y+r.Height)/l.dot-0.001))+more,
	).Intersect(l.picture.Bounds())
}

func (l *look) inked(area image.Rectangle) int {
	count := 0
	for y := area.Min.Y; y < area.Max.Y; y++ {
		for x := area.Min.X; x < area.Max.X; x++ {
			if l.ink(x, y) {
				count++
			}
		}
	}
	return count
}

// checkSlip: every element has ink, lies in the label's safe area and apart
// from every other. Ink of the page is then known to be an element's.
func (l *look) checkSlip(t *testing.T, slip labels.Design, place layouts.Placed, safe layouts.Rect) {
	t.Helper()
	type element struct {
		what string
		area layouts.Rect
	}
	var elements []element
	for _, text := range slip.Texts {
		elements = append(elements, element{text.String, text.Ink})
		require.GreaterOrEqual(t, text.Size, labels.LeastSize)
	}
	for _, s := range slip.Symbols {
		elements = append(elements, element{"symbol", s.Place})
	}
	for _, line := range slip.Lines {
		area := layouts.Rect{X: min(line.FromX, line.ToX), Y: min(line.FromY, line.ToY), Width: math.Abs(line.FromX - line.ToX), Height: math.Abs(line.FromY - line.ToY)}
		elements = append(elements, element{"line", area.Inset(-line.Thickness/2, -line.Thickness/2, -line.Thickness/2, -line.Thickness/2)})
	}
	for i, e := range elements {
		// A symbol is moved to the nearest printer dot, that is by half a dot at
		// the most, and its quiet zone may leave the safe area by that.
		grown := safe.Inset(-l.dot/2, -l.dot/2, -l.dot/2, -l.dot/2)
		require.True(t, grown.Contains(e.area), "%s leaves the safe area: %v, %v", e.what, e.area, safe)
		for _, other := range elements[:i] {
			shared := e.area.Intersect(other.area)
			crossing := e.what == "line" && other.what == "line"
			require.True(t, crossing || shared.Width <= 0.001 || shared.Height <= 0.001, "%q and %q overlap by %v", e.what, other.what, shared)
		}
		area := l.pixels(place.Area(e.area), 1)
		require.NotZero(t, l.inked(area), "%q has no ink", e.what)
		for y := area.Min.Y; y < area.Max.Y; y++ {
			for x := area.Min.X; x < area.Max.X; x++ {
				l.known.SetGray(x, y, color.Gray{255})
			}
		}
	}
}

// checkRest: there is no ink that belongs to no element.
func (l *look) checkRest(t *testing.T) {
	t.Helper()
	stray := 0
	for y := range l.picture.Bounds().Dy() {
		for x := range l.picture.Bounds().Dx() {
			if l.ink(x, y) && l.known.GrayAt(x, y).Y == 0 {
				stray++
			}
		}
	}
	require.Zero(t, stray, "dots of ink outside every element")
}

// onPage is where a symbol is drawn: turned, and moved to whole dots.
func (l *look) onPage(s labels.Symbol, place layouts.Placed) layouts.Placed {
	turn := place.Turn.Add(s.Turn)
	if s.Turned {
		turn = turn.Add(layouts.Clockwise)
	}
	on := layouts.Placed{Rect: place.Area(s.Place), Turn: turn}
	on.X, on.Y = math.Round(on.X/l.dot)*l.dot, math.Round(on.Y/l.dot)*l.dot
	return on
}

// checkSymbol: every printer dot of every module, and of the quiet zone, is as
// it should be.
func (l *look) checkSymbol(t *testing.T, s labels.Symbol, place layouts.Placed) {
	t.Helper()
	l.checkModules(t, s, l.onPage(s, place))
}

// checkModules is checkSymbol for a symbol that is known to lie on a place.
func (l *look) checkModules(t *testing.T, s labels.Symbol, on layouts.Placed) {
	t.Helper()
	quietX, quietY := s.Quiet()
	tall := s.Module
	if s.Modules.Height() == 1 {
		tall = s.Bar
	}
	wrong, dots := 0, 0
	for y := -quietY; y < s.Modules.Height()+quietY; y++ {
		for x := -quietX; x < s.Modules.Width()+quietX; x++ {
			inside := x >= 0 && y >= 0 && x < s.Modules.Width() && y < s.Modules.Height()
			area := on.Area(layouts.Rect{X: float64(x+quietX) * s.Module, Y: float64(y)*tall + float64(quietY)*s.Module, Width: s.Module, Height: tall})
			pixels := image.Rect(round(area.X/l.dot), round(area.Y/l.dot), round((area.X+area.Width)/l.dot), round((area.Y+area.Height)/l.dot))
			dark := inside && s.Dark(x, y)
			inked := l.inked(pixels)
			dots += pixels.Dx() * pixels.Dy()
			if dark {
				wrong += pixels.Dx()*pixels.Dy() - inked
			} else {
				wrong += inked
			}
		}
	}
	require.Zero(t, wrong, "of %d dots of a %v symbol", dots, s.Kind())
}

func round(v float64) int { return int(math.Round(v)) }

// read reads a symbol off the page with gozxing.
func (l *look) read(s labels.Symbol, place layouts.Placed) (string, error) {
	return readGozxing(s.Kind(), l.enlarged(s, place))
}

// enlarged is a symbol with its quiet zone as a camera would see it close by,
// on white.
func (l *look) enlarged(s labels.Symbol, place layouts.Placed) *image.Gray {
	return l.near(l.onPage(s, place).Rect)
}

// near is a part of the page as a camera would see it close by, on white.
func (l *look) near(r layouts.Rect) *image.Gray {
	area := l.pixels(r, 0)
	const enlarge = 3
	const border = 4 * enlarge
	near := image.NewGray(image.Rect(0, 0, area.Dx()*enlarge+2*border, area.Dy()*enlarge+2*border))
	for y := range near.Bounds().Dy() {
		for x := range near.Bounds().Dx() {
			from := image.Pt((x-border)/enlarge, (y-border)/enlarge).Add(area.Min)
			value := color.Gray{255}
			if from.In(area) && x >= border && y >= border {
				value = l.picture.GrayAt(from.X, from.Y)
			}
			near.SetGray(x, y, value)
		}
	}
	return near
}

func readGozxing(kind symbol.Kind, picture image.Image) (string, error) {
	var reader gozxing.Reader
	switch kind {
	case symbol.QR:
		reader = qrcode.NewQRCodeReader()
	case symbol.DataMatrix:
		reader = datamatrix.NewDataMatrixReader()
	case symbol.Code128:
		reader = oned.NewCode128Reader()
	default:
		return "", fmt.Errorf("no reader for %v", kind)
	}
	bitmap, err := gozxing.NewBinaryBitmapFromImage(picture)
	if err != nil {
		return "", err
	}
	hints := map[gozxing.DecodeHintType]interface{}{gozxing.DecodeHintType_TRY_HARDER: true}
	result, err := reader.Decode(bitmap, hints)
	if err != nil {
		return "", err
	}
	return result.GetText(), nil
}
