package records

import (
	"fmt"
	"strconv"
	"strings"

	"graftslip/codes"
)

// Line writes a record as one line of text that a person can read and that
// ParseLine reads, such as
//
//	26329-001-9002-58 Amber Weathercock / Marlpit Hedge; 60 grafts; 30 a tray;
//	tray 2 of 2: stems 31-60; source House bed 2; by IV; stem 7 mm; flag; note two eyes
//
// without the break. It begins with the code as printed, which holds the date,
// and the bare names of scion and rootstock. Parts are left out when nothing is
// known. The words about a tray or stem follow from the code and are there for
// the reader. A backslash escapes semicolons and backslashes, and in names slashes.
//
// Line is for records as the manifest makes them; see ParseLine.
func Line(r Record) string {
	batch := r.Batch
	parts := []string{
		r.Code.String() + " " + escaped(batch.Variety, inNames) + " / " + escaped(batch.Stock, inNames),
		Counted(batch.Grafts, "graft"),
	}
	if batch.TraySize != 0 {
		parts = append(parts, strconv.Itoa(batch.TraySize)+afterTraySize)
	}
	if words := r.unitWords(); words != "" {
		parts = append(parts, words)
	}
	if batch.Source != "" {
		parts = append(parts, beforeSource+escaped(batch.Source, inTexts))
	}
	if batch.Grafter != "" {
		parts = append(parts, beforeGrafter+escaped(batch.Grafter, inTexts))
	}
	if batch.Stem != 0 {
		parts = append(parts, beforeStem+strconv.FormatFloat(batch.Stem, 'f', -1, 64)+afterStem)
	}
	if batch.Wrap != 0 {
		parts = append(parts, batch.Wrap.String())
	}
	if batch.Note != "" {
		parts = append(parts, beforeNote+escaped(batch.Note, inTexts))
	}
	return strings.Join(parts, "; ")
}

// Words of a line around its values.
const (
	afterTraySize = " a tray"
	beforeSource  = "source "
	beforeGrafter = "by "
	beforeStem    = "stem "
	afterStem     = " mm"
	beforeNote    = "note "
)

// Characters to escape with a backslash.
const (
	inTexts = `\;`
	inNames = `\;/`
)

// unitWords names the tray or stem of a line, "" for a whole batch.
func (r Record) unitWords() string {
	switch r.Code.Kind() {
	case codes.Batch:
		return ""
	case codes.Tray:
		return r.Batch.UnitWords(r.Code) + ": " + r.Batch.stemsWords(r.Code.Number(), "-")
	default:
		return r.Batch.UnitWords(r.Code)
	}
}

// Counted writes a number with its noun: "1 graft", "60 grafts".
func Counted(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// escaped puts a backslash before each special character.
func escaped(text, special string) string {
	if !strings.ContainsAny(text, special) {
		return text
	}
	var b strings.Builder
	for _, r := range text {
		if strings.ContainsRune(special, r) {
			b.WriteByte('\\')
		}
		b.WriteRune(r)
	}
	return b.String()
}

// unescaped reverses escaped.
func unescaped(text string) string {
	if !strings.Contains(text, `\`) {
		return text
	}
	var b strings.Builder
	for i := 0; i < len(text); i++ {
		if text[i] == '\\' && i+1 < len(text) {
			i++
		}
		b.WriteByte(text[i])
	}
	return b.String()
}
