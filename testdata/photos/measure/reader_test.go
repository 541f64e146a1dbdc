package main

import (
	"context"
	"image"
	"image/jpeg"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/codes/scan"
	"graftslip/testdata/outside"
)

// Each reader reads plain symbols, two files at once, dark on light and, where
// it can, light on dark; of a blank file it reads nothing.
func TestReaders(t *testing.T) {
	for _, test := range []struct {
		reader, program string
		inverted        []string // the symbols that it reads light on dark
	}{
		{slipread, "", symbols()},
		{"zbar", "zbarimg", []string{scan.QR, scan.Code128}},
		{"libdmtx", "dmtxread", []string{scan.DataMatrix}},
		{"zxing-cpp", "ZXingReader", nil},
	} {
		t.Run(test.reader, func(t *testing.T) {
			if test.program != "" {
				outside.Tool(t, test.program)
			}
			ctx, folder := context.Background(), t.TempDir()
			ready, versions, notes, err := readyReaders(ctx, []string{test.reader}, true, func(string) (string, error) { return folder, nil })
			require.NoError(t, err)
			require.Empty(t, notes)
			require.Len(t, ready, 1)
			if test.program != "" {
				require.Len(t, versions, 1)
				require.Regexp(t, "^"+test.reader+` \d+\.\d`, versions[0])
			}
			for i, symbol := range ready[0].symbols {
				var files []string
				draw := func(name string, text string, paper, ink uint8) {
					picture := blankPicture(image.Pt(140*module, 60*module))
					for j := range picture.Pix {
						picture.Pix[j] = paper
					}
					if text != "" {
						// In the middle: ZXingReader 1.4 looks for Data Matrix nowhere else.
						width := map[string]int{scan.QR: 21, scan.DataMatrix: 14, scan.Code128: 112}[symbol]
						drawSymbol(t, picture, image.Pt((140-width)/2, (60-min(width, 30))/2), symbol, text, ink)
					}
					files = append(files, filepath.Join(folder, symbol+name))
					file, err := os.Create(files[len(files)-1])
					require.NoError(t, err)
					require.NoError(t, jpeg.Encode(file, picture, nil))
					require.NoError(t, file.Close())
				}
				draw("dark.jpg", codeOf(t, 2*i), 230, 30)
				draw("blank.jpg", "", 230, 30)
				draw("light.jpg", codeOf(t, 2*i+1), 30, 230)
				answers, err := ready[0].read(ctx, symbol, 1, files)
				require.NoError(t, err)
				require.Len(t, answers, len(files))
				require.Equal(t, []string{codeOf(t, 2*i)}, answers[0].texts, symbol)
				require.Empty(t, answers[1].texts, symbol)
				if slices.Contains(test.inverted, symbol) {
					require.Equal(t, []string{codeOf(t, 2*i+1)}, answers[2].texts, symbol)
				}
				_, err = ready[0].read(ctx, symbol, 1, []string{filepath.Join(folder, "missing.jpg")})
				require.Error(t, err, "a file that cannot be read is not one without a code")
			}
		})
	}
}

func TestMissingReaders(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	folder := func(string) (string, error) { return t.TempDir(), nil }
	ready, versions, notes, err := readyReaders(context.Background(), names(), false, folder)
	require.NoError(t, err)
	require.Len(t, ready, 1)
	require.Equal(t, slipread, ready[0].name)
	require.Empty(t, versions)
	require.Len(t, notes, 4)
	require.Contains(t, notes[0], "zbar is left out: ")
	require.Contains(t, notes[3], "zxing-wasm is left out: ")

	_, _, _, err = readyReaders(context.Background(), names(), true, folder)
	require.ErrorContains(t, err, "zbar is missing and GRAFTSLIP_OUTSIDE=required")
}

// ZXingReader 1.4 may stop on an assertion; the other files are read all the same.
func TestZxingCppStops(t *testing.T) {
	program := filepath.Join(t.TempDir(), "ZXingReader")
	// Stops where it meets a file called "stops", or without -fast one called
	// "slow"; a file called "fault" cannot be read.
	require.NoError(t, os.WriteFile(program, []byte(`#!/bin/sh
case "$*" in
*fault*) exit 255 ;;
*stops*) kill -ABRT $$ ;;
*-fast*) ;;
*slow*) kill -ABRT $$ ;;
esac
for file in "$@"; do
	case "$file" in */*) echo "$file QRCode \"read $(basename "$file")\"" ;; esac
done
`), 0o700))
	ctx := context.Background()
	answers, err := readZxingCpp(ctx, program, scan.QR, []string{"in/a", "in/slow", "in/stops", "in/b"})
	require.NoError(t, err)
	require.Equal(t, []answer{{texts: []string{"read a"}}, {texts: []string{"read slow"}}, {broken: true}, {texts: []string{"read b"}}}, answers)
	_, err = readZxingCpp(ctx, program, scan.QR, []string{"in/a", "in/fault"})
	require.ErrorContains(t, err, "exit status 255")
	ended, end := context.WithCancel(ctx)
	end()
	_, err = readZxingCpp(ended, program, scan.QR, []string{"in/stops"})
	require.ErrorIs(t, err, context.Canceled)
}
