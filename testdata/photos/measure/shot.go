package main

import (
	"fmt"

	"graftslip/testdata/photos"
)

// camera makes photographs; *photos.Slips is one.
type camera interface {
	Take(kind photos.Kind, symbol string, megapixels float64, seed uint64) (photos.Photo, error)
	Tray(symbol string, codes int, megapixels float64, seed uint64) (photos.Photo, error)
	Empty(megapixels float64, seed uint64) (photos.Photo, error)
}

// The sizes of photographs in megapixels.
const (
	small = 2.0
	large = 12.0
)

// group is what photographs have in common that differ in their seeds.
type group struct {
	kind       photos.Kind // "" for a tray and for a photograph without a code
	symbol     string      // "" without a code
	codes      int         // 1, on a tray more, 0 without a code
	megapixels float64
}

// shot is one photograph to be made.
type shot struct {
	group
	seed uint64
}

func (s shot) take(c camera) (photos.Photo, error) {
	switch {
	case s.codes == 0:
		return c.Empty(s.megapixels, s.seed)
	case s.kind == "":
		return c.Tray(s.symbol, s.codes, s.megapixels, s.seed)
	}
	return c.Take(s.kind, s.symbol, s.megapixels, s.seed)
}

// file is the name of the photograph's file, which no other shot has.
func (s shot) file() string {
	size := fmt.Sprintf("%gmp-%d.jpg", s.megapixels, s.seed)
	switch {
	case s.codes == 0:
		return "empty-" + size
	case s.kind == "":
		return fmt.Sprintf("tray-of-%d-%s-%s", s.codes, s.symbol, size)
	}
	return s.kind.Folder() + "-" + s.symbol + "-" + size
}

// atOnce is how many photographs are on the disk at a time: in parts of a
// gigabyte of memory and some 40 MB of files at 12 megapixels.
const atOnce = 8

// pieces cuts shots where their group changes, and into pieces of at most
// atOnce.
func pieces(shots []shot) [][]shot {
	var cut [][]shot
	start := 0
	for i := 1; i <= len(shots); i++ {
		if i == len(shots) || i-start == atOnce || shots[i].group != shots[start].group {
			cut = append(cut, shots[start:i])
			start = i
		}
	}
	return cut
}
