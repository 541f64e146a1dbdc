package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// The sheet letter-2x10 at 300 dots an inch: 4 × 1 inch a label. The gap
// between the columns, 1/8 inch, is left out.
const (
	labelsAPage = 20
	pagesAFile  = 500 // of what comes in several files
	dotsAnInch  = 300
)

// missingReaderError says that a program to read back with is not there.
type missingReaderError struct {
	name string
}

func (e *missingReaderError) Error() string { return e.name + " is not installed" }

// filesOf returns the files of a print: one, or several with numbers, in order.
func filesOf(file string) ([]string, error) {
	if _, err := os.Stat(file); err == nil {
		return []string{file}, nil
	}
	files, err := filepath.Glob(strings.TrimSuffix(file, ".pdf") + "-*.pdf")
	if err == nil && len(files) == 0 {
		err = fmt.Errorf("%s was not printed", file)
	}
	return files, err // Glob sorts, and the numbers have equal digits
}

// sizeOf is how many bytes files have together.
func sizeOf(files []string) (bytes int64, err error) {
	for _, file := range files {
		info, err := os.Stat(file)
		if err != nil {
			return 0, err
		}
		bytes += info.Size()
	}
	return bytes, nil
}

// read reads back the first and the last page: poppler draws them and tells
// the text, zbar reads each label by itself. That the last page holds the last
// labels, and that no page follows, shows that none is missing in between.
func (w *workshop) read(ctx context.Context, files []string, batches []batch) (string, error) {
	for _, name := range []string{"pdftoppm", "pdftotext", "zbarimg"} {
		if _, err := exec.LookPath(name); err != nil {
			return "", &missingReaderError{name}
		}
	}
	last := (stems(batches) - 1) / labelsAPage * labelsAPage
	var first, end []label
	i := 0
	for l, err := range labels(batches) {
		if err != nil {
			return "", err
		}
		if i < labelsAPage {
			first = append(first, l)
		}
		if i >= last {
			end = append(end, l)
		}
		i++
	}
	if err := w.readPage(ctx, files[0], 1, first); err != nil {
		return "", err
	}
	looked := len(first)
	page := last/labelsAPage + 1 - (len(files)-1)*pagesAFile
	if last > 0 {
		if err := w.readPage(ctx, files[len(files)-1], page, end); err != nil {
			return "", err
		}
		looked += len(end)
	}
	if exec.CommandContext(ctx, "pdftotext", "-f", strconv.Itoa(page+1), files[len(files)-1], "-").Run() == nil {
		return "", fmt.Errorf("%s: there are pages after the last label", files[len(files)-1])
	}
	return fmt.Sprintf("%d of %d", looked, looked), nil
}

// readPage reads a page, counted from 1, that has to hold these labels and no
// symbol of another.
func (w *workshop) readPage(ctx context.Context, file string, page int, want []label) error {
	number := strconv.Itoa(page)
	text, err := exec.CommandContext(ctx, "pdftotext", "-f", number, "-l", number, file, "-").Output()
	if err != nil {
		return fmt.Errorf("pdftotext: %w", err)
	}
	var digits []string
	for _, l := range want {
		digits = append(digits, l.digits)
		words := append(strings.Fields(l.variety+" "+l.stock), l.date, l.count, l.printed) // names can be broken into lines
		for _, word := range words {
			if !bytes.Contains(text, []byte(word)) {
				return fmt.Errorf("%q is missing on page %d", word, page)
			}
		}
	}
	pictures, err := w.drawLabels(ctx, file, number)
	if err != nil {
		return err
	}
	out, err := exec.CommandContext(ctx, "zbarimg", append([]string{"--quiet", "--nodbus", "--raw", "-Sdisable", "-Sqrcode.enable"}, pictures...)...).Output()
	if read := strings.Fields(string(out)); !slices.Equal(read, digits) {
		return fmt.Errorf("page %d: zbar reads %q for %q (%v)", page, read, digits, err)
	}
	return nil
}

// drawLabels draws a page and cuts the places of the labels out of it, into a
// grey picture each: on whole pages zbar misses a few, whoever printed them.
func (w *workshop) drawLabels(ctx context.Context, file, page string) ([]string, error) {
	err := w.command(ctx, "pdftoppm", "-gray", "-r", strconv.Itoa(dotsAnInch), "-f", page, "-l", page, "-singlefile", file, w.path("page"))
	if err != nil {
		return nil, err
	}
	data, err := os.ReadFile(w.path("page.pgm"))
	if err != nil {
		return nil, err
	}
	var width, height int
	if _, err := fmt.Sscanf(string(data[:min(len(data), 32)]), "P5\n%d %d\n255\n", &width, &height); err != nil {
		return nil, fmt.Errorf("page.pgm: %w", err)
	}
	grey := data[len(data)-width*height:]
	var names []string
	for place := range labelsAPage {
		// Left margin 3/16 inch, top margin 1/2 inch, a column each 4 1/8 inch.
		left, top := dotsAnInch*3/16+place%2*(dotsAnInch*33/8), dotsAnInch/2+place/2*dotsAnInch
		var picture bytes.Buffer
		fmt.Fprintf(&picture, "P5\n%d %d\n255\n", 4*dotsAnInch, dotsAnInch)
		for y := top; y < top+dotsAnInch; y++ {
			picture.Write(grey[y*width+left : y*width+left+4*dotsAnInch])
		}
		names = append(names, w.path(fmt.Sprintf("label-%d.pgm", place+1)))
		if err := os.WriteFile(names[place], picture.Bytes(), 0o600); err != nil {
			return nil, err
		}
	}
	return names, nil
}
