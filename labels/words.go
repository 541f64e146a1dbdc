package labels

// Words are the words that a slip says beside its names, numbers and dates.
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

// English are the words on English slips.
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
		LookFrom:  "Look for new growth from %s",
		Note:      "Note: %s",
		Pen:       [5]string{"Date", "Alive", "Growing", "Dead", "Initials"},
		Session:   englishSession(),
	}
}
