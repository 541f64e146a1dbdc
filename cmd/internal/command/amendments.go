package command

import (
	"time"

	"graftslip/records"
)

// AmendmentJSON is an amendment as both programs print it.
type AmendmentJSON struct {
	Number   int          `json:"number"`
	At       string       `json:"at"`
	By       string       `json:"by,omitempty"`
	Changes  []ChangeJSON `json:"changes,omitempty"`
	Void     bool         `json:"void,omitempty"`
	Reason   string       `json:"reason,omitempty"`
	Undoes   int          `json:"undoes,omitempty"`
	UndoneBy int          `json:"undone_by,omitempty"`
}

// ChangeJSON is a field before and after an amendment.
type ChangeJSON struct {
	Field string `json:"field"`
	Was   string `json:"was"`
	Is    string `json:"is"`
}

// NewAmendmentsJSON returns the amendments of a batch, nil for none.
func NewAmendmentsJSON(b records.Batch) []AmendmentJSON {
	var all []AmendmentJSON
	for _, a := range b.Amendments {
		object := AmendmentJSON{a.Number, a.At.Format(time.RFC3339), a.By, nil, a.Void, a.Reason, a.Undoes, a.UndoneBy}
		for _, c := range a.Changes {
			object.Changes = append(object.Changes, ChangeJSON(c))
		}
		all = append(all, object)
	}
	return all
}
