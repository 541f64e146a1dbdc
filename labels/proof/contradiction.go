package proof

import (
	"slices"
	"strings"

	"graftslip/codes"
	"graftslip/records"
)

// contradiction compares a symbol with the record of its code and both with the
// texts beside it.
func contradiction(said string, code codes.Code, record records.Record, printed []codes.Code, texts []string) *Fault {
	if !slices.Contains(printed, code) {
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
	if !strings.HasPrefix(said, code.String()+" ") {
		return nil
	}
	carried, err := records.ParseLine(said)
	if err != nil {
		return wrong("the record in the symbol cannot be read: %v", err)
	}
	if differs := differences(carried.Batch, record.Batch); len(differs) > 0 {
		return wrong("the record in the symbol is not that of the ledger, it differs in: %s", strings.Join(differs, ", "))
	}
	return nil
}

// differences names what two batches do not share. The row is none of it, and
// neither are stem and wrap where the symbol says nothing: they belong to the
// labels of one print, while the ledger keeps what an earlier one has said.
func differences(carried, kept records.Batch) []string {
	var differ []string
	for _, part := range []struct {
		name   string
		differ bool
	}{
		{"date", !carried.Date.Equal(kept.Date)},
		{"variety", carried.Variety != kept.Variety},
		{"stock", carried.Stock != kept.Stock},
		{"grafts", carried.Grafts != kept.Grafts},
		{"source", carried.Source != kept.Source},
		{"tray", carried.TraySize != kept.TraySize},
		{"stem", carried.Stem != 0 && carried.Stem != kept.Stem},
		{"grafter", carried.Grafter != kept.Grafter},
		{"wrap", carried.Wrap != 0 && carried.Wrap != kept.Wrap},
		{"note", carried.Note != kept.Note},
	} {
		if part.differ {
			differ = append(differ, part.name)
		}
	}
	return differ
}
