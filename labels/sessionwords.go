package labels

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
