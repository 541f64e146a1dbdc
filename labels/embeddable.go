package labels

import (
	"encoding/binary"
	"errors"
)

// ErrEmbedding says that a font's maker does not allow to embed it.
var ErrEmbedding = errors.New("its maker does not allow it to be embedded in a file")

// embeddable reports whether a font file, which sfnt has parsed, is one that
// can be embedded in a PDF: its tables have the formats that the PDF library
// reads (which otherwise prints nothing, or worse, something else), and its
// maker allows it. Tables are those of the OpenType specification.
func embeddable(data []byte) error {
	const noEmbedding, onlySubsets = 0x0002, 0x0300 // OS/2 fsType: restricted; no subsetting, bitmaps only
	os2, cmap := table(data, "OS/2"), table(data, "cmap")
	for _, need := range []struct {
		table  string
		offset int // of a format that must be 0
	}{{"name", 0}, {"head", 52}, {"hhea", 32}} {
		if format, ok := number(table(data, need.table), need.offset); !ok || format != 0 {
			return ErrTypeface
		}
	}
	if kind, ok := number(os2, 8); ok && (kind == noEmbedding || kind&onlySubsets != 0) {
		return ErrEmbedding
	}
	if table(data, "glyf") == nil || table(data, "loca") == nil || !hasUnicodeMap(cmap) {
		return ErrTypeface
	}
	return nil
}

// hasUnicodeMap reports whether a cmap table has a subtable of format 4 for
// Unicode.
func hasUnicodeMap(cmap []byte) bool {
	count, _ := number(cmap, 2)
	for i := range int(count) {
		entry := 4 + 8*i
		platform, _ := number(cmap, entry)
		encoding, ok := number(cmap, entry+2)
		if !ok || len(cmap) < entry+8 || !(platform == 0 || platform == 3 && encoding == 1) {
			continue
		}
		if format, ok := number(cmap, int(binary.BigEndian.Uint32(cmap[entry+4:]))); ok && format == 4 {
			return true
		}
	}
	return false
}

// table returns a table of a font file, nil when there is none.
func table(data []byte, tag string) []byte {
	count, _ := number(data, 4)
	for i := range int(count) {
		entry := 12 + 16*i
		if len(data) < entry+16 || string(data[entry:entry+4]) != tag {
			continue
		}
		from, length := uint64(binary.BigEndian.Uint32(data[entry+8:])), uint64(binary.BigEndian.Uint32(data[entry+12:]))
		if from+length <= uint64(len(data)) {
			return data[from : from+length]
		}
	}
	return nil
}

// number reads an unsigned number of two bytes.
func number(data []byte, offset int) (uint16, bool) {
	if offset < 0 || offset+2 > len(data) {
		return 0, false
	}
	return binary.BigEndian.Uint16(data[offset:]), true
}
