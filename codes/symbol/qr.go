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
	mode := modeOf(text)
	version, level, err := sizeFor(mode, text)
	if err != nil {
		return Modules{}, err
	}
	return e.symbol(mode, version, level, text), nil
}

// modeOf returns the mode that holds text in the least room. A sign is no
// digit: "+12" is not numeric.
func modeOf(text string) qrMode {
	switch {
	case consistsOf(text, digits):
		return numericMode
	case consistsOf(text, alphanumeric):
		return alphanumericMode
	}
	for i := range len(text) {
		if text[i] >= utf8.RuneSelf {
			return unicodeMode
		}
	}
	return byteMode
}

// sizeFor returns the version and the level for a text: level H for digits,
// and for any other text the highest of H, Q and M that does not make the symbol
// larger than M would.
func sizeFor(mode qrMode, text string) (coding.Version, coding.Level, error) {
	least := coding.M
	if mode == numericMode {
		least = coding.H
	}
	for version := coding.Version(coding.MinVersion); version <= coding.MaxVersion; version++ {
		bits := mode.bits(version, len(text))
		for level := coding.H; level >= least; level-- {
			if bits <= 8*version.DataBytes(level) {
				return version, level, nil
			}
		}
	}
	return 0, 0, errTooLong
}

// symbol makes the symbol of a text for which version and level have room.
func (e *qrEncoder) symbol(mode qrMode, version coding.Version, level coding.Level, text string) Modules {
	plan := e.plan(version, level)
	var few [fewCodewords]byte
	codewords := few[:]
	if plan.codewords > len(few) {
		codewords = make([]byte, plan.codewords)
	}
	codewords = codewords[:plan.codewords]
	mode.write(codewords[:plan.data], version, text)
	plan.addCheck(codewords)
	return plan.modules(codewords)
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
