package records

// Problem is an error with advice for the person at the bench.
type Problem struct {
	Text   string // what is wrong, where
	Advice string // what to do, in one line; it may be empty
	Kind   error  // by which callers tell it apart, or its cause; nil where nobody does
}

func (p *Problem) Error() string { return p.Text }

// Hint returns the advice.
func (p *Problem) Hint() string { return p.Advice }

// Unwrap returns the kind.
func (p *Problem) Unwrap() error { return p.Kind }
