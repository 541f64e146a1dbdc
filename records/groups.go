package records

import (
	"fmt"
	"slices"
	"time"

	"graftslip/codes"
)

// DueGroup is one task, due from the same day, for one or more trays of a batch.
type DueGroup []Due

// Trays returns the numbers of the trays, in rising order.
func (g DueGroup) Trays() Numbers {
	var numbers Numbers
	for _, due := range g {
		numbers = append(numbers, due.Unit.Number())
	}
	slices.Sort(numbers)
	return numbers
}

// Where names the trays within their batch: "tray 2", "trays 1-4".
func (g DueGroup) Where() string {
	if len(g) == 1 {
		return fmt.Sprintf("tray %v", g.Trays())
	}
	return fmt.Sprintf("trays %v", g.Trays())
}

// Codes returns the codes of all trays, in full, for copying.
func (g DueGroup) Codes() []string {
	var texts []string
	for _, due := range g {
		texts = append(texts, due.Unit.String())
	}
	return texts
}

// DueGroups groups what is due by batch, task, day and reason. Groups, and what is in
// them, keep their order.
func DueGroups(due []Due) []DueGroup {
	type key struct {
		batch  codes.Code
		task   Task
		from   time.Time
		reason string
	}
	return groupedBy(DueGroup(due), func(d Due) key { return key{d.Batch.Code, d.Task, d.From, d.Reason} })
}

// DueEvents groups what is due by batch, task and day, whatever the reason.
func DueEvents(due []Due) []DueGroup {
	type key struct {
		batch codes.Code
		task  Task
		from  time.Time
	}
	return groupedBy(DueGroup(due), func(d Due) key { return key{d.Batch.Code, d.Task, d.From} })
}

// BedGroups groups trays by batch, day on which they may leave, and reason. Groups, and
// what is in them, keep their order.
func BedGroups(trays []BedTray) [][]BedTray {
	type key struct {
		batch codes.Code
		until time.Time
		basis string
	}
	return groupedBy(trays, func(b BedTray) key { return key{b.Batch.Code, b.Until, b.Basis} })
}

// groupedBy groups values by key, in the order in which keys and values first appear.
func groupedBy[S ~[]T, T any, K comparable](all S, key func(T) K) []S {
	var groups []S
	at := map[K]int{}
	for _, each := range all {
		k := key(each)
		if n, is := at[k]; is {
			groups[n] = append(groups[n], each)
			continue
		}
		at[k] = len(groups)
		groups = append(groups, S{each})
	}
	return groups
}
