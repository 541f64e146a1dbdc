package scan

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/gif"
	"image/jpeg"
	"image/png"
	"io"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/require"

	"graftslip/codes/scan/internal/files"
)

// hinted is an error with advice.
type hinted interface {
	error
	Hint() string
}

// pngHeader is the beginning of a PNG that says how large it is. The format:
// W3C Portable Network Graphics, signature and IHDR chunk.
func pngHeader(width, height uint32, depth, colour byte) []byte {
	chunk := append([]byte("IHDR"), binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, width), height)...)
	chunk = append(chunk, depth, colour, 0, 0, 0)
	file := append([]byte("\x89PNG\r\n\x1a\n"), 0, 0, 0, 13)
	file = append(file, chunk...)
	return binary.BigEndian.AppendUint32(file, crc32.ChecksumIEEE(chunk))
}

func smallPNG(t testing.TB) []byte {
	var file bytes.Buffer
	require.NoError(t, png.Encode(&file, canvas(40, 30)))
	return file.Bytes()
}

func smallJPEG(t testing.TB) []byte {
	var file bytes.Buffer
	require.NoError(t, jpeg.Encode(&file, canvas(40, 30), nil))
	return file.Bytes()
}

// decoded reads a picture as File does.
func decoded(ctx context.Context, r io.Reader) (image.Image, error) {
	data, err := files.ReadAll(ctx, r)
	if err != nil {
		return nil, err
	}
	return files.Decode(ctx, data)
}

func TestDecode(t *testing.T) {
	for _, file := range [][]byte{smallPNG(t), smallJPEG(t)} {
		picture, err := decoded(context.Background(), bytes.NewReader(file))
		require.NoError(t, err)
		require.Equal(t, image.Pt(40, 30), picture.Bounds().Size())
	}
}

func TestDecodeRefuses(t *testing.T) {
	var moving bytes.Buffer
	require.NoError(t, gif.Encode(&moving, canvas(4, 4), nil))
	file := func(s string) []byte { return []byte(s) }
	for _, test := range []struct {
		reason string
		file   []byte
		kind   error
		says   string
	}{
		{"nothing", nil, ErrUnsupported, "the file is empty"},
		{"text", file("26329-004-0017-42"), ErrUnsupported, "not a picture"},
		{"a PDF is no picture", file("%PDF-1.4"), ErrUnsupported, "not a picture"},
		{"a phone's own format", file("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00"), ErrUnsupported, "HEIC"},
		{"the same by another brand", file("\x00\x00\x00\x18ftypmif1\x00\x00\x00\x00"), ErrUnsupported, "HEIC"},
		{"AVIF", file("\x00\x00\x00\x1cftypavif\x00\x00\x00\x00"), ErrUnsupported, "AVIF"},
		{"WebP", file("RIFF\x10\x00\x00\x00WEBPVP8 "), ErrUnsupported, "WebP"},
		{"GIF", moving.Bytes(), ErrUnsupported, "GIF"},
		{"TIFF", file("II*\x00\x08\x00\x00\x00"), ErrUnsupported, "TIFF"},
		{"a kind of PNG that there is not", pngHeader(10, 10, 3, 0), ErrUnsupported, "PNG"},
		{"a kind of JPEG that cannot be read: lossless", file("\xff\xd8\xff\xc3\x00\x0b\x08\x00\x10\x00\x10\x01\x01\x11\x00"), ErrUnsupported, "JPEG"},
		{"no pixels", pngHeader(0, 10, 8, 0), ErrBroken, "PNG"},
		{"a header alone", pngHeader(10, 10, 8, 0), ErrBroken, "damaged"},
		{"a broken header", append(pngHeader(10, 10, 8, 0)[:29], "nonsense"...), ErrBroken, "damaged"},
		{"the half of a PNG", smallPNG(t)[:len(smallPNG(t))/2], ErrBroken, "PNG"},
		{"a JPEG's mark alone", file("\xff\xd8\xff"), ErrBroken, "JPEG"},
		{"the half of a JPEG", smallJPEG(t)[:len(smallJPEG(t))/2], ErrBroken, "JPEG"},
		{"a side too long, no pixels behind it", pngHeader(1<<31-1, 1, 8, 0), ErrTooLarge, "2147483647 × 1 pixels"},
		{"absurd on both sides", pngHeader(1<<31-1, 1<<31-1, 8, 0), ErrTooLarge, "more pixels than can be counted"},
		{"just over the limit", pngHeader(10_000, 10_001, 8, 0), ErrTooLarge, "10000 × 10001"},
		{"half as many pixels of 16 bits a channel", pngHeader(10_000, 6_000, 16, 6), ErrTooLarge, "10000 × 6000"},
		{"more bytes than are taken", make([]byte, files.MaxBytes+1), ErrTooLarge, "64 MiB"},
	} {
		picture, err := decoded(context.Background(), bytes.NewReader(test.file))
		require.Nil(t, picture, test.reason)
		require.ErrorIs(t, err, test.kind, test.reason)
		require.ErrorContains(t, err, test.says, test.reason)
		for _, other := range []error{ErrUnsupported, ErrBroken, ErrTooLarge, ErrLocked} {
			require.Equal(t, other == test.kind, errors.Is(err, other), "%s: the kinds are told apart", test.reason)
		}
		var h hinted
		require.ErrorAs(t, err, &h, test.reason)
		require.NotEmpty(t, h.Hint())
		require.NotContains(t, h.Hint(), "\n")
		require.False(t, strings.HasSuffix(h.Hint(), "."))
	}
	// Exactly the limit passes the check of the header; then the rest is missing.
	_, err := decoded(context.Background(), bytes.NewReader(pngHeader(10_000, 10_000, 8, 0)))
	require.ErrorIs(t, err, ErrBroken)
}

func TestDecodeOfAFailingReader(t *testing.T) {
	unplugged := errors.New("the card was pulled out")
	_, err := decoded(context.Background(), iotest.ErrReader(unplugged))
	require.ErrorIs(t, err, unplugged)

	reason := errors.New("the person has gone")
	ctx, cancel := context.WithCancelCause(context.Background())
	file := io.MultiReader(bytes.NewReader(smallPNG(t)), readerFunc(func([]byte) (int, error) {
		cancel(reason)
		return 1, nil // an endless file
	}))
	_, err = decoded(ctx, file)
	require.ErrorIs(t, err, reason)
}

type readerFunc func([]byte) (int, error)

func (f readerFunc) Read(p []byte) (int, error) { return f(p) }

func FuzzDecode(f *testing.F) {
	f.Add(smallPNG(f))
	f.Add(smallJPEG(f))
	f.Add(pngHeader(1<<31-1, 2, 8, 0))
	f.Add([]byte("\x00\x00\x00\x18ftypheic"))
	f.Add([]byte("%PDF-1.4"))
	f.Fuzz(func(t *testing.T, file []byte) {
		if config, _, err := image.DecodeConfig(bytes.NewReader(file)); err == nil && config.Width*config.Height > 1<<20 {
			t.Skip("slow")
		}
		picture, err := decoded(context.Background(), bytes.NewReader(file))
		if err == nil {
			_, err = Picture(context.Background(), picture, nil)
			require.NoError(t, err)
			return
		}
		require.True(t, errors.Is(err, ErrBroken) || errors.Is(err, ErrUnsupported) || errors.Is(err, ErrTooLarge), "%v", err)
	})
}
