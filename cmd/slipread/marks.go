package main

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"strings"

	"graftslip/cmd/internal/command"
	"graftslip/cmd/slipread/internal/mark"
	"graftslip/codes"
	"graftslip/codes/scan"
	"graftslip/records"
)

// markedName is a flag's value: the file for a marked picture. Several are numbered.
type markedName string

// Set reads the name of a PNG file.
func (n *markedName) Set(name string) error {
	if ending := filepath.Ext(name); !strings.EqualFold(ending, ".png") || filepath.Base(name) == ending {
		return fmt.Errorf("%q: the marked picture is a PNG: give a name such as seen.png", name)
	}
	*n = markedName(name)
	return nil
}

func (n *markedName) String() string { return string(*n) }

// Type names the value in the help.
func (n *markedName) Type() string { return "OUT.png" }

// numbered is the name of the nth of several files.
func (n markedName) numbered(number int) string {
	ending := filepath.Ext(string(n))
	return fmt.Sprintf("%s-%d%s", strings.TrimSuffix(string(n), ending), number, ending)
}

// caption is what a marked picture shows beside a text.
type caption struct {
	pair        string // "": not known
	notInLedger bool
	void        bool
}

func captionOf(b records.Batch) caption {
	return caption{pair: records.Pair(b.Variety, b.Stock), void: b.Void}
}

// marks are pictures with what was read off them drawn on them. They get their
// names when all are written. A nil *marks draws nothing.
type marks struct {
	name    markedName
	used    []string // the ledger and what is read
	several bool     // there is more than one picture
	count   int      // of files and pages so far
	first   []byte   // the first picture, as PNG, while it may be the only one
	staged  *command.Staged
}

// newMarks finds out, before anything is read, whether marked pictures can be
// written. It returns nil when no name is given.
func newMarks(name markedName, args []string, ledger string) (*marks, error) {
	if name == "" {
		return nil, nil
	}
	m := &marks{name: name, used: []string{ledger}}
	for _, arg := range args {
		if namesFile(arg) {
			m.used = append(m.used, arg)
		}
	}
	named := len(m.used) - 1
	if named == 0 {
		return nil, &command.UsageError{Err: errors.New("--mark needs a picture or PDF to mark")}
	}
	m.several = named > 1
	names := []string{string(name)}
	if m.several {
		names = nil
		for number := range named {
			names = append(names, name.numbered(number+1))
		}
	}
	return m, m.try(names)
}

// try writes pictures of one pixel under temporary names and removes them. A
// folder is not made: its name is more likely mistyped.
func (m *marks) try(names []string) error {
	folder := filepath.Dir(string(m.name))
	if _, err := os.Stat(folder); errors.Is(err, os.ErrNotExist) {
		return &command.HintedError{Err: fmt.Errorf("cannot write to the folder %s: there is no such folder", folder),
			Advice: "make the folder first, or choose another"}
	}
	staged, err := command.Stage(folder, m.used...)
	if err != nil {
		return err
	}
	defer staged.Discard()
	for _, name := range names {
		err := staged.Write(filepath.Base(name), func(w io.Writer) error { return png.Encode(w, image.NewGray(image.Rect(0, 0, 1, 1))) })
		if err != nil {
			return err
		}
	}
	return nil
}

// skip counts a file or page that could not be drawn, so that numbers are those
// of files and pages.
func (m *marks) skip() error {
	if m == nil {
		return nil
	}
	if m.count++; m.count != 2 {
		return nil
	}
	m.several = true
	if m.first == nil {
		return nil
	}
	first := m.first
	m.first = nil
	return m.write(m.name.numbered(1), first)
}

// add marks a picture or page; captions are those to what was found.
func (m *marks) add(view scan.View, captions []caption) error {
	if err := m.skip(); m == nil || view.Picture == nil || err != nil {
		return err
	}
	marked, err := mark.Draw(view.Picture, signs(view, captions))
	if err != nil {
		return fmt.Errorf("cannot mark a picture: %w", err)
	}
	var encoded bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(&encoded, marked); err != nil {
		return fmt.Errorf("cannot mark a picture: %w", err)
	}
	if !m.several {
		m.first = encoded.Bytes()
		return nil
	}
	return m.write(m.name.numbered(m.count), encoded.Bytes())
}

// signs are the symbols of a picture.
func signs(view scan.View, captions []caption) []mark.Sign {
	const longest = 40 // letters of a pair; a longer text hides too much
	var all []mark.Sign
	for i, found := range view.Found {
		sign := mark.Sign{Symbol: found.Symbol, Sight: found.Sight, Lines: []string{found.Text}}
		if code, err := codes.FromSymbol(found.Text); err == nil {
			said, also := unitOf(code), captions[i].pair
			if captions[i].void { // never left out, however little room there is
				said = "void, " + said
			}
			if captions[i].notInLedger { // nor is this
				sign.Kind, said, also = mark.NotInLedger, "not in the ledger", said
			}
			sign.Lines[0] = fmt.Sprintf("%v   %s", code, said)
			if also != "" && len([]rune(also)) <= longest {
				sign.Lines = append(sign.Lines, also)
			}
		}
		all = append(all, sign)
	}
	for _, missed := range view.Missed {
		reason := strings.ReplaceAll(missed.Reason.String(), "-", " ")
		all = append(all, mark.Sign{Symbol: missed.Symbol, Sight: missed.Sight, Lines: []string{"not read: " + reason}, Kind: mark.Missed})
	}
	return all
}

// unitOf names what a code stands on.
func unitOf(code codes.Code) string {
	if code.Kind() == codes.Batch {
		return code.Kind().String()
	}
	return fmt.Sprintf("%v %d", code.Kind(), code.Number())
}

// write puts a picture on the disk under a temporary name.
func (m *marks) write(path string, content []byte) (err error) {
	if m.staged == nil {
		if m.staged, err = command.Stage(filepath.Dir(path), m.used...); err != nil {
			return err
		}
	}
	return m.staged.Write(filepath.Base(path), func(w io.Writer) error {
		_, err := w.Write(content)
		return err
	})
}

// keep gives the marked pictures their names.
func (m *marks) keep() error {
	if m == nil {
		return nil
	}
	if m.first != nil {
		if err := m.write(string(m.name), m.first); err != nil {
			return err
		}
	}
	if m.staged == nil {
		return nil
	}
	_, err := m.staged.Keep()
	return err
}

// discard removes what has no name yet.
func (m *marks) discard() {
	if m != nil && m.staged != nil {
		m.staged.Discard()
	}
}
