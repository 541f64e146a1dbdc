package files

import (
	"bytes"
	"encoding/binary"
	"slices"
)

// Orientation tells how a JPEG picture lies, 1 to 8, as its EXIF data says: 1
// is upright, the others are in turningOf. It is 1 too when nothing is said and
// when anything about it is odd, since a picture shown as it lies is the lesser
// harm. Anything but a JPEG gives 1.
//
// The order of a JPEG's segments is that of ITU-T T.81, annex B; that of an
// APP1 segment, of EXIF 2.3 (JEITA CP-3451). Both from memory.
func Orientation(jpeg []byte) int {
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
