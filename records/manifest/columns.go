package manifest

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"

	"graftslip/records"
)

// The columns of a manifest. Orders have most of them too.
const (
	columnDate    = "date"
	columnVariety = "variety"
	columnStock   = "stock"
	columnGrafts  = "grafts"
	columnSource  = "source"
	columnTray    = "tray"
	columnStem    = "stem"
	columnGrafter = "grafter"
	columnWrap    = "label wrap"
	columnNote    = "note"

	oldColumnWrap = "wrap" // old files keep it
)

// The columns that only orders have.
const (
	columnWanted = "wanted"
	columnBy     = "by"
	columnSure   = "sure"
)

// draftColumns are those that setCell reads.
func draftColumns() []string {
	return []string{columnVariety, columnStock, columnGrafts, columnSource, columnTray, columnStem, columnGrafter, columnWrap, columnNote}
}

// allColumns are those of manifests and of orders.
func allColumns() []string {
	return append([]string{columnDate, columnWanted, columnBy, columnSure}, draftColumns()...)
}

// germanHeadings are the trade's words for columns (common practice, no source).
func germanHeadings() map[string][]string {
	return map[string][]string{
		columnDate:    {"Datum", "Veredelungsdatum", "Veredlungsdatum", "Veredelungstag"},
		columnVariety: {"Sorte", "Edelsorte", "Sortenname"},
		columnStock:   {"Unterlage", "Unterlagensorte"},
		columnGrafts:  {"Veredelungen", "Veredlungen"},
		columnSource:  {"Herkunft", "Reiserherkunft", "Mutterpflanze"},
		columnTray:    {"je Kiste", "pro Kiste", "je Palette", "pro Palette", "je Schale", "pro Schale"},
		columnStem:    {"Durchmesser", "Stammdurchmesser", "Triebdurchmesser"},
		columnGrafter: {"Veredler", "Veredlerin", "Veredelt von"},
		columnNote:    {"Bemerkung", "Bemerkungen", "Anmerkung", "Notiz"},
		columnWanted:  {"Bestellt", "Bestellmenge", "Bedarf", "Fertige Pflanzen"},
		columnBy:      {"Fertig bis", "Liefertermin", "Termin"},
		columnSure:    {"Sicherheit", "Wahrscheinlichkeit"},
	}
}

// germanCounts are headings of the count that a row is about: grafts in a
// manifest, plants wanted in orders.
func germanCounts() []string { return []string{"Anzahl", "Stück", "Stückzahl", "Menge"} }

// Headings are a person's own headings for columns, by column.
type Headings map[string][]string

// NewHeadings checks own headings for columns. The error is a *records.Problem.
func NewHeadings(own map[string][]string) (Headings, error) {
	const advice = `write a list of your headings for each column, as in variety = ["Cultivar"]`
	headings, ours := Headings{}, map[string]string{}
	for _, column := range allColumns() {
		ours[headingKey(column)] = column
	}
	taken := maps.Clone(ours)
	for _, written := range slices.Sorted(maps.Keys(own)) {
		column, known := ours[headingKey(written)]
		if !known {
			return nil, &records.Problem{Text: fmt.Sprintf("there is no column %q", written), Advice: "columns are " + strings.Join(allColumns(), ", ")}
		}
		for _, heading := range own[written] {
			key := headingKey(heading)
			if key == "" {
				return nil, &records.Problem{Text: fmt.Sprintf("%q is not a heading for %s", heading, written), Advice: advice}
			}
			if other, found := taken[key]; found && other != column {
				return nil, &records.Problem{Text: fmt.Sprintf("%q is a heading for %s and for %s", heading, other, column), Advice: "delete one of them"}
			}
			taken[key] = column
			headings[column] = append(headings[column], heading)
		}
	}
	return headings, nil
}

// columnNames knows the columns of a file by their headings.
type columnNames struct {
	columns map[string]string // by the keys of headings
	shown   []string          // the headings as they are written, ours first
}

// namesFor returns the headings of these columns. Own headings beat German ones, and
// ours beat both. The count is the column of a row's number.
func namesFor(columns []string, count string, own Headings) columnNames {
	names := columnNames{columns: map[string]string{}}
	german := germanHeadings()
	german[count] = append(german[count], germanCounts()...)
	ours := Headings{columnWrap: {oldColumnWrap}}
	for _, column := range columns {
		ours[column] = append([]string{column}, ours[column]...)
	}
	for _, table := range []Headings{ours, own, german} {
		for _, column := range columns {
			for _, heading := range table[column] {
				if key := headingKey(heading); names.columns[key] == "" {
					names.columns[key] = column
					names.shown = append(names.shown, heading)
				}
			}
		}
	}
	return names
}

// like returns the heading closest to a text whose column is not taken, "" for none.
func (n columnNames) like(text string, taken map[string]int) string {
	const lettersAnEdit, mostEdits = 3, 2 // our own choice
	key := headingKey(text)
	best, least := "", mostEdits+1
	for _, heading := range n.shown {
		other := headingKey(heading)
		if _, found := taken[n.columns[other]]; found || len(key) > len(other)+mostEdits {
			continue
		}
		if edits := records.Edits(key, other); edits < least && edits <= len([]rune(other))/lettersAnEdit {
			best, least = heading, edits
		}
	}
	return best
}

// unitBehind finds a unit, or a note, in parentheses after a heading.
var unitBehind = regexp.MustCompile(`[(\[]([^()\[\]]*)[)\]][\s:]*$`)

// cutUnit takes the unit in parentheses off a heading, and a colon.
func cutUnit(heading string) (name, unit string) {
	if at := unitBehind.FindStringSubmatchIndex(heading); at != nil {
		heading, unit = heading[:at[0]], strings.TrimSpace(heading[at[2]:at[3]])
	}
	return strings.TrimRight(strings.TrimSpace(heading), ": "), unit
}

// headingKey gives headings that mean the same one form. Letter case, accents, spaces,
// hyphens, underscores, full stops and a note in parentheses make no difference.
func headingKey(heading string) string {
	name, _ := cutUnit(tidy(heading))
	return strings.Map(func(r rune) rune {
		if strings.ContainsRune(" _-.", r) {
			return -1
		}
		return r
	}, records.Unaccented(name))
}

// letters returns "column A" for index 0, and so on as a spreadsheet does:
// "column Z", "column AA".
func letters(i int) string {
	var name []byte
	for n := i + 1; n > 0; n = (n - 1) / 26 {
		name = append(name, byte('A'+(n-1)%26))
	}
	slices.Reverse(name)
	return "column " + string(name)
}
