package records

import "time"

// Order is how many plants of a pair are wanted.
type Order struct {
	// Draft is what the batches of the order will hold. Its Date is zero, and its
	// Grafts are 0 unless the order says how many are to be made.
	Draft
	// Wanted is the number of finished plants, 1-8999.
	Wanted int
	// By is the day on which they must be finished, at midnight UTC; zero when
	// the order does not say.
	By time.Time
	// Sure is the chance with which there are to be enough, 0-1; 0 when the order
	// does not say.
	Sure float64
}
