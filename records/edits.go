package records

// Edits counts how many characters must be added, left out, exchanged for another or
// swapped with their neighbour to make one text of the other: the optimal string
// alignment distance. No part of a text is edited twice.
func Edits(a, b string) int {
	from, to := []rune(a), []rune(b)
	before, last := make([]int, len(to)+1), make([]int, len(to)+1) // two rows of the table, for the characters before
	for j := range last {
		last[j] = j
	}
	for i, r := range from {
		row := make([]int, len(to)+1)
		row[0] = i + 1
		for j, s := range to {
			exchange := last[j]
			if r != s {
				exchange++
			}
			row[j+1] = min(exchange, last[j+1]+1, row[j]+1)
			if i > 0 && j > 0 && r == to[j-1] && from[i-1] == s {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, last = last, row
	}
	return last[len(to)]
}
