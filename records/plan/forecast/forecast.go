// Package forecast finds how many grafts must be made so that enough plants are
// finished, and with what chance, from batches whose outcome is known.
//
// Two things are uncertain: how many of a batch take when their chance is known
// (binomial), and that chance itself, which differs from batch to batch with
// weather, wood and hand, and is known from few batches only. Both go into the
// answer: a batch's share of finished plants is taken to follow a beta
// distribution, and its number of finished plants a beta-binomial one.
package forecast
