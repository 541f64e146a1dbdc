package page

import (
	"context"
	"sync"

	"graftslip/records"
)

// reading is what was last read of the whole ledger, which takes a while.
type reading struct {
	mutex   sync.Mutex
	version int64 // of the ledger
	courses []records.Course
}

// courses are all of the ledger, read anew only when it was changed. They are for
// several at once, to read only.
func (s *Site) courses(ctx context.Context) ([]records.Course, error) {
	r := &s.reading
	r.mutex.Lock()
	defer r.mutex.Unlock()
	version, err := s.Book.Version(ctx) // before the courses, so that they are of it or newer
	if err != nil {
		return nil, err
	}
	if r.courses == nil || version != r.version {
		if r.courses, err = s.Book.Courses(ctx); err != nil {
			r.courses = nil
			return nil, err
		}
		r.version = version
	}
	return r.courses, nil
}
