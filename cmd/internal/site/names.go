package site

import (
	"fmt"
	"net/http"

	"graftslip/records"
)

// showNamed opens the record of the batch that a name matches, or lists several.
func (s *Site) showNamed(r *request, name string) error {
	kept, err := s.kept(r.Context())
	if err != nil {
		return err
	}
	names, shown := kept.names(), cleanLine(name, maxShown)
	found, like := names.Search(name)
	page := foundPage{Said: fmt.Sprintf("Batches with “%s” in their names:", shown)}
	switch {
	case len(found) == 0:
		s.render(r, http.StatusNotFound, "found", frame{Title: "Not found", Here: "scan", Body: foundPage{Near: names.Nearest(name)},
			Problem: newProblem(fmt.Sprintf("no batch has “%s” in its names", shown), "type a part of a variety, rootstock, source, grafter or note")})
		return nil
	case len(found) == 1 && !like:
		return r.redirect(recordPath(kept.histories[found[0]].Batch.Code))
	case like:
		page.Said = fmt.Sprintf("No batch has “%s” in its names. These are similar:", shown)
	}
	for _, at := range found[:min(len(found), maxFound)] {
		page.addNamed(s, kept.histories[at])
	}
	if len(found) > maxFound {
		page.More = fmt.Sprintf("The first %d are shown. For fewer, add a part of another name.", maxFound)
	}
	s.render(r, http.StatusOK, "found", frame{Title: records.Counted(len(found), "batch"), Here: "scan", Body: page})
	return nil
}

// addNamed adds a batch with its state.
func (f *foundPage) addNamed(s *Site, history records.History) {
	b := history.Batch
	f.add(records.Record{Batch: b, Code: b.Code})
	added := &f.Records[len(f.Records)-1]
	added.Unit = fmt.Sprintf("%s, grafted %s", records.Record{Batch: b, Code: b.Code}.Words(), s.Dates.Format(b.Date))
	added.State = fmt.Sprintf("%v · %d alive", history.Stage(b.Code, s.Calendar.For(b.Variety, b.Stock), s.today()), history.Tally(b.Code).Alive)
}
