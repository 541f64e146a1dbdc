package site_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"
	"io"
	"iter"
	"mime/multipart"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sync/errgroup"

	"graftslip/cmd/internal/site"
	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/codes/symbol"
)

// photo is a picture with QR codes of texts beside each other, on light grey.
func photo(t testing.TB, texts ...string) *image.Gray {
	t.Helper()
	const module, side = 6, 260
	picture := image.NewGray(image.Rect(0, 0, side*max(1, len(texts))+80, side+80))
	draw.Draw(picture, picture.Bounds(), image.NewUniform(color.Gray{Y: 230}), image.Point{}, draw.Src)
	for i, text := range texts {
		modules, err := symbol.Encode(symbol.QR, text)
		require.NoError(t, err)
		for y := range modules.Height() * module {
			for x := range modules.Width() * module {
				if modules.Dark(x/module, y/module) {
					picture.SetGray(60+i*side+x, 60+y, color.Gray{Y: 20})
				}
			}
		}
	}
	return picture
}

func asPNG(t testing.TB, picture image.Image) []byte {
	t.Helper()
	var file bytes.Buffer
	require.NoError(t, png.Encode(&file, picture))
	return file.Bytes()
}

func asJPEG(t testing.TB, picture image.Image) []byte {
	t.Helper()
	var file bytes.Buffer
	require.NoError(t, jpeg.Encode(&file, picture, nil))
	return file.Bytes()
}

// photographed is one of the photographs that the reader is tested with.
func photographed(t testing.TB, kind, name string) []byte {
	t.Helper()
	content, err := os.ReadFile(filepath.Join("..", "..", "..", "codes", "scan", "testdata", "photographs", kind, name))
	require.NoError(t, err)
	return content
}

// photoForm is the body of a form with a photo, and its content type.
func photoForm(t testing.TB, field string, content []byte) (body []byte, kind string) {
	t.Helper()
	var form bytes.Buffer
	w := multipart.NewWriter(&form)
	file, err := w.CreateFormFile(field, "photo.jpg")
	require.NoError(t, err)
	_, err = file.Write(content)
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return form.Bytes(), w.FormDataContentType()
}

func (p *phone) send(content []byte) (status int, path, body string) {
	p.t.Helper()
	form, kind := photoForm(p.t, "photo", content)
	answer, err := p.client.Post(p.server+"/scan", kind, bytes.NewReader(form))
	require.NoError(p.t, err)
	status, body = p.read(answer)
	return status, answer.Request.URL.Path, body
}

// A photo of one code goes to its record, one of several to a list, and one
// without says why.
func TestPhotos(t *testing.T) {
	n := newNursery(t)
	p := n.phone(t, "Ida")
	stem, tray := n.stem(t, 7), n.tray(t, 2)
	foreign, err := codes.New(sessionDay(), 500)
	require.NoError(t, err)
	noise := image.NewGray(image.Rect(0, 0, 300, 300))
	cut := asJPEG(t, photo(t, stem.String()))
	for _, each := range []struct {
		reason string
		photo  []byte
		status int
		path   string
		shows  []string
	}{
		{"a PNG of a stem", asPNG(t, photo(t, stem.String())), 200, at(stem), []string{"stem 7 of 36"}},
		{"a JPEG of a tray", asJPEG(t, photo(t, tray.String())), 200, at(tray), []string{"tray 2 of 2"}},
		{"a link on a card", asJPEG(t, photo(t, "HTTP://BED.EXAMPLE:8417"+at(tray))), 200, at(tray), []string{"tray 2 of 2"}},
		{"two codes", asPNG(t, photo(t, stem.String(), tray.String())), 200, "/found", []string{"2 codes", at(stem), at(tray)}},
		{"one code twice", asPNG(t, photo(t, stem.String(), stem.String())), 200, at(stem), []string{"stem 7 of 36"}},
		{"one of the ledger and one of another", asPNG(t, photo(t, stem.String(), foreign.String())), 200, "/found", []string{"1 code<", foreign.String() + " is not in the ledger"}},
		{"of another ledger alone", asPNG(t, photo(t, foreign.String())), 404, at(foreign), []string{"is not in the ledger"}},
		{"a code of something else", asPNG(t, photo(t, "https://elsewhere.example/")), 404, "/scan", []string{"A code was found but could not be read"}},
		{"nothing", asPNG(t, noise), 404, "/scan", []string{"No code was found on this photo"}},
		{"a photograph without a code", photographed(t, "no-code", "9001.jpg"), 404, "/scan", []string{"code"}},
		{"a photograph of a code of another ledger", photographed(t, "plain", "qr-9001.jpg"), 404, "/", []string{"not in the ledger"}},
		{"the end is missing", cut[:len(cut)*2/3], 422, "/scan", []string{"The picture is damaged"}},
		{"the beginning alone", cut[:30], 415, "/scan", []string{"Send a photo as JPEG or PNG"}},
		{"no picture", []byte("PK\x03\x04 catalogue.zip"), 415, "/scan", []string{"Send a photo as JPEG or PNG"}},
		{"a PDF", []byte("%PDF-1.7\n1 0 obj"), 415, "/scan", []string{"Send a photo as JPEG or PNG"}},
		{"an empty file", nil, 400, "/scan", []string{"No photo was sent"}},
	} {
		status, path, body := p.send(each.photo)
		require.Equal(t, each.status, status, "%s: %s", each.reason, body)
		require.True(t, strings.HasPrefix(path, each.path), "%s: %s", each.reason, path)
		for _, shown := range each.shows {
			require.Contains(t, body, shown, each.reason)
		}
		tidy(t, body)
	}
	require.Empty(t, n.troubles.all())
}

// A photograph that cannot be read says what was in the way, where that was seen.
func TestPhotoBlurred(t *testing.T) {
	n := newNursery(t, func(o *site.Options) {
		o.ReadPhoto = func(context.Context, io.Reader, func(string) bool) iter.Seq2[scan.View, error] {
			return func(yield func(scan.View, error) bool) {
				yield(scan.View{Reading: scan.Reading{Missed: []scan.Missed{{Reason: scan.CutOff}}}}, nil)
			}
		}
	})
	status, _, body := n.phone(t, "Ida").send(asPNG(t, photo(t)))
	require.Equal(t, http.StatusNotFound, status)
	require.Contains(t, body, "A code was found but could not be read")
}

// What ends a reading early is no fault of the picture; what is none of its faults is
// reported at the computer.
func TestPhotoNotRead(t *testing.T) {
	for _, each := range []struct {
		reason  string
		reading scan.Reading
		err     error
		status  int
		shows   []string
		reports int
	}{
		{"no time", scan.Reading{}, context.DeadlineExceeded, 503, []string{"Reading the photo took too long", "Try again, or send a smaller photo"}, 0},
		{"no time for the rest", scan.Reading{Missed: []scan.Missed{{Reason: scan.CutOff}}}, context.DeadlineExceeded, 404, []string{"A code was found but could not be read"}, 0},
		{"damaged", scan.Reading{}, fmt.Errorf("the JPEG: %w", scan.ErrBroken), 422, []string{"The picture is damaged"}, 0},
		{"a fault of the reader", scan.Reading{}, errors.New("no memory"), 500, []string{"Internal error"}, 1},
	} {
		n := newNursery(t, func(o *site.Options) {
			o.ReadPhoto = func(context.Context, io.Reader, func(string) bool) iter.Seq2[scan.View, error] {
				return func(yield func(scan.View, error) bool) { yield(scan.View{Reading: each.reading}, each.err) }
			}
		})
		status, _, body := n.phone(t, "Ida").send(asPNG(t, photo(t)))
		require.Equal(t, each.status, status, each.reason)
		for _, shown := range each.shows {
			require.Contains(t, body, shown, each.reason)
		}
		require.Len(t, n.troubles.all(), each.reports, each.reason)
	}
}

// Pictures that are larger than they look are refused by their header.
func TestPhotoBombs(t *testing.T) {
	n := newNursery(t)
	p := n.phone(t, "Ida")
	for _, each := range []struct {
		reason string
		photo  []byte
		status int
	}{
		{"a PNG of 60,000 × 60,000", sized(asPNG(t, photo(t)), 60_000, 60_000), 413},
		{"of 2³¹ − 1 × 2³¹ − 1", sized(asPNG(t, photo(t)), 1<<31-1, 1<<31-1), 415},
		{"just too many pixels", sized(asPNG(t, photo(t)), 7072, 7072), 413},
		{"as many as are taken, and no content", sized(asPNG(t, photo(t)), 7000, 7000), 422},
		{"no width", sized(asPNG(t, photo(t)), 0, 10), 415},
		{"a JPEG of 65,535 × 65,535", sizedJPEG(asJPEG(t, photo(t)), 65_535, 65_535, false), 413},
		{"a JPEG of 50 megapixels, in passes", sizedJPEG(coloured(t), 7000, 7000, true), 413},
	} {
		status, _, body := p.send(each.photo)
		require.Equal(t, each.status, status, "%s: %s", each.reason, body)
		tidy(t, body)
	}
	require.Empty(t, n.troubles.all())
}

// Many phones that send large photos at once wait for each other, so that the
// memory stays bounded: no more than eight are in it, and of large ones one is
// looked at.
func TestPhotosAtOnce(t *testing.T) {
	var reading, most, total atomic.Int32
	var mutex sync.Mutex
	release := make(chan struct{})
	n := newNursery(t, func(o *site.Options) {
		o.ReadPhoto = func(ctx context.Context, _ io.Reader, _ func(string) bool) iter.Seq2[scan.View, error] {
			return func(yield func(scan.View, error) bool) {
				mutex.Lock()
				most.Store(max(most.Load(), reading.Add(1)))
				mutex.Unlock()
				total.Add(1)
				<-release
				reading.Add(-1)
				yield(scan.View{}, nil)
			}
		}
	})
	p := n.phone(t, "Ida")
	large := append(sized(asPNG(t, photo(t)), 7000, 7000), make([]byte, 6<<20)...)
	form, kind := photoForm(t, "photo", large)
	var group errgroup.Group
	var before, during runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	for range 40 {
		group.Go(func() error {
			answer, err := p.client.Post(p.server+"/scan", kind, bytes.NewReader(form))
			if err != nil {
				return err
			}
			return answer.Body.Close()
		})
	}
	require.Eventually(t, func() bool { return reading.Load() > 0 }, 10*time.Second, time.Millisecond)
	time.Sleep(500 * time.Millisecond)
	runtime.GC()
	runtime.ReadMemStats(&during)
	close(release)
	require.NoError(t, group.Wait())
	grown := (int64(during.HeapAlloc) - int64(before.HeapAlloc)) >> 20
	t.Logf("40 photos of 6 MB at once: %d MB in memory", grown)
	require.Less(t, grown, int64(150), "eight of 6 MB, and what reading them takes")
	require.Equal(t, int32(1), most.Load())
	require.Equal(t, int32(40), total.Load())
}
