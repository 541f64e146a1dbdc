package proof

import (
	"slices"
	"strings"

	"graftslip/codes"
	"graftslip/records"
)

// contradiction compares a symbol with the record of its code and both with the
// texts beside it.
func (c Check) contradiction(said string, record records.Record, printed []codes.Code, texts []string) *Fault {
	if !slices.Contains(printed, record.Code) {
		if len(printed) == 0 {
			return wrong("the code of the symbol does not stand in print beside it")
		}
		return wrong("the symbol has this code, and %v stands in print beside it", printed[0])
	}
	for _, name := range []struct{ what, name string }{
		{"variety", records.Quoted(record.Batch.Variety)}, {"stock", records.Quoted(record.Batch.Stock)},
	} {
		if !stands(name.name, texts) {
			return wrong("the %s of this code is %s, which does not stand in print", name.what, name.name)
		}
	}
	for _, phrase := range c.phrases(record) {
		if !slices.ContainsFunc(phrase.ways, func(way string) bool { return says(texts, way) }) {
			fault := wrong("the %s of this code is %q, which does not stand in print", phrase.what, phrase.ways[0])
			if phrase.perhaps != "" {
				fault.Text += ": " + phrase.perhaps
			}
			return fault
		}
	}
	if !strings.HasPrefix(said, record.Code.String()+" ") {
		return nil
	}
	carried, err := records.ParseLine(said)
	if err != nil {
		return wrong("the record in the symbol cannot be read: %v", err)
	}
	var fields []string
	for _, difference := range records.Differences(carried.Batch, record.Batch) {
		fields = append(fields, difference.Field)
	}
	if len(fields) > 0 {
		return wrong("the record in the symbol is not that of the ledger, it differs in: %s", strings.Join(fields, ", "))
	}
	return nil
}
