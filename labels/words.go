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

// CountWords are which stem of a batch a label is for.
func CountWords(b records.Batch, stem int) string { return fmt.Sprintf("%d of %d", stem, b.Grafts) }

// TrayWords are which tray a card is for, and which stems it holds.
func TrayWords(b records.Batch, tray int) (number, stems string) {
	from, to := b.StemsIn(tray)
	stems = fmt.Sprintf("stems %d–%d", from, to)
	if from == to {
		stems = fmt.Sprintf("stem %d", from)
	}
	return fmt.Sprintf("Tray %d of %d", tray, b.Trays()), stems
}

// GraftedWords are on which date a batch was grafted, and by whom if that is known.
func GraftedWords(date string, b records.Batch) string {
	if b.Grafter == "" {
		return "Grafted " + date
	}
	return fmt.Sprintf("Grafted %s by %s", date, b.Grafter)
}

// LookWords are from which date to check a batch.
func LookWords(date string) string { return "Check for new growth from " + date }

// penHeads are the heads of the pen table of a tray card.
func penHeads() [5]string { return [5]string{"Date", "Alive", "Growing", "Dead", "Initials"} }

// Cautions are what can hurt somebody or break a law. Everything that warns does so in
// these words.
const (
	KnifeCaution     = "Keep your other hand and body out of the blade's path; wear a cut-resistant glove on the hand that holds the wood."
	CompoundCaution  = "Wear gloves and follow the product's label." // of rooting compound
	GirdlingCaution  = "A label or tie left on too long girdles the stem: look at it through the season."
	MainsCaution     = "Keep mains current away from wet hands and mist."
	ProtectedCaution = "Propagating a protected variety may need the right holder's licence; check local law."
	LeavingCaution   = "Before plants leave, ask your plant health authority about passports and phytosanitary certificates."
)
