package site

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	_ "image/jpeg" // for its header
	_ "image/png"
	"io"
	"mime/multipart"
	"net/http"
	"time"

	"graftslip/codes/scan"
	"graftslip/records/lookup"
)

const (
	maxPixels = 50_000_000 // of one picture, and of all being read
	// Pictures at once: a few phones shall not fill the memory.
	maxUploads  = 8
	maxDecoding = 2

	photoTime = 20 * time.Second // for one picture, waiting included
)

// readPhoto reads the codes on the picture sent. The picture counts as an upload until
// it is read, since it is in memory until then.
func (s *Site) readPhoto(r *request) (reading scan.Reading, err error) {
	waiting, end := context.WithTimeout(r.Context(), photoTime)
	defer end()
	if s.uploading.Acquire(waiting, 1) != nil {
		return reading, tooBusy()
	}
	defer s.uploading.Release(1)
	content, err := sentPhoto(r.Request)
	if err != nil {
		return reading, err
	}
	config, kind, err := image.DecodeConfig(bytes.NewReader(content))
	switch {
	case err != nil || kind != "jpeg" && kind != "png":
		return reading, refuse(http.StatusUnsupportedMediaType, "send a photo as JPEG or PNG", "this picture cannot be read")
	case config.Width <= 0 || config.Height <= 0 || config.Width > maxPixels/config.Height:
		return reading, tooLarge(fmt.Sprintf("send a picture of at most %d megapixels", maxPixels/1_000_000), "the picture is too large")
	}
	weight := weightOf(config, kind, content)
	if weight > maxPixels {
		return reading, tooLarge("send it as the camera took it, or smaller", "the picture is too large for its file type")
	}
	return s.read(r.Context(), content, weight)
}

// read reads a picture, once there is memory for it beside others.
func (s *Site) read(ctx context.Context, content []byte, weight int64) (reading scan.Reading, err error) {
	ctx, end := context.WithTimeout(ctx, photoTime)
	defer end()
	room := max(weight, maxPixels/maxDecoding)
	if s.decoding.Acquire(ctx, room) != nil {
		return reading, tooBusy()
	}
	defer s.decoding.Release(room)
	for view, err := range s.ReadPhoto(ctx, bytes.NewReader(content), lookup.IsCode) {
		switch {
		case errors.Is(err, scan.ErrBroken), errors.Is(err, scan.ErrUnsupported), errors.Is(err, scan.ErrTooLarge):
			return reading, refuse(http.StatusUnprocessableEntity, "take the photo again", "the picture is damaged")
		case errors.Is(err, context.DeadlineExceeded) && len(view.Found)+len(view.Missed) > 0:
			return view.Reading, nil // as far as the time went
		case errors.Is(err, context.DeadlineExceeded):
			return reading, refuse(http.StatusServiceUnavailable, "try again, or send a smaller photo", "reading the photo took too long")
		}
		return view.Reading, err
	}
	return reading, nil
}

func tooBusy() error {
	return refuse(http.StatusServiceUnavailable, "try again in a moment", "too many photos are being read")
}

func tooLarge(hint, problem string) error {
	return refuse(http.StatusRequestEntityTooLarge, hint, "%s", problem)
}

// sentPhoto returns the picture of a form.
func sentPhoto(r *http.Request) ([]byte, error) {
	parts, err := r.MultipartReader()
	for err == nil {
		var part *multipart.Part
		if part, err = parts.NextPart(); err == nil && part.FormName() == "photo" {
			content, broken := io.ReadAll(part)
			if broken == nil && len(content) > 0 {
				return content, nil
			}
			err = cmp.Or(broken, io.EOF)
		}
	}
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return nil, tooLarge(fmt.Sprintf("send a photo of at most %d MB", maxPhoto>>20), "the photo is too large")
	}
	return nil, refuse(http.StatusBadRequest, "choose the photo again", "no photo was sent")
}

// weightOf returns the memory that decoding a picture takes, in pixels of a plain photo.
// A progressive JPEG, which no camera makes, takes about four times as much as a plain
// one, a PNG with 16 bits a channel twice as much as one with 8.
func weightOf(config image.Config, kind string, content []byte) int64 {
	pixels := int64(config.Width) * int64(config.Height)
	switch config.ColorModel {
	case color.RGBA64Model, color.NRGBA64Model, color.Gray16Model:
		return 2 * pixels
	}
	if kind == "jpeg" && progressive(content) {
		return 4 * pixels
	}
	return pixels
}

// progressive reports whether a JPEG is progressive: whether its frame is SOF2 (ITU-T
// T.81, table B.1). Like the decoder it skips anything between segments. A file without
// a frame counts as progressive.
func progressive(content []byte) bool {
	const (
		frame, frameLonger, frameProgressive = 0xc0, 0xc1, 0xc2
		firstRestart, lastRestart            = 0xd0, 0xd7
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
		case marker == frameProgressive:
			return true
		case marker == 0, firstRestart <= marker && marker <= lastRestart: // these have no length
			at += 2
		default:
			at += 2 + max(2, int(content[at+2])<<8|int(content[at+3]))
		}
	}
	return true
}
