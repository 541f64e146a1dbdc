package site

import (
	"context"

	"golang.org/x/sync/semaphore"
)

// turns lets those who write to the ledger do so one after the other, in the
// order in which they came. The ledger has but one writer at a time; the others
// would look again now and then whether it is free, and some would wait for
// seconds.
type turns struct{ one *semaphore.Weighted }

func newTurns() turns { return turns{semaphore.NewWeighted(1)} }

// take waits for its turn and writes. The error is that of write, or of ctx.
func (t turns) take(ctx context.Context, write func() error) error {
	if err := t.one.Acquire(ctx, 1); err != nil {
		return err
	}
	defer t.one.Release(1)
	return write()
}
