package ledger

import (
	"slices"
	"time"

	"graftslip/records"
)

// identity is what a draft and a batch must share to be the same.
type identity struct {
	day                    time.Time
	variety, stock, source string
}

func identityOf(draft records.Draft) identity {
	return identity{records.Midnight(draft.Date), records.Key(draft.Variety), records.Key(draft.Stock), records.Key(draft.Source)}
}

// version is a batch now, or before an amendment.
type version struct {
	identity
	records.Draft
	former bool
}

// versionsOf returns the versions of a batch, the newest first.
func versionsOf(batch records.Batch) []version {
	if len(batch.Amendments) == 0 {
		return []version{{identityOf(batch.Draft), batch.Draft, false}}
	}
	var versions []version
	for n, draft := range batch.Versions() {
		versions = append(versions, version{identityOf(draft), draft, n > 0})
	}
	return versions
}

// The costs of pairing a draft with a batch, or with none. Each outweighs all
// that stand after it together, for the 999 drafts that a day can have.
const (
	costDiffers = 1                 // a field that differs: at most 6 × 999, under 2^13
	costStem    = costDiffers << 13 // a stem added: at most 8999 × 999, under 2^24
	costGrafter = costStem << 24    // a pair with unequal grafters, or with an earlier version: at most 2 × 999, under 2^11
	costNew     = costGrafter << 11 // a new batch
	costNever   = int64(1) << 60    // they cannot be the same; more than 999 × costNew
)

// pair returns for each draft the index of its batch, -1 for none. Only the drafts at indices,
// in rising order, get one. The batches are in the order of their codes.
func pair(drafts []records.Draft, indices []int, batches []records.Batch) []int {
	partners := slices.Repeat([]int{-1}, len(drafts))
	if len(batches) == 0 {
		return partners
	}
	ids := make([]identity, len(drafts))
	wanted := map[identity]bool{}
	for _, i := range indices {
		ids[i] = identityOf(drafts[i])
		wanted[ids[i]] = true
	}
	versions := make([][]version, len(batches))
	known := groups{}
	for j, batch := range batches {
		versions[j] = slices.DeleteFunc(versionsOf(batch), func(v version) bool { return !wanted[v.identity] })
		for _, v := range versions[j] {
			known.join(v.identity, versions[j][0].identity)
		}
	}
	rows, columns := map[identity][]int{}, map[identity][]int{} // by group: drafts and batches
	for _, i := range indices {
		if group, is := known.of(ids[i]); is {
			rows[group] = append(rows[group], i)
		}
	}
	for j := range batches {
		if len(versions[j]) > 0 {
			group, _ := known.of(versions[j][0].identity)
			columns[group] = append(columns[group], j)
		}
	}
	for group, alike := range rows {
		candidates := columns[group]
		costs := make([][]int64, len(alike))
		fresh := make([]int64, len(alike))
		for row, i := range alike {
			costs[row] = make([]int64, len(candidates))
			for column, j := range candidates {
				costs[row][column] = cost(ids[i], drafts[i], versions[j])
			}
			fresh[row] = costNew + costStem*int64(drafts[i].Grafts)
		}
		for row, column := range assign(costs, fresh) {
			if column >= 0 && costs[row][column] < costNew {
				partners[alike[row]] = candidates[column]
			}
		}
	}
	return partners
}

// groups joins the identities of a batch: an amended batch has several.
type groups map[identity]identity // to another of its group, the last to itself

func (g groups) join(a, b identity) {
	for _, id := range [2]identity{a, b} {
		if _, is := g[id]; !is {
			g[id] = id
		}
	}
	of, with := g.last(a), g.last(b)
	g[of] = with
}

func (g groups) last(id identity) identity {
	for g[id] != id {
		id = g[id]
	}
	return id
}

// of returns the identity that represents id's group, and whether it has one.
func (g groups) of(id identity) (identity, bool) {
	if _, is := g[id]; !is {
		return identity{}, false
	}
	return g.last(id), true
}

// cost returns the cost of pairing a draft with a batch of these versions.
func cost(id identity, draft records.Draft, versions []version) int64 {
	least := costNever
	for _, v := range versions {
		if v.identity == id {
			least = min(least, costOf(draft, v))
		}
	}
	return least
}

func costOf(draft records.Draft, v version) int64 {
	var cost int64
	if records.Key(draft.Grafter) != records.Key(v.Grafter) {
		if draft.Grafter != "" && v.Grafter != "" {
			return costNever
		}
		cost += costGrafter
	}
	if v.former {
		cost += costGrafter
	}
	cost += costStem * int64(max(0, draft.Grafts-v.Grafts))
	for _, differs := range [6]bool{
		draft.Grafts != v.Grafts,
		draft.TraySize != v.TraySize,
		draft.Stem != 0 && draft.Stem != v.Stem,
		draft.Wrap != 0 && draft.Wrap != v.Wrap,
		draft.Note != "" && draft.Note != v.Note,
		draft.Variety != v.Variety || draft.Stock != v.Stock || draft.Source != v.Source,
	} {
		if differs {
			cost += costDiffers
		}
	}
	return cost
}
