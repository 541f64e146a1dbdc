package scan_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"os"
	"runtime"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"graftslip/codes/scan"
	"graftslip/testdata/long"
)

// photosVariable, when it is "full", has ten thousand damaged files read.
const photosVariable = "GRAFTSLIP_PHOTOS"

// pictureFile is a picture file and what stands on it.
type pictureFile struct {
	photograph
	parts  [][]byte // of the file, in order
	isPNG  bool
	header int // the part that tells the size
}

// pictureFiles are photographs as JPEG and as PNG.
func pictureFiles(t testing.TB) []pictureFile {
	t.Helper()
	var files []pictureFile
	for _, p := range allPhotographs(t) {
		if !slices.Contains([]string{"plain", "turned", "bent-30", "faded"}, p.kind) {
			continue
		}
		picture, err := jpeg.Decode(bytes.NewReader(p.data))
		require.NoError(t, err)
		var again bytes.Buffer
		fast := png.Encoder{CompressionLevel: png.BestSpeed}
		require.NoError(t, fast.Encode(&again, picture))
		files = append(files, jpegParts(t, p), pngParts(p, again.Bytes()))
	}
	require.Len(t, files, 24)
	return files
}

// jpegParts cuts a JPEG into its mark, its segments, and the picture itself
// with the segment before it.
func jpegParts(t testing.TB, p photograph) pictureFile {
	t.Helper()
	const startOfFrame, startOfScan = 0xC0, 0xDA
	f := pictureFile{photograph: p, parts: [][]byte{p.data[:2]}}
	rest := p.data[2:]
	for rest[1] != startOfScan {
		if rest[1] == startOfFrame {
			f.header = len(f.parts)
		}
		end := 2 + int(binary.BigEndian.Uint16(rest[2:]))
		f.parts, rest = append(f.parts, rest[:end]), rest[end:]
	}
	require.NotZero(t, f.header)
	f.parts = append(f.parts, rest)
	return f
}

// pngParts cuts a PNG into its mark and its chunks.
func pngParts(p photograph, data []byte) pictureFile {
	f := pictureFile{photograph: p, parts: [][]byte{data[:8]}, isPNG: true, header: 1}
	for rest := data[8:]; len(rest) > 0; {
		end := 12 + int(binary.BigEndian.Uint32(rest))
		f.parts, rest = append(f.parts, rest[:end]), rest[end:]
	}
	return f
}

// changed is the file with a part changed, and with the check of that part made
// right again if it is a PNG's.
func (f pictureFile) changed(part int, change func(part []byte)) []byte {
	parts := slices.Clone(f.parts)
	parts[part] = bytes.Clone(parts[part])
	change(parts[part])
	if body := len(parts[part]) - 4; f.isPNG && part > 0 {
		binary.BigEndian.PutUint32(parts[part][body:], crc32.ChecksumIEEE(parts[part][4:body]))
	}
	return slices.Concat(parts...)
}

// sized is the file with another size in its header.
func (f pictureFile) sized(change func(width, height uint32) (uint32, uint32)) []byte {
	return f.changed(f.header, func(part []byte) {
		if f.isPNG {
			width, height := change(binary.BigEndian.Uint32(part[8:]), binary.BigEndian.Uint32(part[12:]))
			binary.BigEndian.PutUint32(part[8:], width)
			binary.BigEndian.PutUint32(part[12:], height)
			return
		}
		width, height := change(uint32(binary.BigEndian.Uint16(part[7:])), uint32(binary.BigEndian.Uint16(part[5:])))
		binary.BigEndian.PutUint16(part[7:], uint16(width))
		binary.BigEndian.PutUint16(part[5:], uint16(height))
	})
}

// damage is what happens to a file.
type damage struct {
	name     string
	readable bool // some of the files can still be read
	do       func(f pictureFile, random *rand.Rand) []byte
}

func damages() []damage {
	flip := func(data []byte, random *rand.Rand) {
		for range 1 + random.IntN(8) {
			data[random.IntN(len(data))] ^= byte(1 + random.IntN(255))
		}
	}
	return []damage{
		{"bytes flipped", true, func(f pictureFile, random *rand.Rand) []byte {
			data := slices.Concat(f.parts...)
			flip(data, random)
			return data
		}},
		{"bytes of a part flipped, its check right", true, func(f pictureFile, random *rand.Rand) []byte {
			part := random.IntN(len(f.parts))
			return f.changed(part, func(part []byte) { flip(part, random) })
		}},
		{"cut off", false, func(f pictureFile, random *rand.Rand) []byte {
			data := slices.Concat(f.parts...)
			return data[:random.IntN(len(data))]
		}},
		{"parts exchanged", true, func(f pictureFile, random *rand.Rand) []byte {
			parts := slices.Clone(f.parts)
			one, other := random.IntN(len(parts)), random.IntN(len(parts))
			parts[one], parts[other] = parts[other], parts[one]
			return slices.Concat(parts...)
		}},
		{"another size", true, func(f pictureFile, random *rand.Rand) []byte {
			return f.sized(func(width, height uint32) (uint32, uint32) {
				switch random.IntN(4) {
				case 0:
					return height, width
				case 1:
					return width, uint32(random.IntN(int(2 * height)))
				case 2:
					return uint32(random.IntN(int(2 * width))), height
				}
				return width + uint32(random.IntN(17)) - 8, height + uint32(random.IntN(17)) - 8
			})
		}},
	}
}

// isRefusal reports whether a file was refused for what it is.
func isRefusal(err error) bool {
	return slices.ContainsFunc([]error{scan.ErrBroken, scan.ErrUnsupported, scan.ErrTooLarge}, func(kind error) bool { return errors.Is(err, kind) })
}

// TestDamagedFiles reads picture files that were damaged on their way: they are
// refused, or read as far as they can be, soon, and no text is read that was not
// on the picture. Case n of a damage is the same in every run.
func TestDamagedFiles(t *testing.T) {
	cases, step := 60, 5 // of each damage; the short form tries every fifth, each of another file
	switch {
	case os.Getenv(photosVariable) == "full":
		cases, step = 2_000, 1
	case long.Form():
		step = 1
	case testing.Short():
		t.Skip("reads many files")
	}
	t.Parallel()
	files := pictureFiles(t)
	renderer, err := scan.NewRenderer(t.Context())
	require.NoError(t, err)
	defer renderer.Close()
	for i, harm := range damages() {
		t.Run(harm.name, func(t *testing.T) {
			var all fates
			for n := 0; n < cases; n += step {
				random := rand.New(rand.NewPCG(uint64(n), uint64(i)))
				all.read(t, renderer, files[n%len(files)], harm.do(files[n%len(files)], random), n)
			}
			require.Equal(t, cases/step, all.refused+all.good+all.empty+all.stopped, "each file is one picture")
			require.NotZero(t, all.refused)
			if harm.readable {
				require.NotZero(t, all.good, "some can still be read")
			}
			t.Logf("%d refused, %d read, nothing read on %d, %d stopped after %v; the longest took %v", all.refused, all.good, all.empty, all.stopped, limit, all.longest)
		})
	}
}

// limit is the time for one file, late how much longer it may take.
const limit, late = 3 * time.Second, time.Second

// fates are how many files came to which end.
type fates struct {
	refused, good, empty, stopped int
	longest                       time.Duration
}

// read reads the damaged data of a file, as case n.
func (all *fates) read(t *testing.T, renderer *scan.Renderer, f pictureFile, data []byte, n int) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), limit)
	defer cancel()
	begin := time.Now()
	for view, err := range renderer.File(ctx, bytes.NewReader(data), isCode) {
		switch {
		case isRefusal(err):
			all.refused++
		case errors.Is(err, context.DeadlineExceeded):
			all.stopped++
		case len(view.Found) > 0:
			require.NoError(t, err, "case %d, %s", n, f)
			all.good++
		default:
			require.NoError(t, err, "case %d, %s", n, f)
			all.empty++
		}
		for _, found := range view.Found {
			_, stands := f.code(found.Text)
			require.True(t, stands, "case %d, %s: a wrong text was read: %q", n, f, found.Text)
		}
	}
	took := time.Since(begin)
	all.longest = max(all.longest, took)
	require.Less(t, took, limit+late, "case %d, %s", n, f)
}

// TestAbsurdSizes: a file that says it is huge is refused by its header, before
// memory is taken for its pixels. It must not run beside others: what they take
// would count.
func TestAbsurdSizes(t *testing.T) {
	renderer, err := scan.NewRenderer(t.Context())
	require.NoError(t, err)
	defer renderer.Close()
	const mostBytes = 8 << 20 // the file itself is read into memory that grows with it
	for _, f := range pictureFiles(t) {
		for _, size := range [][2]uint32{{65535, 65535}, {65535, 1526}, {10_001, 10_000}, {1<<31 - 1, 1<<31 - 1}} {
			if !f.isPNG && size[0] > 65535 {
				continue // a JPEG cannot say so
			}
			data := f.sized(func(uint32, uint32) (uint32, uint32) { return size[0], size[1] })
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			for view, err := range renderer.File(t.Context(), bytes.NewReader(data), isCode) {
				require.ErrorIs(t, err, scan.ErrTooLarge, "%s as PNG: %t, %v", f, f.isPNG, size)
				require.Nil(t, view.Picture)
			}
			runtime.ReadMemStats(&after)
			require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(mostBytes), "%s as PNG: %t, %v", f, f.isPNG, size)
		}
	}
}
