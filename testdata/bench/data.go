package main

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"io"
	"iter"
	"os"
	"strconv"
	"strings"
	"time"

	"graftslip/codes"
)

// batch is a row of the manifest, with the code that a new ledger gives it.
type batch struct {
	code           codes.Code
	variety, stock string
	grafts         int
}

// label is what stands on a stem label, and a line of the peers' file.
type label struct {
	variety, stock string
	date           string // YYYY-MM-DD
	count          string // "17 of 60"
	printed        string // the code in groups
	digits         string // the code as the symbol says it
}

func (l label) fields() []string {
	return []string{l.variety, l.stock, l.date, l.count, l.printed, l.digits}
}

// batchesADay keeps below the 999 that a day can have.
const batchesADay = 200

// makeBatches invents batches of 24 to 96 grafts that have n stems in all.
func makeBatches(n int) ([]batch, error) {
	first := strings.Fields("Amber Velvet Copper Señora Quiet Harbour Frosted Crème Lantern Thistle Wandering Cinder Maiden Hollow Saffron Tinker's Northern Little Marbled Ébène")
	second := strings.Fields("Weathercock Cairn Milkmaid Sixpence Drummer Peñaluz Skillet Bellows Orchardist Ferryman Candle Hourglass Thimble Pitcher Windfall Tambour Lighthouse Foxglove Abacus")
	stocks := []string{"Marlpit Hedge", "Thornless Drover", "Fen Hedge", "Quarry Seedling 4", "Gatepost", "Brickfield Wilding", "Old Parson"}
	opening := time.Date(2026, time.January, 12, 0, 0, 0, 0, time.UTC)
	var made []batch
	for i := 0; n > 0; i++ {
		code, err := codes.New(opening.AddDate(0, 0, i/batchesADay), 1+i%batchesADay)
		if err != nil {
			return nil, err
		}
		grafts := min(24+i*37%73, n)
		made = append(made, batch{code, first[i%len(first)] + " " + second[i%len(second)], stocks[i%len(stocks)], grafts})
		n -= grafts
	}
	return made, nil
}

// stems counts the stems of batches, and so their labels.
func stems(batches []batch) int {
	n := 0
	for _, b := range batches {
		n += b.grafts
	}
	return n
}

// label returns the label of a stem, counted from 1.
func (b batch) label(stem int) (label, error) {
	code, err := b.code.Stem(stem)
	if err != nil {
		return label{}, err
	}
	return label{b.variety, b.stock, b.code.Date().Format(time.DateOnly), fmt.Sprintf("%d of %d", stem, b.grafts), code.String(), code.Compact()}, nil
}

// labels yields the labels of batches in the order of the sheets, and ends
// after an error.
func labels(batches []batch) iter.Seq2[label, error] {
	return func(yield func(label, error) bool) {
		for _, b := range batches {
			for stem := range b.grafts {
				l, err := b.label(stem + 1)
				if !yield(l, err) || err != nil {
					return
				}
			}
		}
	}
}

// writeManifest writes the spreadsheet that graftslip reads. It names no tray
// size, which gives a card for each batch, the fewest there can be.
func writeManifest(w io.Writer, batches []batch) error {
	out := csv.NewWriter(w)
	out.Write([]string{"date", "variety", "stock", "grafts"}) // an error stays until out.Error
	for _, b := range batches {
		out.Write([]string{b.code.Date().Format(time.DateOnly), b.variety, b.stock, strconv.Itoa(b.grafts)})
	}
	out.Flush()
	return out.Error()
}

// writeLabels writes the file that peers read: a line a label, parted by tabs.
func writeLabels(w io.Writer, batches []batch) error {
	for l, err := range labels(batches) {
		if err != nil {
			return err
		}
		if _, err := fmt.Fprintln(w, strings.Join(l.fields(), "\t")); err != nil {
			return err
		}
	}
	return nil
}

// writeCodes writes what a scanner would send: the digits of a label a line.
func writeCodes(w io.Writer, batches []batch) error {
	for l, err := range labels(batches) {
		if err != nil {
			return err
		}
		if _, err := fmt.Fprintln(w, l.digits); err != nil {
			return err
		}
	}
	return nil
}

// writeFile writes what write writes about batches to a file.
func writeFile(path string, batches []batch, write func(io.Writer, []batch) error) error {
	file, err := os.Create(path)
	if err != nil {
		return err
	}
	defer file.Close()
	buffered := bufio.NewWriter(file)
	if err := write(buffered, batches); err != nil {
		return err
	}
	if err := buffered.Flush(); err != nil {
		return err
	}
	return file.Close()
}
