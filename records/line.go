package records

import (
	"cmp"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"graftslip/codes"
	"graftslip/layouts"
)

// Line writes a record as one line of text that a person can read and that
// ParseLine reads, such as
//
//	26329-001-9002-58 Amber Weathercock / Marlpit Hedge; 60 grafts; 30 a tray;
//	tray 2 of 2: stems 31-60; source House bed 2; by IV; stem 7 mm; flag; note two eyes
//
// without the break. It begins with the code as printed, which holds the date,
// and the bare names of scion and rootstock. A graft date amended to another day
// follows them: "; grafted 2026-11-28; 60 grafts". Parts are left out when nothing is
// known. The words about a tray or stem follow from the code and are there for
// the reader. A backslash escapes semicolons and backslashes, and in names slashes.
//
// Line is for records as the manifest makes them; see ParseLine.
func Line(r Record) string {
	batch := r.Batch
	parts := []string{
		r.Code.String() + " " + escaped(batch.Variety, inNames) + " / " + escaped(batch.Stock, inNames),
	}
	if !batch.Date.Equal(batch.Code.Date()) {
		parts = append(parts, beforeDate+batch.Text("date"))
	}
	parts = append(parts, Counted(batch.Grafts, "graft"))
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
	beforeDate    = "grafted "
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
	switch stem, y := strings.CutSuffix(noun, "y"); {
	case strings.HasSuffix(noun, "ch"):
		noun += "e"
	case y && !strings.HasSuffix(stem, "a"): // entry, but day
		noun = stem + "ie"
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

// ParseLine reads what Line writes, and nothing else: a part that is unknown,
// in another place, out of the range of a manifest or at odds with the rest of
// the line is refused, and so are control characters and line breaks. Text that
// was taken apart on its way is put back into Unicode normalisation form C. The
// record's Row is 0. The error is a *Problem.
func ParseLine(text string) (Record, error) {
	record, err := parseLine(text)
	if err != nil {
		const most = 60 // characters that the error repeats
		if utf8.RuneCountInString(text) > most {
			text = string([]rune(text)[:most]) + "…"
		}
		return Record{}, &Problem{Text: fmt.Sprintf("%q is not a valid record: %v", text, err),
			Advice: "scan the card again, or look up the code printed on it"}
	}
	return record, nil
}

func parseLine(text string) (Record, error) {
	if err := checkCharacters(text); err != nil {
		return Record{}, err
	}
	text = norm.NFC.String(text)
	parts := lineParts{split(text)}
	record, err := parseHead(parts.next())
	if err != nil {
		return Record{}, err
	}
	if err := parts.date(&record.Batch); err != nil {
		return Record{}, err
	}
	if err := parts.counts(&record); err != nil {
		return Record{}, err
	}
	if err := parts.details(&record.Batch); err != nil {
		return Record{}, err
	}
	if len(parts.left) > 0 {
		return Record{}, fmt.Errorf("the part %q is unknown or in the wrong place", parts.left[0])
	}
	if want := Line(record); want != text {
		return Record{}, fmt.Errorf("it should read %q", want)
	}
	return record, nil
}

// checkCharacters refuses what a manifest refuses.
func checkCharacters(text string) error {
	if !utf8.ValidString(text) {
		return errors.New("it is not UTF-8")
	}
	for _, r := range text {
		if r == utf8.RuneError || r > 0xFFFF || unicode.IsControl(r) || unicode.IsSpace(r) && r != ' ' ||
			unicode.In(r, unicode.Cf, unicode.Other_Default_Ignorable_Code_Point, unicode.Variation_Selector, unicode.Noncharacter_Code_Point) {
			return fmt.Errorf("a record cannot hold the character %U", r)
		}
	}
	return nil
}

// parseHead reads the first part: the code and the names.
func parseHead(head string) (Record, error) {
	first, names, _ := strings.Cut(head, " ")
	code, err := codes.Parse(first)
	if err != nil {
		return Record{}, err
	}
	variety, stock, found := strings.Cut(names, " / ")
	if !found {
		return Record{}, errors.New("it does not name scion and rootstock")
	}
	record := Record{Code: code}
	record.Batch.Code, record.Batch.Date = code.Whole(), code.Date()
	if record.Batch.Variety, err = lineWords(variety, MaxName); err != nil {
		return Record{}, err
	}
	record.Batch.Stock, err = lineWords(stock, MaxName)
	return record, err
}

// lineWords reads a name or text.
func lineWords(value string, most int) (string, error) {
	text := unescaped(value)
	switch {
	case text == "":
		return "", errors.New("a name is missing")
	case utf8.RuneCountInString(text) > most:
		return "", fmt.Errorf("%q has more than %d characters", text, most)
	case strings.Join(strings.Fields(text), " ") != text:
		return "", fmt.Errorf("%q has an extra space", text)
	}
	return text, nil
}

func lineStem(value string) (float64, error) {
	diameter, err := strconv.ParseFloat(value, 64)
	if err != nil || !IsStem(diameter) {
		return 0, fmt.Errorf("%q is not the diameter of a stem, 1 to 60 mm", value)
	}
	return diameter, nil
}

// date reads a graft date other than that of the code.
func (p *lineParts) date(batch *Batch) error {
	value, found := p.take(beforeDate, "")
	if !found {
		return nil
	}
	date, err := time.Parse(time.DateOnly, value)
	if err == nil {
		_, err = codes.New(date, 1) // the years of codes
	}
	if err != nil || date.Equal(batch.Date) {
		return fmt.Errorf("%q is not a valid amended date", value)
	}
	batch.Date = date
	return nil
}

// lineParts are the parts of a line that have not been read yet.
type lineParts struct{ left []string }

// split cuts a line at the semicolons that have no backslash before them. The
// space behind them goes, too.
func split(line string) []string {
	var parts []string
	from := 0
	for i := 0; i < len(line); i++ {
		switch line[i] {
		case '\\':
			i++
		case ';':
			parts = append(parts, strings.TrimPrefix(line[from:i], " "))
			from = i + 1
		}
	}
	return append(parts, strings.TrimPrefix(line[from:], " "))
}

// next takes the next part, "" at the end.
func (p *lineParts) next() string {
	if len(p.left) == 0 {
		return ""
	}
	part := p.left[0]
	p.left = p.left[1:]
	return part
}

// take takes the next part if it has such words around a value.
func (p *lineParts) take(before, after string) (value string, found bool) {
	if len(p.left) == 0 {
		return "", false
	}
	part := p.left[0]
	if len(part) <= len(before)+len(after) || !strings.HasPrefix(part, before) || !strings.HasSuffix(part, after) {
		return "", false
	}
	p.next()
	return part[len(before) : len(part)-len(after)], true
}

// counts reads the grafts, how many stand in a tray, and the words about the
// tray or stem, which must agree with them.
func (p *lineParts) counts(record *Record) error {
	batch := &record.Batch
	part := p.next()
	digits, _, _ := strings.Cut(part, " ")
	grafts, err := strconv.Atoi(digits)
	if err != nil || grafts < 1 || grafts > codes.MaxStem || part != Counted(grafts, "graft") {
		return fmt.Errorf("it has %q instead of 1 to %d grafts", part, codes.MaxStem)
	}
	batch.Grafts = grafts
	if len(p.left) > 0 {
		if value, found := strings.CutSuffix(p.left[0], afterTraySize); found && strings.Trim(value, "0123456789") == "" {
			size, err := strconv.Atoi(value)
			if err != nil || size < 1 || size > codes.MaxStem {
				return fmt.Errorf("%q is not a tray size", value)
			}
			batch.TraySize = size
			p.next()
		}
	}
	trays, number := batch.Trays(), record.Code.Number()
	switch kind := record.Code.Kind(); {
	case trays > codes.MaxTray:
		return fmt.Errorf("a batch cannot have %d trays", trays)
	case kind == codes.Tray && number > trays, kind == codes.Stem && number > grafts:
		return fmt.Errorf("it has the code of %v %d, but only %s in %s", kind, number, Counted(grafts, "graft"), Counted(trays, "tray"))
	}
	if words := record.unitWords(); words != "" {
		if part := p.next(); part != words {
			return fmt.Errorf("it has %q, but its code and numbers give %q", part, words)
		}
	}
	return nil
}

// details reads what may be left out.
func (p *lineParts) details(batch *Batch) error {
	var faults []error
	text := func(before string) (words string) {
		if value, found := p.take(before, ""); found {
			var err error
			words, err = lineWords(value, MaxText)
			faults = append(faults, err)
		}
		return words
	}
	batch.Source = text(beforeSource)
	batch.Grafter = text(beforeGrafter)
	if value, found := p.take(beforeStem, afterStem); found {
		var err error
		batch.Stem, err = lineStem(value)
		faults = append(faults, err)
	}
	for _, wrap := range layouts.Wraps() {
		if len(p.left) > 0 && p.left[0] == wrap.String() {
			batch.Wrap = wrap
			p.next()
			break
		}
	}
	batch.Note = text(beforeNote)
	return cmp.Or(faults...)
}
