package scan

import (
	"bytes"
	"context"
	"encoding/binary"
	"image"
	"image/color"
	"slices"
)

// orientationOf tells how a JPEG picture lies, 1 to 8, as its EXIF data says: 1
// is upright, the others are in turningOf. It is 1 too when nothing is said and
// when anything about it is odd, since a picture shown as it lies is the lesser
// harm. Anything but a JPEG gives 1.
//
// The order of a JPEG's segments is that of ITU-T T.81, annex B; that of an
// APP1 segment, of EXIF 2.3 (JEITA CP-3451). Both from memory.
func orientationOf(jpeg []byte) int {
	rest, isJPEG := bytes.CutPrefix(jpeg, []byte("\xff\xd8"))
	for isJPEG && len(rest) >= 4 && rest[0] == 0xff {
		marker := rest[1]
		switch {
		case marker == 0xff: // fills up
			rest = rest[1:]
			continue
		case marker == 0x01 || marker >= 0xd0 && marker <= 0xda:
			return 1 // the pixels begin, or a marker that has no place before them
		}
		length := int(binary.BigEndian.Uint16(rest[2:]))
		if length < 2 || 2+length > len(rest) {
			return 1
		}
		segment := rest[4 : 2+length]
		if exif, ok := bytes.CutPrefix(segment, []byte("Exif\x00\x00")); ok && marker == 0xe1 {
			return taggedOrientation(exif)
		}
		rest = rest[2+length:]
	}
	return 1
}

// taggedOrientation finds the orientation among the tags of the first directory
// of EXIF data, whose form is that of a TIFF file. Source: TIFF 6.0, sections 2
// and 8 (tag 274, Orientation: one SHORT), from memory.
func taggedOrientation(tiff []byte) int {
	const (
		headerSize     = 8
		entrySize      = 12
		orientationTag = 0x0112
		short          = 3 // a type: 16 bits
	)
	if len(tiff) < headerSize {
		return 1
	}
	var order binary.ByteOrder
	switch string(tiff[:4]) {
	case "II*\x00":
		order = binary.LittleEndian
	case "MM\x00*":
		order = binary.BigEndian
	default:
		return 1
	}
	start := int64(order.Uint32(tiff[4:]))
	if start < headerSize || start+2 > int64(len(tiff)) {
		return 1
	}
	count := int(order.Uint16(tiff[start:]))
	directory := tiff[start+2:]
	if count*entrySize > len(directory) {
		return 1
	}
	for entry := range slices.Chunk(directory[:count*entrySize], entrySize) {
		if order.Uint16(entry) != orientationTag {
			continue
		}
		value := int(order.Uint16(entry[8:]))
		if order.Uint16(entry[2:]) != short || order.Uint32(entry[4:]) != 1 || value < 1 || value > 8 {
			return 1
		}
		return value
	}
	return 1
}

// readLying reads a picture that lies as its orientation, 1 to 8, says, as
// Photograph reads an upright one: it turns the reading rather than the picture,
// which takes next to no time. Only a mirrored picture is copied, row by row,
// since a symbol in a mirror may not be read, and bars there cannot be told from
// bars that stand on their head.
func readLying(ctx context.Context, picture image.Image, orientation int, wanted func(text string) bool) (View, error) {
	if orientation == 1 {
		reading, err := Photograph(ctx, picture, wanted)
		return View{Picture: picture, Reading: reading}, err
	}
	turning := turningOf(orientation)
	view := View{Picture: uprightPicture{picture, turning}}
	if turning.mirrors() {
		picture, turning = flipped(picture), turning.afterFlip()
	}
	reading, err := Photograph(ctx, picture, wanted)
	view.Reading = turning.reading(reading, picture.Bounds().Size())
	return view, err
}

// flipped gives the luminance of a picture with the last row at the top.
func flipped(picture image.Image) *image.Gray {
	g := newGrey(picture)
	flipped := image.NewGray(image.Rect(0, 0, g.width, g.height))
	for y := range g.height {
		copy(flipped.Pix[(g.height-1-y)*flipped.Stride:][:g.width], g.pix[y*g.stride:])
	}
	return flipped
}

// turning is the way from a picture as it lies to the upright one: rows and
// columns are exchanged first, then left and right, and top and bottom.
type turning struct {
	exchanged, leftRight, topBottom bool
}

// turningOf gives what an orientation, 1 to 8, asks for. The standard says for
// each at which side of the upright picture the first row and the first column
// lie. Source: TIFF 6.0, section 8, from memory.
func turningOf(orientation int) turning {
	return [...]turning{
		{},                                 // 1: row at the top, column on the left
		{leftRight: true},                  // 2: top, right
		{leftRight: true, topBottom: true}, // 3: bottom, right
		{topBottom: true},                  // 4: bottom, left
		{exchanged: true},                  // 5: left, top
		{exchanged: true, leftRight: true}, // 6: right, top
		{exchanged: true, leftRight: true, topBottom: true}, // 7: right, bottom
		{exchanged: true, topBottom: true},                  // 8: left, bottom
	}[orientation-1]
}

// mirrors reports whether the picture lies there as if seen in a mirror.
func (t turning) mirrors() bool {
	return t.exchanged != (t.leftRight != t.topBottom)
}

// afterFlip is the way that is left to go once top and bottom of the lying
// picture have been exchanged.
func (t turning) afterFlip() turning {
	if t.exchanged {
		t.leftRight = !t.leftRight
	} else {
		t.topBottom = !t.topBottom
	}
	return t
}

// size is that of the upright picture, for a picture of a size as it lies.
func (t turning) size(lying image.Point) image.Point {
	if t.exchanged {
		return image.Pt(lying.Y, lying.X)
	}
	return lying
}

// reading turns what was read off a picture of a size as it lies, in the
// reading order of the upright one.
func (t turning) reading(r Reading, lying image.Point) Reading {
	turned := Reading{Found: slices.Clone(r.Found), Missed: slices.Clone(r.Missed)}
	for i, found := range turned.Found {
		turned.Found[i].Sight = t.sight(found.Sight, lying)
	}
	for i, missed := range turned.Missed {
		turned.Missed[i].Sight = t.sight(missed.Sight, lying)
	}
	sortReading(turned.Found, func(f Found) Sight { return f.Sight })
	sortReading(turned.Missed, func(m Missed) Sight { return m.Sight })
	return turned
}

// sight turns where something is seen.
func (t turning) sight(s Sight, lying image.Point) Sight {
	from := t.point(Point{float64(s.Place.Min.X), float64(s.Place.Min.Y)}, lying)
	to := t.point(Point{float64(s.Place.Max.X), float64(s.Place.Max.Y)}, lying)
	s.Place = image.Rect(int(from.X), int(from.Y), int(to.X), int(to.Y))
	for i, corner := range s.Corners {
		s.Corners[i] = t.point(corner, lying)
	}
	return s
}

// point turns a position.
func (t turning) point(p Point, lying image.Point) Point {
	size := t.size(lying)
	if t.exchanged {
		p.X, p.Y = p.Y, p.X
	}
	if t.leftRight {
		p.X = float64(size.X) - p.X
	}
	if t.topBottom {
		p.Y = float64(size.Y) - p.Y
	}
	return p
}

// uprightPicture shows a picture the way that it is meant to be seen. Its upper
// left corner is at (0, 0).
type uprightPicture struct {
	lying   image.Image
	turning turning
}

func (u uprightPicture) ColorModel() color.Model { return u.lying.ColorModel() }

func (u uprightPicture) Bounds() image.Rectangle {
	return image.Rectangle{Max: u.turning.size(u.lying.Bounds().Size())}
}

func (u uprightPicture) At(x, y int) color.Color {
	size := u.Bounds().Max
	if u.turning.leftRight {
		x = size.X - 1 - x
	}
	if u.turning.topBottom {
		y = size.Y - 1 - y
	}
	if u.turning.exchanged {
		x, y = y, x
	}
	corner := u.lying.Bounds().Min
	return u.lying.At(corner.X+x, corner.Y+y)
}
