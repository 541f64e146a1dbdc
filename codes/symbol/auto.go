package symbol

// Auto lists the symbols that are tried when none is named, in order of
// preference. See Best for the choice among them.
func Auto() []Kind { return []Kind{QR, DataMatrix} }

// Best returns the index of the first fitted symbol whose modules are not
// Small, and 0 when all are. Given the fits of Auto's kinds, it takes the QR
// symbol unless only the Data Matrix symbol reaches 0.33 mm a module.
func Best(fits []Fitted) int {
	for i, fitted := range fits {
		if !fitted.Small {
			return i
		}
	}
	return 0
}
