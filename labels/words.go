package labels

import (
	"fmt"

	"graftslip/records"
)

// Words are the words that a label or card says beside its names, numbers and dates.
// Formats keep the order of their arguments.
type Words struct {
	Language  string    // of these words, BCP 47
	StemTitle string    // title of a file of stem labels; name of the session
	TrayTitle string    // the same of tray cards
	Count     string    // stem number, number of stems
	Spare     string    // in place of the count
	Tray      string    // tray number, number of trays
	Stems     string    // first and last stem of a tray
	Stem      string    // the one stem of a tray
	TrayStems string    // Tray, and Stems or Stem, in one line
	Grafted   string    // graft date
	GraftedBy string    // graft date, grafter
	Source    string    // source
	LookFrom  string    // date
	Note      string    // note
	Pen       [5]string // heads of the pen table: date, three counts, who looked
	Session   SessionWords
}

// English are the English words.
func English() Words {
	return Words{
		Language: "en", StemTitle: "Stem labels %s", TrayTitle: "Tray cards %s",
		Count:     "%d of %d",
		Spare:     "spare",
		Tray:      "Tray %d of %d",
		Stems:     "stems %d–%d",
		Stem:      "stem %d",
		TrayStems: "%s, %s",
		Grafted:   "Grafted %s",
		GraftedBy: "Grafted %s by %s",
		Source:    "Source: %s",
		LookFrom:  "Check for new growth from %s",
		Note:      "Note: %s",
		Pen:       [5]string{"Date", "Alive", "Growing", "Dead", "Initials"},
		Session:   englishSession(),
	}
}

// OfTray says which tray it is, and which stems it holds.
func (w Words) OfTray(b records.Batch, tray int) (number, stems string) {
	from, to := b.StemsIn(tray)
	stems = fmt.Sprintf(w.Stems, from, to)
	if from == to {
		stems = fmt.Sprintf(w.Stem, from)
	}
	return fmt.Sprintf(w.Tray, tray, b.Trays()), stems
}

// GraftedOn says on which date a batch was grafted, and by whom if that is known.
func (w Words) GraftedOn(date string, b records.Batch) string {
	if b.Grafter == "" {
		return fmt.Sprintf(w.Grafted, date)
	}
	return fmt.Sprintf(w.GraftedBy, date, b.Grafter)
}

// SessionWords are the words on the sheet of a session. Formats keep the order
// of their arguments, and do without a singular and a plural.
type SessionWords struct {
	Title     string    // of the file; name of the orders
	Weekdays  [7]string // Sunday first
	Day       string    // weekday, date
	Totals    string    // batches, grafts, trays
	Page      string    // number, of how many
	Order     string    // why the batches stand in this order
	On        string    // rootstock
	Continued string    // the same on the next page
	Cuttings  string    // stock cuttings to take, spare ones among them
	Thick     string    // Cuttings, diameters
	// ThickInPart: Cuttings, how many of them, diameters, how many of which nobody said
	// the diameter.
	ThickInPart string
	From        string    // one diameter to another
	Heads       [7]string // of columns: variety, scions, grafts, stem, trays, tie, grafts made
	Ties        [2]string // tape, rubber
	Scions      string    // where scions come from
	By          string    // grafter
	Wrap        string    // of the label
	Ready       string    // head of what to make ready
	Labels      string    // stem labels, spare ones among them, what to load
	Cards       string    // tray cards, what to load
	Load        string    // sheets, label stock
	LoadRoll    string    // labels of a roll, label stock
	Trays       string    // trays, sizes
	TraysOnly   string    // trays whose sizes nobody said
	Pen         [3]string // before a line for the pen
	Care        string    // head of the cautions
	Cautions    [7]string
	Notes       string // head of the lines for the pen
}

func englishSession() SessionWords {
	return SessionWords{
		Title:    "Grafting sessions %s",
		Weekdays: [7]string{"Sunday", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday"},
		Day:      "%s %s",
		Totals:   "Batches:\u00a0%d\u00a0\u00a0 Grafts:\u00a0%d\u00a0\u00a0 Trays:\u00a0%d",
		Page:     "Page %d of %d",
		Order: "By stock, so that wood of one kind is cut, sorted and used up before the next; then by variety, so that no two mother plants lie on the bench at once. " +
			"The labels come in the same order.",
		On: "On %s", Continued: "On %s, continued",
		Cuttings: "Stock cuttings to take: %d (spare: %d)", Thick: "%s, %s thick", ThickInPart: "%s; %d\u00a0of %s, %d\u00a0not\u00a0said", From: "%s to %s",
		Heads:  [7]string{"Variety", "Scions", "Grafts", "Stem", "Trays", "Tie", "Made"},
		Ties:   [2]string{"tape", "rubber"},
		Scions: "Scions from:\u00a0%s", By: "By:\u00a0%s", Wrap: "Label:\u00a0%s",
		Ready:  "Make ready",
		Labels: "Stem labels: %d (spare: %d); %s", Cards: "Tray cards: %d; %s",
		Load: "sheets of %[2]s: %[1]d", LoadRoll: "from the roll %[2]s: %[1]d",
		Trays: "Trays: %d (%s)", TraysOnly: "Trays: %d",
		Pen:  [3]string{"Medium:", "Tape, rubber:", "Rooting compound:"},
		Care: "Take care",
		Cautions: [7]string{
			"Knife: cut away from the other hand, and wear a glove on it.",
			"Rooting compound: follow its product label and local rules.",
			"Clean the blades between one mother plant and the next.",
			"Scions must never dry: keep them wrapped, wet and cool.",
			"The stock is as thick as the scion or slightly thicker.",
			"A protected variety may be grafted only under a licence.",
			"Where plant passports apply, the plants need theirs.",
		},
		Notes: "Notes",
	}
}

// RulerWords are the words on a ruler page. Formats keep the order of their
// arguments. Lengths are millimetres.
type RulerWords struct {
	Language  string    // of these words, BCP 47
	Title     string    // of the file; name of the stock
	Labels    string    // name of the stock, labels to a page, width and height of a label
	Label     string    // the same with one label to a page, without their number
	FullSize  string    // Label or Labels, and how to print
	BothRules string    // first and last mark, distance; an example measured across and down, the scale it gives
	LongRule  string    // the same for the longer rule alone, where the other is too short, with one measured length
	Outlines  string    // an example of a shift to the left and down
	Sideways  string    // BothRules where the words lie sideways on a roll's label: short and long rule
	Turned    string    // Outlines, on such a label
	Scaled    string    // shift and scale in use
	Unscaled  string    // in place of that: no correction is in use
	Places    string    // what the numbers are
	Pen       [3]string // before a line for the pen: printer, shift, scale
}

// EnglishRuler are the words on English ruler pages.
func EnglishRuler() RulerWords {
	return RulerWords{
		Language: "en", Title: "Ruler %s",
		Labels:    "%s: %d labels of %s\u00a0×\u00a0%s\u00a0mm",
		Label:     "%s, %s\u00a0×\u00a0%s\u00a0mm",
		FullSize:  "%s. Print at 100\u00a0%%, never “fit to page”.",
		BothRules: "Measure on both rules from %d to %d. --scale is %d divided by what you measure: for %s\u00a0mm across and %s\u00a0mm down, --scale\u00a0%s.",
		LongRule:  "Measure on the long rule from %d to %d. --scale is %d divided by what you measure: for %s\u00a0mm, --scale\u00a0%s.",
		Outlines: "Then hold this page and the label stock against the light. The outlines should lie on the edges of the labels. " +
			"If label\u00a01 lies 0.5\u00a0mm too far right and 1\u00a0mm too high, --shift\u00a0%s.",
		Sideways: "Measure on both rules from %d to %d. --scale is %d divided by what you measure: for %s\u00a0mm on the short rule " +
			"and %s\u00a0mm on the long one, --scale\u00a0%s.",
		Turned:   "The outline should lie on the edge of the label. If it is 0.5\u00a0mm too high on the short rule and 1\u00a0mm too low on the long one, --shift\u00a0%s.",
		Scaled:   "In use: --shift\u00a0%s --scale\u00a0%s. Add to this shift, multiply this scale.",
		Unscaled: "No correction is in use.",
		Places:   "The large numbers are what --start and --skip count.",
		Pen:      [3]string{"Printer", "--shift", "--scale"},
	}
}
