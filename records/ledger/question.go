package ledger

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"graftslip/codes"
	"graftslip/records"
)

const (
	// mostMoved is the most days between a row and the batch that it may be.
	mostMoved = 31

	// list is how many batches a print needs so that it is hardly repeated by chance.
	list = 3

	// putOff is the hour of the day until which grafting may be postponed.
	putOff = 12
)

// Question stops a row from becoming a new batch unasked: it may be a batch printed before.
// AsNew answers it.
type Question struct {
	records.Problem
	Row int // 0 when the draft came from elsewhere
}

// asking finds rows that may be batches printed before: batches no longer in the file, because
// their row was corrected.
type asking struct {
	*issuing
	rows  []graft          // all drafts
	fresh []int            // indices of drafts without a batch
	moves map[graft][]int  // fresh, by what stays when they are moved
	pairs map[pairing]bool // of all drafts

	prints  map[string][]*printed
	printed map[graft][]*printed // by what stays when they are moved
	named   map[pairing]*variety
	on      map[string][]*variety // by stock

	asked    map[int]bool           // drafts about which there is a question
	repeated map[string]bool        // by print: see again
	like     map[pairing][]*printed // by pair of a draft: see mistyped
	times    map[pairing][2]string  // of a pair, and of a variety without stock: first and last time of issue; nil until needed
}

// pairing is a pair by its keys.
type pairing struct{ variety, stock string }

// variety is a variety on a stock, with its batches in the order of their codes.
type variety struct {
	name    records.Spelling
	pair    pairing
	batches []*printed
}

// graft is what stays the same when a row is moved to another day.
type graft struct {
	day                             time.Time
	variety, stock, source, grafter string // keys
	grafts                          int
}

// printed is a batch as it was issued.
type printed struct {
	records.Batch
	graft
	at     string // of issue
	print  string // the same for all batches of a print
	used   bool   // an entry or an amendment of it stands
	paired bool   // it is a row of the file
	asked  bool   // a question names it

	corrected bool // the question is about a row of its day, so this file printed it
}

func graftOf(d records.Draft) graft {
	return graft{records.Midnight(d.Date), records.Key(d.Variety), records.Key(d.Stock), records.Key(d.Source), records.Key(d.Grafter), d.Grafts}
}

func (g graft) pair() pairing { return pairing{g.variety, g.stock} }

// undated is what surely stays when a graft is moved: a grafter may be left out.
func (g graft) undated() graft {
	g.day, g.grafter = time.Time{}, ""
	return g
}

// movedTo reports whether two grafts with the same undated differ only in the day.
func (g graft) movedTo(other graft) bool {
	return g.day != other.day && (g.grafter == other.grafter || g.grafter == "" || other.grafter == "")
}

// apart is the days between two grafts.
func (g graft) apart(other graft) int {
	days := records.DaysBetween(g.day, other.day)
	return max(days, -days)
}

// ask raises the questions about new batches, unless they are answered.
func (s *issuing) ask(ctx context.Context) error {
	a := &asking{issuing: s, moves: map[graft][]int{}, pairs: map[pairing]bool{}, prints: map[string][]*printed{}, printed: map[graft][]*printed{},
		named: map[pairing]*variety{}, on: map[string][]*variety{}, asked: map[int]bool{}, repeated: map[string]bool{}, like: map[pairing][]*printed{}}
	known := map[codes.Code]bool{}
	for i, partner := range s.partners {
		switch void := s.voidPartners[i]; {
		case partner >= 0:
			known[s.batches[partner].Code] = true
		case void >= 0:
			a.aboutVoid(i, s.void[void])
		default:
			a.fresh = append(a.fresh, i)
		}
	}
	if !slices.ContainsFunc(a.fresh, func(i int) bool { return s.chosen(s.drafts[i]) }) {
		return nil
	}
	for _, draft := range s.drafts {
		row := graftOf(draft)
		a.rows = append(a.rows, row)
		a.pairs[row.pair()] = true
	}
	for _, i := range a.fresh {
		a.moves[a.rows[i].undated()] = append(a.moves[a.rows[i].undated()], i)
	}
	if err := a.read(ctx, known); err != nil {
		return err
	}
	for _, i := range a.fresh {
		a.about(i, a.printed[a.rows[i].undated()], a.moved)
	}
	for _, i := range a.fresh {
		if err := a.aboutName(ctx, i); err != nil {
			return err
		}
	}
	for _, i := range a.fresh { // mistyped rows show which prints this file made
		a.about(i, a.printed[a.rows[i].undated()], a.moved)
	}
	return nil
}

// read reads the batches of all days near those of the file.
func (a *asking) read(ctx context.Context, known map[codes.Code]bool) error {
	byDay := func(x, y graft) int { return x.day.Compare(y.day) }
	from := slices.MinFunc(a.rows, byDay).day.AddDate(0, 0, -mostMoved)
	to := slices.MaxFunc(a.rows, byDay).day.AddDate(0, 0, mostMoved)
	all, err := readAll(func(row row) (*printed, error) {
		p := &printed{}
		batch, err := scanBatch(withMore{row, []any{&p.at, &p.print, &p.used}})
		p.Batch, p.graft, p.paired = batch, graftOf(batch.Draft), known[batch.Code]
		return p, err
	})(a.tx.QueryContext(ctx, "SELECT "+batchColumns+`, issued_at,
			CASE WHEN issued_at IN (SELECT at FROM restorations) THEN date || '-' || number ELSE issued_at END, -- brought back, of no print
			EXISTS (SELECT 1 FROM observations AS o WHERE o.date = batches.date AND o.batch = batches.number
					AND NOT EXISTS (SELECT 1 FROM observations WHERE corrects = o.number)
					AND (o.corrects IS NULL OR coalesce(alive, growing, rooted, dead) IS NOT NULL OR note <> ''
						OR out_of_mist + flushed + unwrapped + sold + planted + culled + unused > 0)) -- which undoes one
				OR EXISTS (SELECT 1 FROM amendments AS a WHERE a.date = batches.date AND a.number = batches.number
					AND a.undoes IS NULL AND NOT EXISTS (SELECT 1 FROM amendments WHERE undoes = a.id))
		FROM batches WHERE date BETWEEN ? AND ? ORDER BY date, number`, from.Format(time.DateOnly), to.Format(time.DateOnly)))
	for _, p := range all {
		a.prints[p.print] = append(a.prints[p.print], p)
		a.printed[p.undated()] = append(a.printed[p.undated()], p)
		pair := p.pair()
		if a.named[pair] == nil {
			a.named[pair] = &variety{name: records.SpellingOf(pair.variety), pair: pair}
			a.on[pair.stock] = append(a.on[pair.stock], a.named[pair])
		}
		a.named[pair].batches = append(a.named[pair].batches, p)
	}
	return err
}

// withMore scans columns behind those of a batch.
type withMore struct {
	row
	more []any
}

func (w withMore) Scan(values ...any) error { return w.row.Scan(append(values, w.more...)...) }

// aboutVoid asks about a draft that is a void batch: it neither revives it nor becomes a
// second batch unasked.
func (a *asking) aboutVoid(i int, void records.Batch) {
	if name := void.Code.BatchName(); a.chosen(a.drafts[i]) {
		a.question(i, fmt.Sprintf("is batch %s, which is void", name), fmt.Sprintf("if it was made after all, run graftslip void %s --undo", name))
	}
}

// about raises the question about a draft, if there is one. It picks the batch of the nearest
// day from some, in the order of their codes.
func (a *asking) about(i int, among []*printed, looks func(int, *printed) string) {
	if !a.open(i) {
		return
	}
	var best *printed
	var bestLooks string
	for _, p := range among {
		days := p.apart(a.rows[i])
		if p.used || p.paired || p.asked || days > mostMoved || best != nil && days >= best.apart(a.rows[i]) {
			continue
		}
		if like := looks(i, p); like != "" {
			best, bestLooks = p, like
		}
	}
	if best != nil {
		best.asked, a.asked[i], best.corrected = true, true, best.day.Equal(a.rows[i].day)
		a.raise(i, best.Batch, fmt.Sprintf("looks like batch %s, %s", best.Code.BatchName(), bestLooks))
	}
}

// open reports whether a draft is to be printed and has no question yet.
func (a *asking) open(i int) bool { return a.chosen(a.drafts[i]) && !a.asked[i] }

// moved says that a draft looks like a batch moved to another day, "" if it does not. Growers
// often graft the same pair on several days, so the file must show more. Either other rows of
// it were printed with that batch. Or everything printed with it is in the file on other days;
// then no other print may fit as well, and it must be a list or its day not over.
func (a *asking) moved(i int, p *printed) string {
	if !p.movedTo(a.rows[i]) {
		return ""
	}
	looks := fmt.Sprintf("moved from %s to %s", p.Date.Format(time.DateOnly), a.drafts[i].Date.Format(time.DateOnly))
	with := a.prints[p.print]
	if slices.ContainsFunc(with, func(other *printed) bool { return other.paired || other.corrected }) {
		return looks
	}
	year, month, day := p.day.Date()
	if over := time.Date(year, month, day, putOff, 0, 0, 0, a.now.Location()); len(with) < list && a.now.After(over) {
		return ""
	}
	for print := range a.prints {
		if a.again(print) != (print == p.print) {
			return ""
		}
	}
	return looks
}

// again reports whether all batches of a print are in the file on other days.
func (a *asking) again(print string) bool {
	repeated, seen := a.repeated[print]
	if !seen {
		repeated = !slices.ContainsFunc(a.prints[print], func(p *printed) bool {
			return p.paired || !slices.ContainsFunc(a.moves[p.undated()], func(i int) bool { return p.movedTo(a.rows[i]) })
		})
		a.repeated[print] = repeated
	}
	return repeated
}

// aboutName asks about the variety of a draft.
func (a *asking) aboutName(ctx context.Context, i int) error {
	if !a.open(i) {
		return nil
	}
	like := a.mistyped(a.rows[i].pair())
	if len(like) > 0 && a.times == nil {
		if err := a.readTimes(ctx); err != nil {
			return err
		}
	}
	a.about(i, like, a.oneName)
	return nil
}

// mistyped returns the batches whose variety may be that of a pair, with one mistyped. A
// variety in the file on the same stock is a different one.
func (a *asking) mistyped(of pairing) []*printed {
	found, is := a.like[of]
	if !is {
		name := records.SpellingOf(of.variety)
		for _, other := range a.on[of.stock] {
			if name.Mistyped(other.name) && !a.pairs[other.pair] {
				found = append(found, other.batches...)
			}
		}
		slices.SortFunc(found, func(a, b *printed) int { return codes.Compare(a.Code, b.Code) })
		a.like[of] = found
	}
	return found
}

// oneName says that a draft and a batch have one variety, mistyped; "" if both were issued
// separately, or the draft's pair after the batch.
func (a *asking) oneName(i int, p *printed) string {
	row := a.rows[i]
	_, known := a.times[pairing{variety: row.variety}]
	other := a.times[pairing{variety: p.variety}]
	if known && other != [2]string{p.at, p.at} || a.times[row.pair()][1] > p.at {
		return ""
	}
	return fmt.Sprintf("%q, with one of the names mistyped", p.Variety)
}

// readTimes reads when varieties and pairs were first and last issued.
func (a *asking) readTimes(ctx context.Context) error {
	a.times = map[pairing][2]string{}
	_, err := readAll(func(row row) (none struct{}, err error) {
		var variety, stock, first, last string
		err = row.Scan(&variety, &stock, &first, &last)
		for _, key := range [2]pairing{{variety: records.Key(variety)}, {records.Key(variety), records.Key(stock)}} {
			times, known := a.times[key]
			if !known {
				times = [2]string{first, last}
			}
			a.times[key] = [2]string{min(first, times[0]), max(last, times[1])}
		}
		return none, err
	})(a.tx.QueryContext(ctx, "SELECT variety, stock, min(issued_at), max(issued_at) FROM batches GROUP BY variety, stock"))
	return err
}

// raise asks whether a draft is a batch, or notes the answer.
func (a *asking) raise(i int, batch records.Batch, looks string) {
	draft, amend := a.drafts[i], "graftslip amend "+batch.Code.BatchName()
	for _, field := range []struct{ flag, draft, batch string }{
		{"date", draft.Date.Format(time.DateOnly), batch.Date.Format(time.DateOnly)}, {"variety", draft.Variety, batch.Variety}, {"source", draft.Source, batch.Source},
	} {
		if records.Key(field.draft) != records.Key(field.batch) {
			amend += fmt.Sprintf(" --%s %s", field.flag, quoted(field.draft))
		}
	}
	a.question(i, looks, fmt.Sprintf("if row %d is that batch, amend it and print again: %s", draft.Row, amend))
}

// question refuses a draft unless AsNew answers what it is.
func (s *issuing) question(i int, looks, advice string) {
	draft := s.drafts[i]
	if slices.Contains(s.asNew, draft.Row) {
		s.answered[i] = "a new batch, although it " + looks
		return
	}
	s.refusals = append(s.refusals, &Question{Problem: *refusal(draft, looks, advice), Row: draft.Row})
}

// quoted quotes a word of a command for a shell.
func quoted(word string) string {
	switch {
	case strings.ContainsAny(word, "$`\\\"!"):
		return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
	case word == "" || strings.ContainsAny(word, " \t'&;|<>()*?#~[]{}"):
		return `"` + word + `"`
	}
	return word
}
