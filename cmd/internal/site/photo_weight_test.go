package site_test

import (
	"bytes"
	"image"
	"net/http"
	"testing"

	"github.com/stretchr/testify/require"
)

// What takes much room while it is decoded is refused at fewer pixels, however its
// header is dressed up.
func TestPhotoWeight(t *testing.T) {
	n := newNursery(t)
	p := n.phone(t, "Ida")
	deep := asPNG(t, image.NewRGBA64(image.Rect(0, 0, 8, 8)))
	for _, each := range []struct {
		reason string
		photo  []byte
		status int
	}{
		{"a JPEG in passes of 9 megapixels, without what is in it", sizedJPEG(coloured(t), 3000, 3000, true), http.StatusUnprocessableEntity},
		{"of 16 megapixels", sizedJPEG(coloured(t), 4000, 4000, true), http.StatusRequestEntityTooLarge},
		{"a plain one of 16 megapixels", sizedJPEG(coloured(t), 4000, 4000, false), http.StatusUnprocessableEntity},
		{"with padding before its frame", before(sizedJPEG(coloured(t), 4000, 4000, true), 0xc2, 0xff, 0xff, 0xff), http.StatusRequestEntityTooLarge},
		{"with rubbish before it", before(sizedJPEG(coloured(t), 4000, 4000, true), 0xc2, 'x', 0xff, 0, 'y'), http.StatusRequestEntityTooLarge},
		{"with a comment that looks like a frame", before(sizedJPEG(coloured(t), 4000, 4000, true), 0xc2, 0xff, 0xfe, 0, 4, 0xff, 0xc0), http.StatusRequestEntityTooLarge},
		{"with a restart before it", before(sizedJPEG(coloured(t), 4000, 4000, true), 0xc2, 0xff, 0xd3), http.StatusRequestEntityTooLarge},
		{"a plain one with a restart before its frame", before(sizedJPEG(coloured(t), 4000, 4000, false), 0xc0, 0xff, 0xd3), http.StatusUnprocessableEntity},
		{"a PNG of 16 bits of 16 megapixels, without what is in it", sized(deep, 4000, 4000), http.StatusUnprocessableEntity},
		{"of 36 megapixels", sized(deep, 6000, 6000), http.StatusRequestEntityTooLarge},
	} {
		status, _, body := p.send(each.photo)
		require.Equal(t, each.status, status, "%s: %s", each.reason, body)
	}
}

// before puts bytes before the segment of a JPEG with a marker.
func before(file []byte, marker byte, put ...byte) []byte {
	at := bytes.Index(file, []byte{0xff, marker})
	return bytes.Join([][]byte{file[:at], put, file[at:]}, nil)
}
