package labels

import (
	"fmt"

	"graftslip/records"
)

// Titles of files, and the language of all words.
const (
	Language     = "en"                   // BCP 47
	StemTitle    = "Stem labels %s"       // name of the session
	TrayTitle    = "Tray cards %s"        // name of the session
	SessionTitle = "Grafting sessions %s" // name of the orders
	RulerTitle   = "Ruler %s"             // name of the stock
)

// SpareWord stands on a spare label in place of its count.
const SpareWord = "spare"

// CountWords say which stem of a batch a label is for.
func CountWords(b records.Batch, stem int) string { return fmt.Sprintf("%d of %d", stem, b.Grafts) }

// TrayWords say which tray a card is for, and which stems it holds.
func TrayWords(b records.Batch, tray int) (number, stems string) {
	from, to := b.StemsIn(tray)
	stems = fmt.Sprintf("stems %d–%d", from, to)
	if from == to {
		stems = fmt.Sprintf("stem %d", from)
	}
	return fmt.Sprintf("Tray %d of %d", tray, b.Trays()), stems
}

// GraftedWords say on which date a batch was grafted, and by whom if that is known.
func GraftedWords(date string, b records.Batch) string {
	if b.Grafter == "" {
		return "Grafted " + date
	}
	return fmt.Sprintf("Grafted %s by %s", date, b.Grafter)
}

// LookWords say from which date to look at a batch.
func LookWords(date string) string { return "Check for new growth from " + date }

// penHeads are the heads of the pen table of a tray card.
func penHeads() [5]string { return [5]string{"Date", "Alive", "Growing", "Dead", "Initials"} }

// Cautions stand on the sheet of a session.
func Cautions() []string {
	return []string{
		"Knife: cut away from the other hand, and wear a glove on it.",
		"Rooting compound: follow its product label and local rules.",
		"Clean the blades between one mother plant and the next.",
		"Scions must never dry: keep them wrapped, wet and cool.",
		"The stock is as thick as the scion or slightly thicker.",
		"A protected variety may be grafted only under a licence.",
		"Where plant passports apply, the plants need theirs.",
	}
}
