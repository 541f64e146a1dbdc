package site

import (
	"image"
	"image/color"
)

// Pictures take different room in memory while they are decoded: a JPEG that comes
// in passes, as no camera makes them, about four times that of a plain one, a PNG
// of 16 bits a channel twice that of one of 8.
const (
	passesWeight = 4
	deepWeight   = 2
)

// weightOf is the room that a picture takes, as so many pixels of a plain photo.
func weightOf(config image.Config, kind string, content []byte) int64 {
	pixels := int64(config.Width) * int64(config.Height)
	switch config.ColorModel {
	case color.RGBA64Model, color.NRGBA64Model, color.Gray16Model:
		return deepWeight * pixels
	}
	if kind == "jpeg" && inPasses(content) {
		return passesWeight * pixels
	}
	return pixels
}

// inPasses reports whether a JPEG comes in passes: whether its frame is of the
// kind SOF2 (ITU-T T.81, table B.1). It finds the frame as the decoder does, which
// passes over what should not stand between segments. One without a frame is taken
// for the heavier kind.
func inPasses(content []byte) bool {
	const (
		frame, frameLonger, frameInPasses = 0xc0, 0xc1, 0xc2
		firstRestart, lastRestart         = 0xd0, 0xd7
	)
	for at := 2; at+4 <= len(content); {
		if content[at] != 0xff {
			at++
			continue
		}
		for at+4 < len(content) && content[at+1] == 0xff { // padding
			at++
		}
		switch marker := content[at+1]; {
		case marker == frame, marker == frameLonger:
			return false
		case marker == frameInPasses:
			return true
		case marker == 0, firstRestart <= marker && marker <= lastRestart: // neither has a length
			at += 2
		default:
			at += 2 + max(2, int(content[at+2])<<8|int(content[at+3]))
		}
	}
	return true
}
