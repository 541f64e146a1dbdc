package records

// Sheet is a sheet of labels that was used in part, remembered by name.
type Sheet struct {
	// Name is what the grower calls it.
	Name string
	// Stock is the name of its label stock.
	Stock string
	// Free are the places that are still free, counted from 1 along the rows;
	// empty when the sheet is full, so that the next one is a new sheet.
	Free Numbers
	// Used is how often it was printed on, which tells two prints apart that
	// leave the same places free.
	Used int
}
