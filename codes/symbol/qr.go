package symbol

import (
	"errors"
	"sync/atomic"
	"unicode/utf8"

	"rsc.io/qr/coding"
)

// qrEncoder makes QR symbols. What depends only on the version and the level of
// a symbol it works out once, when the first such symbol is made, and never
// changes afterwards. The zero qrEncoder is ready for use, by many goroutines
// at once.
type qrEncoder struct {
	plans [coding.MaxVersion + 1][coding.H + 1]atomic.Pointer[qrPlan]
}

// qrSymbols makes the symbols of Encode. It remembers plans and nothing of the
// texts; that of version 1 at level H takes 11 kB, and all of them together, of
// every version and level, would take 10 MB.
var qrSymbols qrEncoder

// errTooLong is a text that no symbol is large enough for.
var errTooLong = errors.New("the text is too long")

// draw makes the symbol of a text that check has passed. The error is
// errTooLong.
func (e *qrEncoder) draw(text string) (Modules, error) {
	encoding := encodingOf(text)
	version, level, err := sizeFor(encoding)
	if err != nil {
		return Modules{}, err
	}
	return e.symbol(encoding, version, level), nil
}

// encodingOf returns the mode that holds text in the least room. A sign is no
// digit: "+12" is not numeric.
func encodingOf(text string) coding.Encoding {
	switch {
	case consistsOf(text, digits):
		return coding.Num(text)
	case consistsOf(text, alphanumeric):
		return coding.Alpha(text)
	}
	for i := range len(text) {
		if text[i] >= utf8.RuneSelf {
			return utf8Text{coding.String(text)}
		}
	}
	return coding.String(text)
}

// utf8Text is a text in UTF-8, behind the indicator of an extended channel
// interpretation and the number of UTF-8 (ISO/IEC 18004, 7.4.2, and the AIM
// register of extended channel interpretations; memory). Without them a reader
// has to guess: ISO/IEC 18004 names ISO/IEC 8859-1, and many guess by the bytes.
type utf8Text struct{ coding.String }

const (
	utf8Header     = 0b0111<<8 | 26
	utf8HeaderBits = 12
)

func (t utf8Text) Bits(v coding.Version) int { return utf8HeaderBits + t.String.Bits(v) }

func (t utf8Text) Encode(b *coding.Bits, v coding.Version) {
	b.Write(utf8Header, utf8HeaderBits)
	t.String.Encode(b, v)
}

// sizeFor returns the version and the level for a text: level H for digits,
// and for any other text the highest of H, Q and M that does not make the symbol
// larger than M would.
func sizeFor(text coding.Encoding) (coding.Version, coding.Level, error) {
	least := coding.M
	if _, numeric := text.(coding.Num); numeric {
		least = coding.H
	}
	for version := coding.Version(coding.MinVersion); version <= coding.MaxVersion; version++ {
		bits := text.Bits(version)
		for level := coding.H; level >= least; level-- {
			if bits <= 8*version.DataBytes(level) {
				return version, level, nil
			}
		}
	}
	return 0, 0, errTooLong
}

// symbol makes the symbol of a text for which version and level have room.
func (e *qrEncoder) symbol(text coding.Encoding, version coding.Version, level coding.Level) Modules {
	var codewords coding.Bits
	text.Encode(&codewords, version)
	codewords.AddCheckBytes(version, level)
	return e.plan(version, level).modules(codewords.Bytes())
}

// plan returns the plan of a version and level. Two goroutines that are the
// first to ask for it may each make one; they make the same.
func (e *qrEncoder) plan(version coding.Version, level coding.Level) *qrPlan {
	slot := &e.plans[version][level]
	plan := slot.Load()
	if plan == nil {
		plan = newPlan(version, level)
		slot.Store(plan)
	}
	return plan
}
