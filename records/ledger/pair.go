package ledger

import "graftslip/records"

// identity is what a draft and a batch of one day have in common when they may
// be the same.
type identity struct{ variety, stock, source string }

func identityOf(draft records.Draft) identity {
	return identity{records.Key(draft.Variety), records.Key(draft.Stock), records.Key(draft.Source)}
}

// The costs of pairing a draft with a batch, or with none. Each outweighs all
// that stand after it together, for the 999 drafts that a day can have.
const (
	costDiffers = 1                 // a field that differs: at most 6 × 999, under 2^13
	costStem    = costDiffers << 13 // a stem added: at most 8999 × 999, under 2^24
	costGrafter = costStem << 24    // a pair with unequal grafters: at most 999, under 2^10
	costNew     = costGrafter << 10 // a new batch
	costNever   = int64(1) << 60    // grafters differ; more than 999 × costNew
)

// pair returns, for each of the drafts at indices, the index of its batch, or
// -1 when it is to be a new one. The drafts and batches are of one day; the
// batches are in the order of their codes.
func pair(drafts []records.Draft, indices []int, batches []records.Batch) []int {
	partners := make([]int, len(indices))
	for k := range partners {
		partners[k] = -1
	}
	if len(batches) == 0 {
		return partners
	}
	known := map[identity][]int{} // indices of batches
	for j, batch := range batches {
		id := identityOf(batch.Draft)
		known[id] = append(known[id], j)
	}
	alike := map[identity][]int{} // positions in indices
	for k, i := range indices {
		id := identityOf(drafts[i])
		if known[id] != nil {
			alike[id] = append(alike[id], k)
		}
	}
	for id, positions := range alike {
		candidates := known[id]
		costs := make([][]int64, len(positions))
		fresh := make([]int64, len(positions))
		for row, k := range positions {
			draft := drafts[indices[k]]
			costs[row] = make([]int64, len(candidates))
			for column, j := range candidates {
				costs[row][column] = cost(draft, batches[j])
			}
			fresh[row] = costNew + costStem*int64(draft.Grafts)
		}
		for row, column := range assign(costs, fresh) {
			if column >= 0 {
				partners[positions[row]] = candidates[column]
			}
		}
	}
	return partners
}

// cost returns what it costs to take a draft for a batch of its identity.
func cost(draft records.Draft, batch records.Batch) int64 {
	var cost int64
	if records.Key(draft.Grafter) != records.Key(batch.Grafter) {
		if draft.Grafter != "" && batch.Grafter != "" {
			return costNever
		}
		cost += costGrafter
	}
	cost += costStem * int64(max(0, draft.Grafts-batch.Grafts))
	for _, differs := range [6]bool{
		draft.Grafts != batch.Grafts,
		draft.TraySize != batch.TraySize,
		draft.Stem != 0 && draft.Stem != batch.Stem,
		draft.Wrap != 0 && draft.Wrap != batch.Wrap,
		draft.Note != "" && draft.Note != batch.Note,
		draft.Variety != batch.Variety || draft.Stock != batch.Stock || draft.Source != batch.Source,
	} {
		if differs {
			cost += costDiffers
		}
	}
	return cost
}
