package main

import (
	"bytes"
	"context"
	"encoding/json"
	"image"
	"image/jpeg"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/testdata/photos"
)

// kept is the corpus, as seen from here.
const kept = "../../../" + corpusFolder

// TestSameBytes: what is made again is what is kept, in a few of the files.
func TestSameBytes(t *testing.T) {
	if runtime.GOARCH != "amd64" {
		t.Skip("the corpus was written on amd64; elsewhere fused multiplications round otherwise")
	}
	slips, err := photos.Print(context.Background())
	require.NoError(t, err)
	for _, s := range []shot{
		{photos.Bent90, "code128", seed}, {photos.Glare, "datamatrix", seed}, {photos.NoCode, "", seed + withoutCode - 1},
	} {
		photo, err := s.take(slips)
		require.NoError(t, err)
		folder := filepath.Join(kept, s.kind.Folder())
		content, err := os.ReadFile(filepath.Join(folder, s.file()))
		require.NoError(t, err)
		require.True(t, bytes.Equal(content, photo.JPEG), "%s, %s is another: write the corpus anew, and look at least.txt", s.kind, s.file())

		said, err := os.ReadFile(filepath.Join(folder, truthFile))
		require.NoError(t, err)
		var truths []truth
		require.NoError(t, json.Unmarshal(said, &truths))
		require.Contains(t, truths, truthOf(s, photo))
	}
}

// TestKept: every photograph of the corpus is kept, and nothing beside them.
func TestKept(t *testing.T) {
	const mostBytes = 6_000_000
	sum := int64(0)
	wanted := map[string]bool{filepath.Join(kept, "least.txt"): true}
	for _, folder := range shots() {
		path := filepath.Join(kept, folder[0].kind.Folder())
		wanted[filepath.Join(path, truthFile)] = true
		for _, s := range folder {
			wanted[filepath.Join(path, s.file())] = true
		}
	}
	err := filepath.WalkDir(kept, func(path string, entry os.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		require.True(t, wanted[path], "%s is none of the corpus", path)
		delete(wanted, path)
		info, err := entry.Info()
		sum += info.Size()
		return err
	})
	require.NoError(t, err)
	require.Empty(t, wanted, "are missing")
	require.Less(t, sum, int64(mostBytes))
}

// TestClearOut leaves what stands beside the folders.
func TestClearOut(t *testing.T) {
	root := t.TempDir()
	old, table := filepath.Join(root, "upside-down", truthFile), filepath.Join(root, "least.txt")
	require.NoError(t, write(old, nil))
	require.NoError(t, write(table, nil))
	require.NoError(t, clearOut(root))
	require.NoDirExists(t, filepath.Dir(old))
	require.FileExists(t, table)
}

func TestRunRefuses(t *testing.T) {
	require.ErrorContains(t, run(context.Background(), []string{"all"}, os.Stderr), `"all" is no option`)
	require.ErrorContains(t, run(context.Background(), nil, os.Stderr), "go.mod", "tests run in another folder")
}

// TestAround: the square is around the symbol, and in the picture where that has
// the room.
func TestAround(t *testing.T) {
	box := func(x0, y0, x1, y1 float64) photos.Code {
		return photos.Code{Corners: [4][2]float64{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}}
	}
	picture := image.Rect(0, 0, 640, 480)
	for _, test := range []struct {
		reason string
		code   photos.Code
		square image.Rectangle
	}{
		{"room on all sides", box(300, 200, 400, 300), image.Rect(280, 180, 420, 320)},
		{"near a corner", box(10, 10, 110, 110), image.Rect(0, 0, 140, 140)},
		{"near the other corner", box(530, 370, 630, 470), image.Rect(500, 340, 640, 480)},
		{"longer than the picture is high", box(20, 200, 420, 260), image.Rect(0, -40, 560, 520)},
	} {
		require.Equal(t, test.square, around(test.code, picture), test.reason)
	}
}

// TestDrawSymbol: a part beyond the picture stays as the sheet was.
func TestDrawSymbol(t *testing.T) {
	picture := image.NewGray(image.Rect(0, 0, 320, 80)) // black
	var file bytes.Buffer
	require.NoError(t, jpeg.Encode(&file, picture, nil))
	sheet := image.NewGray(image.Rect(0, 0, cell, cell))
	for i := range sheet.Pix {
		sheet.Pix[i] = 255
	}
	code := photos.Code{Corners: [4][2]float64{{40, 30}, {240, 30}, {240, 50}, {40, 50}}}
	require.NoError(t, drawSymbol(sheet, sheet.Rect, photos.Photo{JPEG: file.Bytes(), Codes: []photos.Code{code}}))
	for y, shade := range map[int]byte{20: 255, cell / 2: 0, cell - 20: 255} {
		require.Equal(t, shade, sheet.GrayAt(cell/2, y).Y, "row %d", y)
	}
}
