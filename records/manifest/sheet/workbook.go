package sheet

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"regexp"
	"strconv"
	"strings"
)

// Limits on reading a workbook.
const (
	maxStream   = 32 << 20  // bytes of a sheet or of the shared texts, unpacked, which are read as streams
	maxIndex    = 8 << 20   // bytes of another part, which is read as a whole
	maxElements = 1_200_000 // in XML, about two for each cell
	maxDepth    = 100       // of elements in elements
	maxSigns    = 100_000   // equals signs of one element's attributes, or of one text
)

// workbook is an .xlsx file: a zip archive of parts in XML, ECMA-376-1:2016
// clause 18 and ECMA-376-2:2016 clause 6 (both memory). The library that writes
// templates is not used to read: it ends a broken part as if its rows were complete, and
// gives a cell's kind only once a whole sheet is in memory.
type workbook struct {
	parts    map[string]*zip.File // by name in lower case
	from1904 bool                 // days are counted from 1904-01-01
	texts    []string             // the shared ones, to which cells refer
	formats  []numberFormat       // by the style of a cell
	elements int                  // read so far
}

// openWorkbook opens a tab of a workbook.
func openWorkbook(data []byte, tabName string) (*Sheet, *Fault) {
	archive, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, damaged("its list of parts")
	}
	w := &workbook{parts: map[string]*zip.File{}}
	for _, part := range archive.File {
		w.parts[strings.ToLower(part.Name)] = part
	}
	var index struct {
		XMLName    xml.Name `xml:"workbook"`
		Properties struct {
			From1904 bool `xml:"date1904,attr"`
		} `xml:"workbookPr"`
		Tabs []tab `xml:"sheets>sheet"`
	}
	name, fault := w.mainPart()
	if fault == nil {
		fault = w.decode(name, &index)
	}
	if fault != nil {
		return nil, fault
	}
	w.from1904 = index.Properties.From1904
	links, fault := w.links(name)
	if fault != nil {
		return nil, fault
	}
	chosen, hints, fault := chooseTab(index.Tabs, tabName)
	if fault != nil {
		return nil, fault
	}
	rows := &worksheet{workbook: w}
	for _, link := range links {
		switch {
		case fault != nil:
		case link.ID == chosen.ID:
			rows.name = link.Target
		case strings.HasSuffix(link.Type, "/sharedStrings"):
			fault = w.readTexts(link.Target)
		case strings.HasSuffix(link.Type, "/styles"):
			fault = w.readFormats(link.Target)
		}
	}
	if fault == nil {
		fault = rows.open()
	}
	if fault != nil {
		return nil, fault
	}
	return &Sheet{rows, func() []string { return append(hints, rows.hints()...) }}, nil
}

// mainPart returns the name of the part that lists the tabs.
func (w *workbook) mainPart() (string, *Fault) {
	links, fault := w.links("")
	for _, link := range links {
		if strings.HasSuffix(link.Type, "/officeDocument") && path.Base(path.Dir(link.Target)) == "xl" {
			if path.Ext(link.Target) == ".bin" {
				return "", &Fault{"a binary workbook (.xlsb)", saveAs}
			}
			return link.Target, nil
		}
	}
	switch {
	case fault != nil:
		return "", fault
	case w.parts["content.xml"] != nil:
		return "", &Fault{"an OpenDocument file (such as .ods)", saveAs}
	}
	return "", &Fault{"an archive that is no workbook (such as .zip or .docx)", saveAs}
}

// link is a relationship from one part to another.
type link struct {
	ID     string `xml:"Id,attr"`
	Type   string `xml:"Type,attr"`
	Target string `xml:"Target,attr"`
}

// links returns the links of a part, or of the whole where the name is empty, each
// with the name of its target in the archive; none when the part has none.
func (w *workbook) links(name string) ([]link, *Fault) {
	folder, base := path.Split(name)
	name = folder + "_rels/" + base + ".rels"
	if w.parts[strings.ToLower(name)] == nil {
		return nil, nil
	}
	var read struct {
		Links []link `xml:"Relationship"`
	}
	fault := w.decode(name, &read)
	for i, link := range read.Links {
		if !strings.HasPrefix(link.Target, "/") {
			link.Target = folder + link.Target
		}
		read.Links[i].Target = strings.TrimPrefix(path.Clean(link.Target), "/")
	}
	return read.Links, fault
}

// tab is a sheet of a workbook.
type tab struct {
	Name  string `xml:"name,attr"`
	State string `xml:"state,attr"` // hidden, veryHidden or empty
	ID    string `xml:"id,attr"`    // of the link to its part
}

// chooseTab returns the named tab, or the first visible one, with a hint if there are
// others.
func chooseTab(tabs []tab, name string) (tab, []string, *Fault) {
	var visible []tab
	var all, others []string
	for _, t := range tabs {
		if name != "" && strings.EqualFold(t.Name, name) {
			return t, nil, nil
		}
		all = append(all, strconv.Quote(t.Name))
		if t.State == "" || t.State == "visible" {
			visible = append(visible, t)
			others = append(others, strconv.Quote(t.Name))
		}
	}
	switch {
	case name != "":
		return tab{}, nil, &Fault{fmt.Sprintf("no tab %q", name), "one of its tabs: " + listed(all)}
	case len(visible) == 0:
		return tab{}, nil, &Fault{"a workbook without a tab", "one with a tab that is not hidden"}
	case len(visible) == 1:
		return visible[0], nil, nil
	}
	return visible[0], []string{fmt.Sprintf("only the first tab, %s, was read; to read another, give --tab: %s", others[0], listed(others[1:]))}, nil
}

// listed returns the first of some names in a list.
func listed(names []string) string {
	const most = 12
	if len(names) > most {
		names = append(names[:most:most], "…")
	}
	return strings.Join(names, ", ")
}

// open opens a part of at most so many bytes, as its entry in the archive has it:
// package zip gives no more.
func (w *workbook) open(name string, most uint64) (io.ReadCloser, *xml.Decoder, *Fault) {
	part := w.parts[strings.ToLower(name)]
	if part == nil {
		return nil, nil, damaged(name)
	}
	if part.UncompressedSize64 > most {
		return nil, nil, tooLarge(name)
	}
	file, err := part.Open()
	if err != nil {
		return nil, nil, damaged(name)
	}
	source := &signs{Reader: file}
	return file, xml.NewTokenDecoder(&elements{xml: xml.NewDecoder(source), source: source, count: &w.elements}), nil
}

// elements gives the tokens of a part. Elements in elements in elements take up
// memory, and many take time.
type elements struct {
	xml    *xml.Decoder
	source *signs
	depth  int
	count  *int // of all parts
}

// signs counts equals signs: an element is in memory with all its attributes before it
// can be counted, and each attribute has one.
type signs struct {
	io.Reader
	count int
}

func (s *signs) Read(p []byte) (int, error) {
	n, err := s.Reader.Read(p)
	if s.count += bytes.Count(p[:n], []byte("=")); s.count > maxSigns {
		return 0, errTooMany
	}
	return n, err
}

var errTooMany = errors.New("too many elements")

func (e *elements) Token() (xml.Token, error) {
	e.source.count = 0
	token, err := e.xml.RawToken()
	switch token.(type) {
	case xml.StartElement:
		e.depth++
		*e.count++
	case xml.EndElement:
		e.depth--
	}
	if e.depth > maxDepth || *e.count > maxElements {
		return nil, errTooMany
	}
	return token, err
}

// decode reads a whole part into a value.
func (w *workbook) decode(name string, value any) *Fault {
	file, decoder, fault := w.open(name, maxIndex)
	if fault != nil {
		return fault
	}
	defer file.Close()
	if err := decoder.Decode(value); err != nil {
		return unreadable(name, err)
	}
	return nil
}

func unreadable(part string, err error) *Fault {
	if errors.Is(err, errTooMany) {
		return tooLarge(part)
	}
	return damaged(part)
}

func tooLarge(part string) *Fault {
	return &Fault{"a workbook that holds too much to read (" + part + ")", "a smaller one: delete what is not needed, or save the tab as CSV"}
}

func damaged(part string) *Fault {
	return &Fault{"a damaged workbook: " + part + " cannot be read", "a whole one: open it in a spreadsheet program and save it again as .xlsx"}
}

// readTexts reads the shared texts.
func (w *workbook) readTexts(name string) *Fault {
	file, decoder, fault := w.open(name, maxStream)
	if fault != nil {
		return fault
	}
	defer file.Close()
	for {
		token, err := decoder.Token()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if start, ok := token.(xml.StartElement); ok && start.Name.Local == "si" {
			var text richText
			err = decoder.DecodeElement(&text, &start)
			w.texts = append(w.texts, text.String())
		}
		if err != nil {
			return unreadable(name, err)
		}
	}
}

// richText is a text, whole or in runs of one font each. It omits the phonetic
// guide (rPh).
type richText struct {
	Text string   `xml:"t"`
	Runs []string `xml:"r>t"`
}

func (t richText) String() string { return unescape(t.Text + strings.Join(t.Runs, "")) }

var escape = regexp.MustCompile(`_x[0-9A-Fa-f]{4}_`)

// unescape puts in the characters that XML cannot hold, written _x000D_:
// ECMA-376-1:2016 22.9.2.19 (memory).
func unescape(text string) string {
	if !strings.Contains(text, "_x") {
		return text
	}
	return escape.ReplaceAllStringFunc(text, func(found string) string {
		code, _ := strconv.ParseUint(found[2:6], 16, 16) // four hexadecimal digits
		return string(rune(code))
	})
}
