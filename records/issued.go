package records

// State is what became of a draft when it was issued.
type State uint8

// The states. The zero State is that of a draft that has not been issued.
const (
	New      State = iota + 1 // a batch that the ledger did not have
	Known                     // a batch of the ledger, with as many grafts as asked
	Extended                  // a batch of the ledger that got more stems
	Kept                      // a batch of the ledger with more stems than asked: all are kept
)

// String returns the state in lower case, and "none" for the zero State.
func (s State) String() string {
	switch s {
	case New:
		return "new"
	case Known:
		return "known"
	case Extended:
		return "extended"
	case Kept:
		return "kept"
	}
	return "none"
}

// Issued is the outcome for one draft.
type Issued struct {
	// Batch is the batch as the ledger now holds it. Its Grafts are the stems
	// issued, which are more than the draft asked for when State is Kept; its Row is
	// the draft's.
	Batch
	// State is what became of the draft.
	State State
	// Before is the number of stems issued before, 0 for a new batch.
	Before int
	// Notes are sentences for the grower, without a full stop: what the draft
	// changed in the ledger and where it differs from what was issued.
	Notes []string
}
