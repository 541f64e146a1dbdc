// Package files knows what a file is before its symbols are read: its kind and
// size, the picture in it, and which way up that is.
package files

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"
)

// Limits of a file that is taken. They are checked before anything is decoded.
const (
	MaxBytes  = 64 << 20    // of a picture or PDF file
	MaxPixels = 100_000_000 // of a picture or of a rendered page
)

const (
	// maxDecoded is the memory, in bytes, that a decoded picture may take:
	// MaxPixels at four bytes a pixel, so a PNG of 16 bits a channel may have half.
	maxDecoded = 4 * MaxPixels
)

// Decode reads a PNG or JPEG picture. Its errors wrap ErrUnsupported (another
// kind of file), ErrTooLarge (beyond MaxPixels, told from the header before any
// pixel is decoded) or ErrBroken, or are the context's.
func Decode(ctx context.Context, data []byte) (image.Image, error) {
	name := Kind(data)
	var header func(io.Reader) (image.Config, error)
	var body func(io.Reader) (image.Image, error)
	switch name {
	case "PNG":
		header, body = png.DecodeConfig, png.Decode
	case "JPEG":
		header, body = jpeg.DecodeConfig, jpeg.Decode
	default:
		return nil, unsupported(name, len(data))
	}
	config, err := header(bytes.NewReader(data))
	if err != nil {
		return nil, pictureFault(name, err)
	}
	if err := checkSize(config); err != nil {
		return nil, err
	}
	picture, err := body(contextReader{ctx, bytes.NewReader(data)})
	if err != nil {
		if ctx.Err() != nil {
			return nil, context.Cause(ctx)
		}
		return nil, pictureFault(name, err)
	}
	return picture, nil
}

// Kind names the kind of a file by its first bytes; "" when it is none of
// those that people send as pictures.
func Kind(data []byte) string {
	for _, kind := range []struct {
		name, start string
		at          int
	}{
		{"PNG", "\x89PNG\r\n\x1a\n", 0},
		{"JPEG", "\xff\xd8\xff", 0},
		{"HEIC", "ftypheic", 4}, {"HEIC", "ftypheix", 4}, {"HEIC", "ftyphevc", 4}, {"HEIC", "ftyphevx", 4},
		{"HEIC", "ftypheim", 4}, {"HEIC", "ftypheis", 4}, {"HEIC", "ftypmif1", 4}, {"HEIC", "ftypmsf1", 4},
		{"AVIF", "ftypavif", 4}, {"AVIF", "ftypavis", 4},
		{"WebP", "WEBP", 8},
		{"GIF", "GIF8", 0},
		{"TIFF", "II*\x00", 0}, {"TIFF", "MM\x00*", 0},
		{"BMP", "BM", 0},
		{"SVG", "<svg", 0},
	} {
		if len(data) >= kind.at && bytes.HasPrefix(data[kind.at:], []byte(kind.start)) {
			return kind.name
		}
	}
	return ""
}

func unsupported(name string, size int) error {
	f := &Fault{Kind: ErrUnsupported, Advice: "send a PNG or JPEG picture, or a PDF"}
	switch {
	case size == 0:
		f.Text = "the file is empty"
	case name == "":
		f.Text = "this is not a picture that can be read"
	case name == "HEIC":
		f.Text = "this is a HEIC picture, which cannot be read here"
		f.Advice = "set the phone's camera to the most compatible format, or share the picture as JPEG"
	default:
		f.Text = fmt.Sprintf("%s pictures cannot be read here", name)
		f.Advice = "save the picture as PNG or JPEG"
	}
	return f
}

// pictureFault says what a decoder complained about. The decoders of the
// standard library tell bad data from data of a kind that they cannot read.
func pictureFault(name string, err error) error {
	var pngKind png.UnsupportedError
	var jpegKind jpeg.UnsupportedError
	if errors.As(err, &pngKind) && pngKind == "dimension overflow" {
		return tooLarge("the picture has more pixels than can be counted")
	}
	if errors.As(err, &pngKind) || errors.As(err, &jpegKind) {
		return &Fault{ErrUnsupported, fmt.Sprintf("this kind of %s cannot be read here", name),
			"open the picture and save it again as a plain PNG or JPEG", err}
	}
	return &Fault{ErrBroken, fmt.Sprintf("the %s picture is damaged", name),
		"take or send the picture again", err}
}

func checkSize(config image.Config) error {
	width, height := int64(config.Width), int64(config.Height)
	if width <= 0 || height <= 0 {
		return &Fault{Kind: ErrBroken, Text: fmt.Sprintf("the picture gives its size as %d × %d pixels", width, height),
			Advice: "take or send the picture again"}
	}
	depth := int64(4)
	switch config.ColorModel {
	case color.NRGBA64Model, color.RGBA64Model:
		depth = 8
	}
	// The sides are below 2³¹, so the products stay below 2⁶³ but for absurd
	// depths, which the first test keeps away.
	if width*height > MaxPixels || width*height*depth > maxDecoded {
		return tooLarge(fmt.Sprintf("the picture has %d × %d pixels, too many to read", width, height))
	}
	return nil
}

func tooLarge(text string) error {
	return &Fault{Kind: ErrTooLarge, Text: text, Advice: fmt.Sprintf("make it smaller: %d megapixels at most", MaxPixels/1_000_000)}
}

// ReadAll reads a whole file of at most MaxBytes.
func ReadAll(ctx context.Context, r io.Reader) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(contextReader{ctx, r}, MaxBytes+1))
	if err != nil {
		return nil, err
	}
	if len(data) > MaxBytes {
		return nil, &Fault{Kind: ErrTooLarge,
			Text:   fmt.Sprintf("the file is larger than %d MiB", MaxBytes>>20),
			Advice: "make the picture smaller, or split the PDF"}
	}
	return data, nil
}

// contextReader stops reading when its context ends.
type contextReader struct {
	ctx context.Context
	io.Reader
}

func (r contextReader) Read(p []byte) (int, error) {
	if r.ctx.Err() != nil {
		return 0, context.Cause(r.ctx)
	}
	return r.Reader.Read(p)
}

// IsPDF reports whether a file that begins with head is a PDF.
func IsPDF(head []byte) bool {
	return bytes.Contains(head[:min(len(head), headBytes)], []byte("%PDF-"))
}

// headBytes is how far into a PDF its mark may stand, as readers of PDF allow.
const headBytes = 1024
