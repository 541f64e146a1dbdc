// Package symbol turns a text into the modules of a printed symbol (QR, Data
// Matrix or Code 128) and finds the size at which a given printer can print
// them in a given room, flat or round a stem.
//
// Every symbol is decoded again from its own modules, by a decoder that shares
// no code with the encoder, before anybody gets to see it.
package symbol

import (
	"fmt"
	"strings"
)

// Kind is a kind of symbol.
type Kind uint8

// The kinds of symbol. The zero Kind is none.
const (
	QR         Kind = iota + 1 // QR Code (ISO/IEC 18004)
	DataMatrix                 // Data Matrix ECC 200 (ISO/IEC 16022)
	Code128                    // Code 128 (ISO/IEC 15417)
)

// ParseKind returns the kind that is called s: "qr", "datamatrix" or
// "code128", in capitals or not.
func ParseKind(s string) (Kind, error) {
	for _, kind := range []Kind{QR, DataMatrix, Code128} {
		if strings.EqualFold(s, kind.String()) {
			return kind, nil
		}
	}
	return 0, &fault{
		text: fmt.Sprintf("%q is not a kind of symbol", s),
		hint: "use qr, datamatrix or code128",
	}
}

// String returns "qr", "datamatrix" or "code128", and "none" for the zero
// Kind.
func (k Kind) String() string {
	switch k {
	case QR:
		return "qr"
	case DataMatrix:
		return "datamatrix"
	case Code128:
		return "code128"
	}
	return "none"
}

// Modules are the modules of one symbol, without its quiet zone. A Modules is
// never changed once it is made, so it may be shared.
type Modules struct {
	kind          Kind
	width, height int
	dark          []bool // row by row
}

// Kind returns the kind of symbol.
func (m Modules) Kind() Kind { return m.kind }

// Width returns the number of modules from left to right.
func (m Modules) Width() int { return m.width }

// Height returns the number of modules from top to bottom: 1 for Code 128,
// whose bars have a length and no modules in that direction.
func (m Modules) Height() int { return m.height }

// Dark reports whether the module in column x of row y, counted from 0 at the
// upper left, is dark. Outside the symbol everything is light.
func (m Modules) Dark(x, y int) bool {
	return x >= 0 && x < m.width && y >= 0 && y < m.height && m.dark[y*m.width+x]
}

// Quiet returns the width of the quiet zone in modules: x at either side, y
// above and below. It is 4 all round for QR (ISO/IEC 18004), 1 all round for
// Data Matrix (ISO/IEC 16022), and 10 at either side for Code 128 (ISO/IEC
// 15417), which needs none above and below.
func (m Modules) Quiet() (x, y int) {
	switch m.kind {
	case QR:
		return 4, 4
	case DataMatrix:
		return 1, 1
	case Code128:
		return 10, 0
	}
	return 0, 0
}

// Auto lists the symbols that are tried when none is named, in order of
// preference. See Best for the choice among them.
func Auto() []Kind { return []Kind{QR, DataMatrix} }

// Best returns the index of the first fitted symbol whose modules are not
// Small, and 0 when all are. Given the fits of Auto's kinds, it takes the QR
// symbol unless only the Data Matrix symbol reaches 0.33 mm a module.
func Best(fits []Fitted) int {
	for i, fitted := range fits {
		if !fitted.Small {
			return i
		}
	}
	return 0
}
