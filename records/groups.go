package records

import (
	"fmt"
	"slices"
	"time"

	"graftslip/codes"
)

// DueGroup is work for trays of one batch: the same task, from the same day. It has
// one at least.
type DueGroup []Due

// Trays are the numbers of the trays, in rising order.
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

// Codes are those of the trays. None is left out, as each is to be copied.
func (g DueGroup) Codes() []string {
	var texts []string
	for _, due := range g {
		texts = append(texts, due.Unit.String())
	}
	return texts
}

// DueGroups puts together what is due for trays of one batch for the same reason.
// Groups and what is in them keep their order.
func DueGroups(due []Due) []DueGroup {
	type key struct {
		batch  codes.Code
		task   Task
		from   time.Time
		reason string
	}
	return groupedBy(DueGroup(due), func(d Due) key { return key{d.Batch.Code, d.Task, d.From, d.Reason} })
}

// DueEvents puts together what is due for trays of one batch, for whatever reason.
func DueEvents(due []Due) []DueGroup {
	type key struct {
		batch codes.Code
		task  Task
		from  time.Time
	}
	return groupedBy(DueGroup(due), func(d Due) key { return key{d.Batch.Code, d.Task, d.From} })
}

// BedGroups puts together the trays of one batch that may leave on the same day for
// the same reason. Groups and what is in them keep their order.
func BedGroups(trays []BedTray) [][]BedTray {
	type key struct {
		batch codes.Code
		until time.Time
		basis string
	}
	return groupedBy(trays, func(b BedTray) key { return key{b.Batch.Code, b.Until, b.Basis} })
}

// groupedBy puts together what has the same key, in the order in which keys and
// values come.
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
