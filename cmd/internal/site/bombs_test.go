package site_test

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
)

// sized says in the header of a PNG that it has other sides.
func sized(file []byte, width, height uint32) []byte {
	file = bytes.Clone(file)
	const header = 12 // where the type of the first chunk stands
	binary.BigEndian.PutUint32(file[header+4:], width)
	binary.BigEndian.PutUint32(file[header+8:], height)
	binary.BigEndian.PutUint32(file[header+17:], crc32.ChecksumIEEE(file[header:header+17]))
	return file
}

// sizedJPEG says in the header of a JPEG that it has other sides, and that it
// comes in passes, for which decoders keep more in memory.
func sizedJPEG(file []byte, width, height uint16, passes bool) []byte {
	file = bytes.Clone(file)
	frame := bytes.Index(file, []byte{0xff, 0xc0})
	if passes {
		file[frame+1] = 0xc2
		scan := bytes.Index(file, []byte{0xff, 0xda})
		components := int(file[scan+4])
		file[scan+6+2*components] = 0 // the first pass has the means of blocks alone
	}
	binary.BigEndian.PutUint16(file[frame+5:], height)
	binary.BigEndian.PutUint16(file[frame+7:], width)
	return file
}
