package records

import (
	"time"

	"graftslip/codes"
)

// part holds what is known about a batch, a tray or a stem with entries.
type part struct {
	stems     int
	parts     []*part
	dead      int   // at least
	partsDead int   // of them, those known of its parts
	left      Moves // numbers of those that left, also of its parts
	own       int   // of those that left, how many by entries about this unit itself
	counted   bool  // of the living
	most      int   // that can be living by its own last count of them

	growing, rooted seen

	reckoned bool // living holds since the last entry
	living   int
}

// seen is the last count of one kind.
type seen struct {
	Count
	day time.Time
}

// reckoning is what the entries of a history add up to.
type reckoning struct {
	batch Batch
	whole *part
	trays map[int]*part
	stems map[int]*part
	steps []step
}

// step holds the totals after an entry, for its unit and the units around it.
type step struct {
	path       []*part
	dead, left []int // of each of the path, after the entry
	own        []int // of those that left, how many by entries about each itself
	elsewhere  int   // the most of the unit's stems that left by entries about a larger unit
	tooMany    bool  // more left than were alive by a count
}

func reckon(batch Batch, entries []Entry) *reckoning {
	r := newReckoning(batch)
	for _, entry := range entries { // unused labels were unused from the beginning
		r.leave(r.path(entry.Unit), Moves{Unused: entry.Unused})
	}
	for _, entry := range entries {
		r.steps = append(r.steps, r.take(entry))
	}
	r.whole.alive() // and all its parts, so that concurrent readers write nothing
	return r
}

func newReckoning(batch Batch) *reckoning {
	return &reckoning{batch: batch, whole: newPart(batch.Grafts), trays: map[int]*part{}, stems: map[int]*part{}}
}

func newPart(stems int) *part { return &part{stems: stems} }

// path is a unit with what it is part of, up to the batch.
func (r *reckoning) path(unit codes.Code) []*part {
	tray := unit.Number()
	switch unit.Kind() {
	case codes.Batch:
		return []*part{r.whole}
	case codes.Stem:
		tray = r.batch.TrayOf(unit.Number())
	}
	up := []*part{r.whole}
	if r.batch.Trays() > 1 {
		if r.trays[tray] == nil {
			from, to := r.batch.StemsIn(tray)
			r.trays[tray] = newPart(to - from + 1)
			r.whole.parts = append(r.whole.parts, r.trays[tray])
		}
		up = []*part{r.trays[tray], r.whole}
	}
	if unit.Kind() == codes.Tray {
		return up
	}
	if r.stems[unit.Number()] == nil {
		r.stems[unit.Number()] = newPart(1)
		up[0].parts = append(up[0].parts, r.stems[unit.Number()])
	}
	return append([]*part{r.stems[unit.Number()]}, up...)
}

// leave takes stems out of the units of a path, and reports whether there were
// too few.
func (r *reckoning) leave(path []*part, moves Moves) (tooMany bool) {
	path[0].own += moves.Left()
	for _, p := range path {
		p.reckoned = false
		p.left.Sold += moves.Sold
		p.left.Planted += moves.Planted
		p.left.Culled += moves.Culled
		p.left.Unused += moves.Unused
		p.most -= moves.Left()
		tooMany = tooMany || p.counted && p.most < 0
	}
	return tooMany
}

// take adds an entry: first what was done, then what was counted.
func (r *reckoning) take(entry Entry) step {
	path := r.path(entry.Unit)
	moves := entry.Moves
	moves.Unused = 0
	s := step{path: path, tooMany: r.leave(path, moves)}
	unit := path[0]
	for _, above := range path[1:] {
		s.elsewhere += above.own
	}
	if alive, said := entry.Alive.Value(); said {
		unit.counted, unit.most = true, alive+unit.stems-entry.Of
		died(path, entry.Of-alive-unit.left.Left()-s.elsewhere)
	}
	if dead, said := entry.Dead.Value(); said {
		died(path, dead)
	}
	if entry.Growing.said {
		unit.growing = seen{entry.Growing, entry.Day()}
	}
	if entry.Rooted.said {
		unit.rooted = seen{entry.Rooted, entry.Day()}
	}
	for _, p := range path {
		p.reckoned = false
		s.dead, s.left, s.own = append(s.dead, p.dead), append(s.left, p.left.Left()), append(s.own, p.own)
	}
	return s
}

// died sets how many of the first of a path are dead at least.
func died(path []*part, dead int) {
	more := dead - path[0].dead
	if more <= 0 {
		return
	}
	path[0].dead = dead
	for _, p := range path[1:] {
		p.partsDead += more
		more = max(0, p.partsDead-p.dead)
		p.dead += more
	}
}

// alive is the most that can be living of a part by itself.
func (p *part) alive() int {
	if !p.reckoned {
		p.living, p.reckoned = p.reckonAlive(), true
	}
	return p.living
}

func (p *part) reckonAlive() int {
	alive := p.stems - p.left.Left() - p.dead
	if p.counted {
		alive = min(alive, p.most)
	}
	living := p.stems
	for _, each := range p.parts {
		living -= each.stems - each.alive()
	}
	return min(alive, living)
}

// shows is how many are known to grow, or to have roots, by counts of a day or
// later.
func (p *part) shows(which func(*part) seen, since time.Time) int {
	own := which(p)
	n := 0
	if own.said && !own.day.Before(since) {
		n, since = own.n, own.day
	}
	parts := 0
	for _, each := range p.parts {
		parts += each.shows(which, since)
	}
	return min(p.alive(), max(n, parts))
}

func growing(p *part) seen { return p.growing }
func rooted(p *part) seen  { return p.rooted }

func (r *reckoning) tally(unit codes.Code) Tally {
	part, above := r.find(unit)
	t := Tally{
		Stems: part.stems, Alive: part.alive(), Sold: part.left.Sold, Planted: part.left.Planted,
		Culled: part.left.Culled, Unused: part.left.Unused, Dead: part.dead,
		Growing: part.shows(growing, time.Time{}), Rooted: part.shows(rooted, time.Time{}),
	}
	gone := 0 // by entries about a larger unit
	for _, p := range above {
		t.Alive = min(t.Alive, p.alive())
		gone += p.own
		t.Growing = max(t.Growing, p.sharedWith(part, growing))
		t.Rooted = max(t.Rooted, p.sharedWith(part, rooted))
	}
	rest := t.Stems - part.left.Left() - t.Alive
	t.Dead = max(t.Dead, rest-gone) // the others can only have died
	t.Elsewhere = rest - t.Dead
	t.Growing, t.Rooted = min(t.Growing, t.Alive), min(t.Rooted, t.Alive)
	return t
}

// sharedWith is how many of a part must be among those counted for the whole of
// it, since the others are too few. A count of the part itself that is newer
// says it better.
func (p *part) sharedWith(part *part, which func(*part) seen) int {
	own := which(p)
	if !own.said || which(part).said && which(part).day.After(own.day) {
		return 0
	}
	return own.n - (p.alive() - part.alive())
}

// find returns a unit and what it is part of; what no entry is about is whole.
func (r *reckoning) find(unit codes.Code) (p *part, above []*part) {
	tray := unit.Number()
	switch unit.Kind() {
	case codes.Batch:
		return r.whole, nil
	case codes.Stem:
		tray = r.batch.TrayOf(unit.Number())
	}
	above = []*part{r.whole}
	if r.batch.Trays() > 1 {
		held := r.trays[tray]
		if held == nil {
			from, to := r.batch.StemsIn(tray)
			held = newPart(to - from + 1)
		}
		above = []*part{held, r.whole}
	}
	if unit.Kind() == codes.Tray {
		return above[0], above[1:]
	}
	if stem := r.stems[unit.Number()]; stem != nil {
		return stem, above
	}
	return newPart(1), above
}
