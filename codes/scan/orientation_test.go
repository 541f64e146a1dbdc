package scan

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/scan/internal/pixels"

	"graftslip/codes/scan/internal/files"
)

// lie says at which side of the upright picture the first row and the first
// column lie.
type lie struct {
	orientation int
	row, column string
	reason      string
}

// lies are the orientations as the standard describes them. Source: TIFF 6.0,
// section 8, tag 274, from memory.
func lies() []lie {
	return []lie{
		{1, "top", "left", "a phone held lying"},
		{2, "top", "right", "a mirror held beside it: a phone's camera that looks at the person"},
		{3, "bottom", "right", "a phone held lying, on its head"},
		{4, "bottom", "left", "a mirror held below it"},
		{5, "left", "top", "an upright phone, mirrored"},
		{6, "right", "top", "a phone held upright, as most are"},
		{7, "right", "bottom", "an upright phone on its head, mirrored"},
		{8, "left", "bottom", "a phone held upright, on its head"},
	}
}

// from is how far a position on an upright picture of a size is from a side.
func from(side string, p Point, size image.Point) float64 {
	return map[string]float64{"top": p.Y, "bottom": float64(size.Y) - p.Y, "left": p.X, "right": float64(size.X) - p.X}[side]
}

// laidPoint gives a position on an upright picture as it lies in the file.
func (l lie) laidPoint(p Point, size image.Point) Point {
	return pixels.Pt(from(l.column, p, size), from(l.row, p, size))
}

func (l lie) laidSize(size image.Point) image.Point {
	if l.row == "left" || l.row == "right" {
		return image.Pt(size.Y, size.X)
	}
	return size
}

func (l lie) laidSight(s Sight, size image.Point) Sight {
	corner := func(p image.Point) image.Point {
		laid := l.laidPoint(pixels.Pt(float64(p.X), float64(p.Y)), size)
		return image.Pt(int(laid.X), int(laid.Y))
	}
	s.Place = image.Rectangle{corner(s.Place.Min), corner(s.Place.Max)}.Canon()
	for i := range s.Corners {
		s.Corners[i] = l.laidPoint(s.Corners[i], size)
	}
	return s
}

// laid gives an upright picture as it lies in the file.
func (l lie) laid(upright *image.Gray) *image.Gray {
	size := upright.Rect.Size()
	lying := image.NewGray(image.Rectangle{Max: l.laidSize(size)})
	for y := range size.Y {
		for x := range size.X {
			middle := l.laidPoint(pixels.Pt(float64(x)+0.5, float64(y)+0.5), size)
			lying.SetGray(int(middle.X), int(middle.Y), upright.GrayAt(x, y))
		}
	}
	return lying
}

// entry is a tag of EXIF data: its number, type, count and value, of which two
// bytes are set.
type entry struct {
	tag, kind uint16
	count     uint32
	value     uint16
}

func lying(orientation int) entry { return entry{0x0112, 3, 1, uint16(orientation)} }

// exif is EXIF data with one directory.
func exif(order binary.AppendByteOrder, entries ...entry) []byte {
	start := map[binary.AppendByteOrder]string{binary.LittleEndian: "II", binary.BigEndian: "MM"}[order]
	data := order.AppendUint32(order.AppendUint16([]byte("Exif\x00\x00"+start), 42), 8)
	data = order.AppendUint16(data, uint16(len(entries)))
	for _, e := range entries {
		data = order.AppendUint16(order.AppendUint16(data, e.tag), e.kind)
		data = order.AppendUint16(order.AppendUint16(order.AppendUint32(data, e.count), e.value), 0)
	}
	return order.AppendUint32(data, 0)
}

// segment is one of a JPEG's.
func segment(marker byte, content []byte) []byte {
	return append(binary.BigEndian.AppendUint16([]byte{0xff, marker}, uint16(2+len(content))), content...)
}

// withSegments puts segments at the beginning of a JPEG.
func withSegments(jpeg []byte, segments ...[]byte) []byte {
	return slices.Concat(jpeg[:2], slices.Concat(segments...), jpeg[2:])
}

func jpegOf(t testing.TB, picture image.Image) []byte {
	var file bytes.Buffer
	require.NoError(t, jpeg.Encode(&file, picture, &jpeg.Options{Quality: 100}))
	return file.Bytes()
}

// viewOf reads a picture as slipread does.
func viewOf(t *testing.T, file []byte) View {
	t.Helper()
	var views []View
	for view, err := range renderer(t).File(context.Background(), bytes.NewReader(file), func(string) bool { return true }) {
		require.NoError(t, err)
		views = append(views, view)
	}
	require.Len(t, views, 1)
	return views[0]
}

// TestFileTurnsPictures reads a picture as a phone writes it, whichever way it
// was held, and sees it as the person does.
func TestFileTurnsPictures(t *testing.T) {
	t.Parallel()
	page := canvas(400, 640)
	places := []image.Rectangle{
		drawSymbol(page, pattern(t, QR, labelCode(1)), image.Pt(40, 48), 4, 0, false),
		drawSymbol(page, pattern(t, DataMatrix, labelCode(2)), image.Pt(264, 64), 3, 0, false),
		drawSymbol(page, pattern(t, Code128, labelCode(3)), image.Pt(32, 400), 2, 80, false),
	}
	want := viewOf(t, jpegOf(t, page))
	require.Equal(t, []string{labelCode(1), labelCode(2), labelCode(3)}, textsOf(want.Found))
	for _, l := range lies() {
		t.Run(fmt.Sprint(l.orientation), func(t *testing.T) {
			got := viewOf(t, withSegments(jpegOf(t, l.laid(page)), segment(0xe1, exif(binary.BigEndian, lying(l.orientation)))))
			require.Equal(t, textsOf(want.Found), textsOf(got.Found), l.reason)
			for i, found := range got.Found {
				requireNear(t, found.Symbol, places[i], found.Place)
				require.Equal(t, want.Found[i].Symbol, found.Symbol)
				require.InDelta(t, want.Found[i].Module, found.Module, 0.1, l.reason)
				requireWithin(t, found.Symbol, want.Found[i].Sight, found.Sight, l.reason)
			}
			require.Equal(t, page.Rect, got.Picture.Bounds(), l.reason)
			require.Equal(t, color.GrayModel, got.Picture.ColorModel(), l.reason)
			for y := range page.Rect.Dy() {
				for x := range page.Rect.Dx() {
					apart := int(page.GrayAt(x, y).Y) - int(got.Picture.At(x, y).(color.Gray).Y)
					if max(apart, -apart) > 8 { // what JPEG does to it
						require.Failf(t, "another pixel", "at (%d, %d): %s", x, y, l.reason)
					}
				}
			}
		})
	}
}

// requireWithin: two places of a kind of symbol are the same to a pixel. Those
// of a Data Matrix are fitted in steps of a third of a module, so that its
// corners may be a module off, and bars may be told from their other end.
func requireWithin(t *testing.T, kind string, want, got Sight, reason string) {
	t.Helper()
	slack := 1.0
	if kind == DataMatrix {
		slack = want.Module
	}
	same := func(first int) bool {
		for i, corner := range want.Corners {
			other := got.Corners[(first+i)%4]
			if math.Abs(corner.X-other.X) > slack || math.Abs(corner.Y-other.Y) > slack {
				return false
			}
		}
		return true
	}
	require.True(t, same(0), "%s: %v, %v: %s", kind, want, got, reason)
}

// TestTurnedReading turns what was seen on a picture of 300 × 200 pixels, to the
// last digit, with what was not read.
func TestTurnedReading(t *testing.T) {
	size := image.Pt(300, 200)
	sight := func(left, top, width, height float64) Sight {
		return Sight{Place: image.Rect(int(left), int(top), int(left+width), int(top+height)), Module: 2.5,
			Corners: [4]Point{pixels.Pt(left, top+0.25), pixels.Pt(left+width, top), pixels.Pt(left+width-0.5, top+height), pixels.Pt(left, top+height)}}
	}
	want := Reading{
		Found: []Found{
			{"26329001000107", QR, sight(10, 12, 40, 44)},
			{"26329001000204", DataMatrix, sight(180, 20, 60, 32)},
			{"26329001000301", Code128, sight(20, 120, 150, 30)}},
		Missed: []Missed{
			{QR, sight(100, 8, 30, 31), TooSmall},
			{Code128, sight(250, 15, 44, 60), Blurred},
			{DataMatrix, sight(5, 90, 20, 22), CutOff}},
	}
	for _, l := range lies() {
		lying := Reading{Found: slices.Clone(want.Found), Missed: slices.Clone(want.Missed)}
		for i := range 3 {
			lying.Found[i].Sight = l.laidSight(want.Found[i].Sight, size)
			lying.Missed[i].Sight = l.laidSight(want.Missed[i].Sight, size)
		}
		sortReading(lying.Found, func(f Found) Sight { return f.Sight })
		slices.SortFunc(lying.Missed, func(a, b Missed) int { return a.Place.Min.Y - b.Place.Min.Y })
		before := Reading{Found: slices.Clone(lying.Found), Missed: slices.Clone(lying.Missed)}
		turned := turningOf(l.orientation).reading(lying, l.laidSize(size))
		require.Equal(t, want, turned, "%d: %s", l.orientation, l.reason)
		require.Equal(t, before, lying, "what it was given stays as it was")
	}
	require.Equal(t, Reading{}, turningOf(6).reading(Reading{}, size), "nothing seen")
}

// TestUprightPicture shows a picture of six pixels, each of another colour.
func TestUprightPicture(t *testing.T) {
	colours := color.Palette{}
	for i := range 6 {
		colours = append(colours, color.RGBA{R: byte(40 * i), G: 9, B: byte(200 - 30*i), A: 255})
	}
	upright := image.NewGray(image.Rect(0, 0, 3, 2)) // of numbers of colours
	copy(upright.Pix, []byte{0, 1, 2, 3, 4, 5})
	for _, l := range lies() {
		numbers := l.laid(upright)
		lying := image.NewRGBA(numbers.Rect.Add(image.Pt(-4, 7)))
		for y := range numbers.Rect.Dy() {
			for x := range numbers.Rect.Dx() {
				lying.Set(x-4, y+7, colours[numbers.GrayAt(x, y).Y])
			}
		}
		picture := uprightPicture{lying, turningOf(l.orientation)}
		require.Equal(t, upright.Rect, picture.Bounds(), l.reason)
		require.Equal(t, color.RGBAModel, picture.ColorModel())
		for i, number := range upright.Pix {
			require.Equal(t, colours[number], picture.At(i%3, i/3), "%d: %s", l.orientation, l.reason)
		}
		for _, beyond := range []image.Point{{-1, 0}, {3, 0}, {0, -1}, {0, 2}} {
			require.Equal(t, color.RGBA{}, picture.At(beyond.X, beyond.Y), "nothing is beyond the edge")
		}
	}
}

func TestOrientationOf(t *testing.T) {
	plain := smallJPEG(t)
	big, little := binary.AppendByteOrder(binary.BigEndian), binary.AppendByteOrder(binary.LittleEndian)
	with := func(content []byte) []byte { return withSegments(plain, segment(0xe1, content)) }
	// changed is EXIF data of orientation 6 with some bytes overwritten. Its TIFF
	// header begins at 6, its directory at 14, the entry of the tag at 16.
	changed := func(at int, bytes string) []byte {
		content := exif(big, lying(6))
		copy(content[at:], bytes)
		return with(content)
	}
	software := segment(0xe0, []byte("JFIF\x00\x01\x02\x00\x00\x01\x00\x01\x00\x00"))
	other := segment(0xe1, []byte("http://ns.adobe.com/xap/1.0/\x00<x/>"))
	turned := segment(0xe1, exif(big, lying(6)))
	two := exif(little, entry{0x010f, 2, 4, 0}, entry{0x0110, 2, 3, 0x5151}, lying(8), entry{0x011a, 5, 1, 60})
	for _, test := range []struct {
		reason string
		file   []byte
		want   int
	}{
		{"no EXIF data", plain, 1},
		{"the high byte first", with(exif(big, lying(6))), 6},
		{"the low byte first", with(exif(little, lying(6))), 6},
		{"said to be upright", with(exif(big, lying(1))), 1},
		{"the last of the orientations", with(exif(little, lying(8))), 8},
		{"among other tags", with(two), 8},
		{"after other segments, one of them APP1 too", withSegments(plain, software, other, turned), 6},
		{"bytes that fill up before a marker", withSegments(plain, []byte{0xff, 0xff}, turned), 6},
		{"the first EXIF data count", withSegments(plain, segment(0xe1, exif(big, lying(3))), turned), 3},
		{"a directory further on, as the header says", with(slices.Concat(exif(big)[:10], []byte{0, 0, 0, 12, 9, 9, 9, 9}, exif(big, lying(5))[14:])), 5},
		{"other tags alone", with(exif(big, entry{0x0110, 3, 1, 6})), 1},
		{"an empty directory", with(exif(big)), 1},
		{"no such orientation: 0", with(exif(big, lying(0))), 1},
		{"no such orientation: 9", with(exif(big, lying(9))), 1},
		{"no such orientation: 256 is 1 in the other byte order", with(exif(little, lying(6<<8))), 1},
		{"of another type", with(exif(big, entry{0x0112, 4, 1, 6})), 1},
		{"two of them", with(exif(big, entry{0x0112, 3, 2, 6})), 1},
		{"an unknown byte order", changed(6, "XX"), 1},
		{"byte orders that do not agree", changed(6, "II"), 1},
		{"no TIFF", changed(8, "\x00\x2b"), 1},
		{"a directory within the header", changed(10, "\x00\x00\x00\x04"), 1},
		{"a directory beyond the end", changed(10, "\x00\x00\x04\x00"), 1},
		{"a directory at the end of all numbers", changed(10, "\xff\xff\xff\xff"), 1},
		{"a directory with more entries than there is room for", changed(14, "\xff\xff"), 1},
		{"not called EXIF", changed(0, "exif"), 1},
		{"cut off in the header", with(exif(big, lying(6))[:12]), 1},
		{"cut off in the entry", with(exif(big, lying(6))[:25]), 1},
		{"in a segment of another kind", withSegments(plain, segment(0xe2, exif(big, lying(6)))), 1},
		{"behind the beginning of the pixels", slices.Concat(plain[:2], segment(0xda, nil), turned), 1},
		{"behind the end", slices.Concat(plain[:2], []byte{0xff, 0xd9}, turned), 1},
		{"behind something that is no segment", slices.Concat(plain[:2], []byte{0}, turned), 1},
		{"a segment without a length", slices.Concat(plain[:2], []byte{0xff, 0xe1, 0, 1}, turned), 1},
		{"a segment longer than the file", slices.Concat(plain[:2], turned[:len(turned)-1]), 1},
		{"the beginning of a JPEG alone", plain[:2], 1},
		{"fill bytes to the end", bytes.Repeat([]byte{0xff}, 3), 1},
		{"nothing", nil, 1},
		{"a PNG", slices.Concat(smallPNG(t), turned), 1},
	} {
		require.Equal(t, test.want, files.Orientation(test.file), test.reason)
	}
}

// A PNG is left as it lies, whatever its EXIF data (an eXIf chunk) say.
func TestFileLeavesPNG(t *testing.T) {
	file := smallPNG(t)
	chunk := append([]byte("eXIf"), exif(binary.BigEndian, lying(6))[6:]...)
	whole := binary.BigEndian.AppendUint32(nil, uint32(len(chunk)-4))
	whole = binary.BigEndian.AppendUint32(append(whole, chunk...), crc32.ChecksumIEEE(chunk))
	const afterHeader = 33 // the signature and the IHDR chunk
	view := viewOf(t, slices.Concat(file[:afterHeader], whole, file[afterHeader:]))
	require.Equal(t, image.Rect(0, 0, 40, 30), view.Picture.Bounds())
	require.IsType(t, &image.Gray{}, view.Picture)
}

func FuzzOrientation(f *testing.F) {
	plain := smallJPEG(f)
	for _, order := range []binary.AppendByteOrder{binary.BigEndian, binary.LittleEndian} {
		f.Add(withSegments(plain[:40], segment(0xe1, exif(order, entry{0x010f, 2, 4, 0}, lying(6)))))
		f.Add(withSegments(plain[:2], segment(0xe0, []byte("JFIF\x00")), []byte{0xff}, segment(0xe1, exif(order, lying(8)))))
	}
	f.Add(plain[:100])
	f.Fuzz(func(t *testing.T, file []byte) {
		orientation := files.Orientation(file)
		require.Contains(t, []int{1, 2, 3, 4, 5, 6, 7, 8}, orientation)
		if orientation != 1 {
			require.True(t, bytes.HasPrefix(file, []byte("\xff\xd8\xff")) && bytes.Contains(file, []byte("Exif\x00\x00")), "said by something")
		}
	})
}
