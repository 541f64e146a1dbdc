package site

import (
	"context"
	"sync"

	"graftslip/records"
)

// reading is what was last read of the whole ledger, which takes a while.
type reading struct {
	mutex     sync.Mutex
	version   int64 // of the ledger
	histories []records.History
}

// histories are all of the ledger, read anew only when it was changed. They are for
// several at once, to read only.
func (s *Site) histories(ctx context.Context) ([]records.History, error) {
	r := &s.reading
	r.mutex.Lock()
	defer r.mutex.Unlock()
	version, err := s.Book.Version(ctx) // before the histories, so that they are of it or newer
	if err != nil {
		return nil, err
	}
	if r.histories == nil || version != r.version {
		if r.histories, err = s.Book.Histories(ctx); err != nil {
			r.histories = nil
			return nil, err
		}
		r.version = version
	}
	return r.histories, nil
}
