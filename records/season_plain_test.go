package records_test

import (
	"slices"
	"time"
)

// jot is an entry as the simulated grower's notebook has it, apart from what
// package records makes of it. Counts are -1 where nothing was counted.
type jot struct {
	day, number          int // day since the season began; the order within it
	tray, stem           int // 0, 0 for the whole batch
	alive, growing, dead int
	sold, unused         int
	out, flushed, bare   bool
	note                 bool
}

func (j jot) counts() bool { return j.alive >= 0 || j.growing >= 0 || j.dead >= 0 }

// plainDays are the days of a pair, written out.
type plainDays struct{ look, again, harden, flush, question int }

// plainTray is a tray with all that was jotted of its batch, in order.
type plainTray struct {
	tray, size int
	grafted    int // day of the season
	days       plainDays
	jots       []jot
}

// known is what follows from jots about the tray: how many may live, and how
// many are known to grow.
func (p plainTray) known(jots []jot) (alive, growing int) {
	left, unused, deadOfTray, last, counted := 0, 0, 0, 0, false
	grow, growDay := 0, -1000
	gone, dead, grows := map[int]bool{}, map[int]bool{}, map[int]int{}
	unsaid := 0 // left or unused, and not told which
	for _, j := range jots {
		if j.tray == p.tray {
			unused += j.unused
		}
		if j.tray == p.tray && j.stem == 0 {
			unsaid += j.unused
		}
	}
	for _, j := range jots {
		if j.tray != p.tray {
			continue
		}
		left += j.sold
		last -= j.sold
		switch {
		case j.stem > 0:
			gone[j.stem] = gone[j.stem] || j.sold+j.unused > 0 || j.alive == 0
			dead[j.stem] = dead[j.stem] || j.dead == 1 || j.alive == 0 && unsaid == 0 // else it may be one of those
			if j.growing >= 0 {
				grows[j.stem] = j.day * j.growing
			}
			continue
		case j.sold > 0:
			unsaid += j.sold
		case j.alive >= 0:
			last, counted = j.alive, true
			deadOfTray = max(deadOfTray, p.size-j.alive-left-unused)
		}
		deadOfTray = max(deadOfTray, j.dead)
		if j.growing >= 0 {
			grow, growDay = j.growing, j.day
		}
	}
	alive = p.size - left - unused - max(deadOfTray, len(trues(dead)))
	if counted {
		alive = min(alive, last)
	}
	stems := 0
	for stem, day := range grows {
		if day > 0 && day >= growDay && !gone[stem] && !dead[stem] {
			stems++
		}
	}
	return alive, min(alive, max(grow, stems))
}

func trues(set map[int]bool) []int {
	var all []int
	for n, is := range set {
		if is {
			all = append(all, n)
		}
	}
	return all
}

// due is the task on a day by the rules, "" for none, and the day from which it
// is due. The most that can live in the batch bounds what can in the tray.
func (p plainTray) due(today, livingInBatch int) (task string, from int) {
	alive, growing := p.known(p.jots)
	alive = min(alive, livingInBatch)
	growing = min(growing, alive)
	first := func(is func(jot) bool) int {
		for _, j := range p.jots {
			if j.stem == 0 && (j.tray == 0 || j.tray == p.tray) && is(j) {
				return j.day
			}
		}
		return -1
	}
	lastLook := func(since int, answers func(jot) bool) int {
		day := -1
		for _, j := range p.jots {
			if j.stem == 0 && (j.tray == 0 || j.tray == p.tray) && answers(j) && j.day >= since {
				day = j.day
			}
		}
		return day
	}
	seen := p.grafted
	for _, j := range p.jots {
		if j.tray == 0 || j.tray == p.tray {
			seen = max(seen, j.day)
		}
	}
	bare := first(func(j jot) bool { return j.bare })
	flushed := first(func(j jot) bool { return j.flushed })
	out := first(func(j jot) bool { return j.out || j.flushed || j.bare })
	if alive == 0 || bare >= 0 {
		return "", 0
	}
	ask := seen + p.days.question
	switch {
	case flushed >= 0:
		task, from = "remove-tie", flushed
	case out >= 0:
		start := max(p.grafted+p.days.flush, out+p.days.harden)
		task, from = "look-for-flush", start
		if look := lastLook(start, func(j jot) bool { return j.counts() || j.note }); look >= 0 {
			from = look + p.days.again
		}
	case 2*growing > alive:
		task, from = "harden-off", p.since(func(alive, growing int) bool { return 2*growing > alive })
	default:
		start := p.grafted + p.days.look
		look := lastLook(start, func(j jot) bool { return j.growing >= 0 })
		switch {
		case growing > 0 && look >= 0:
			task, from = "look-again", look+p.days.again
		case growing > 0:
			task, from = "look-again", p.since(func(_, growing int) bool { return growing > 0 })+p.days.again
		case look >= 0:
			task, from = "look", look+p.days.again
		default:
			task, from = "look", start
		}
	}
	if ask <= today && from < ask {
		return "ask", ask
	}
	return task, from
}

// since is the day of the jot since which something has been so.
func (p plainTray) since(so func(alive, growing int) bool) int {
	n := len(p.jots)
	for n > 0 && so(p.known(p.jots[:n])) {
		n--
	}
	return p.jots[n].day
}

func inOrder(jots []jot) []jot {
	slices.SortFunc(jots, func(a, b jot) int { return (a.day-b.day)*1_000_000 + a.number - b.number })
	return jots
}

// seasonStart is a Monday.
var seasonStart = time.Date(2026, time.January, 5, 0, 0, 0, 0, time.UTC)
