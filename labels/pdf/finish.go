package pdf

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"runtime"
	"slices"
	"strconv"
	"sync"
	"sync/atomic"

	"github.com/klauspost/compress/zlib"
)

// pageCompression is how hard pages are compressed, 1-9: a page of labels takes
// half the time of the level above and a tenth more room.
const pageCompression = 4

var errUnfinished = errors.New("writing a PDF: what the library wrote is not as it used to be")

// object is one object of a PDF as the library writes it.
type object struct {
	number int
	body   []byte // "1 0 obj" to "endobj", with the line ends behind them
}

// finish names the document's language, which the library cannot, compresses
// its pages, which the library does with another writer for each page, and
// writes the result to w.
func finish(w io.Writer, pdf []byte, language string) error {
	objects, trailer, err := objectsOf(pdf)
	if err != nil {
		return err
	}
	if err := compressPages(objects); err != nil {
		return err
	}
	_, root, _ := bytes.Cut(trailer, []byte("/Root "))
	root, _, _ = bytes.Cut(root, []byte(" 0 R"))
	catalogue, err := strconv.Atoi(string(root))
	if err != nil {
		return errUnfinished
	}
	head := pdf[:bytes.IndexByte(pdf, '\n')+1]
	places := make([]int, len(objects)+1) // by number
	at := len(head)
	marked := false
	for i := range objects {
		o := &objects[i]
		if begin, end, is := bytes.Cut(o.body, []byte("/Type /Catalog\n")); is && o.number == catalogue {
			o.body = fmt.Appendf(nil, "%s/Type /Catalog\n/Lang (%s)\n%s", begin, language, end)
			marked = true
		}
		places[o.number] = at
		at += len(o.body)
	}
	if !marked {
		return errUnfinished
	}
	if _, err := w.Write(head); err != nil {
		return err
	}
	for _, o := range objects {
		if _, err := w.Write(o.body); err != nil {
			return err
		}
	}
	table := fmt.Appendf(nil, "xref\n0 %d\n0000000000 65535 f \n", len(places))
	for _, place := range places[1:] {
		table = fmt.Appendf(table, "%010d 00000 n \n", place)
	}
	table = append(table, trailer...)
	table = fmt.Appendf(table, "startxref\n%d\n%%%%EOF\n", at)
	_, err = w.Write(table)
	return err
}

// objectsOf cuts a PDF into its objects, in the order of the file, and the
// trailer behind the table of their places (ISO 32000-1, 7.5.4 and 7.5.5).
func objectsOf(pdf []byte) (objects []object, trailer []byte, err error) {
	const entry = 20 // bytes of the table
	_, start, found := bytes.Cut(pdf[max(0, len(pdf)-64):], []byte("startxref\n"))
	number, _, _ := bytes.Cut(start, []byte("\n"))
	at, atErr := strconv.Atoi(string(number))
	if !found || atErr != nil || at < 0 || at > len(pdf) {
		return nil, nil, errUnfinished
	}
	var first, count int
	if _, err := fmt.Fscanf(bytes.NewReader(pdf[at:]), "xref\n%d %d\n", &first, &count); err != nil || first != 0 {
		return nil, nil, errUnfinished
	}
	_, table, _ := bytes.Cut(pdf[at+len("xref\n"):], []byte("\n"))
	if len(table) < count*entry {
		return nil, nil, errUnfinished
	}
	type place struct{ number, at int }
	var places []place
	for n := 1; n < count; n++ {
		offset, err := strconv.Atoi(string(table[n*entry : n*entry+10]))
		if err != nil || offset <= 0 || offset >= at {
			return nil, nil, errUnfinished
		}
		places = append(places, place{n, offset})
	}
	slices.SortFunc(places, func(a, b place) int { return cmp.Compare(a.at, b.at) })
	for i, p := range places {
		end := at
		if i+1 < len(places) {
			end = places[i+1].at
		}
		objects = append(objects, object{p.number, pdf[p.at:end]})
	}
	trailer, _, _ = bytes.Cut(table[count*entry:], []byte("startxref\n"))
	return objects, trailer, nil
}

// compressPages compresses the streams that are not yet, those of pages, on all
// processors.
func compressPages(objects []object) error {
	var next atomic.Int64
	var workers sync.WaitGroup
	errs := make([]error, min(runtime.GOMAXPROCS(0), len(objects)))
	for i := range errs {
		workers.Go(func() {
			var content bytes.Buffer
			var writer *zlib.Writer
			if writer, errs[i] = zlib.NewWriterLevel(&content, pageCompression); errs[i] != nil {
				return
			}
			for n := next.Add(1) - 1; n < int64(len(objects)) && errs[i] == nil; n = next.Add(1) - 1 {
				errs[i] = objects[n].compress(writer, &content)
			}
		})
	}
	workers.Wait()
	return errors.Join(errs...)
}

// compress compresses an object that is a plain stream, with a writer to the
// content.
func (o *object) compress(writer *zlib.Writer, content *bytes.Buffer) error {
	name := fmt.Appendf(nil, "%d 0 obj\n", o.number)
	begin := append(name, "<</Length "...)
	if !bytes.HasPrefix(o.body, begin) {
		return nil
	}
	number, rest, plain := bytes.Cut(o.body[len(begin):], []byte(">>\nstream\n"))
	length, err := strconv.Atoi(string(number))
	if !plain || err != nil || length > len(rest) {
		return nil
	}
	content.Reset()
	writer.Reset(content)
	if _, err := writer.Write(rest[:length]); err != nil {
		return err
	}
	if err := writer.Close(); err != nil {
		return err
	}
	const end = "\nendstream\nendobj\n"
	o.body = slices.Grow(name, content.Len()+100)
	o.body = fmt.Appendf(o.body, "<</Filter /FlateDecode /Length %d>>\nstream\n", content.Len())
	o.body = append(append(o.body, content.Bytes()...), end...)
	return nil
}
