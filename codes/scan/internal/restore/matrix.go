package restore

import (
	"iter"
	"sync"

	"github.com/makiuchi-d/gozxing/datamatrix/encoder"
	"rsc.io/qr/gf256"
)

// A Data Matrix with a code: 14 × 14 modules, 12 × 12 without its border, of 8
// data codewords and 10 for error correction (ISO/IEC 16022, table 7; memory).
const (
	matrixSide      = 14
	matrixCodewords = 18
	matrixChecks    = 10
)

// matrixField is the field in which codewords are numbers (ISO/IEC 16022, 5.7.1;
// memory). The first root of the generator is 2.
var matrixField = gf256.NewField(0x12d, 2)

// Matrix restores the modules of a Data Matrix of 14 × 14, row by row, and yields
// the data codewords of each symbol that they may have been, the likeliest
// first. Other sizes yield nothing.
func Matrix(side int, modules []Module) iter.Seq[[]byte] {
	return func(yield func([]byte) bool) {
		if side != matrixSide || len(modules) != side*side {
			return
		}
		codewords, sure := make([]byte, matrixCodewords), make([]float64, matrixCodewords)
		for i, places := range matrixPlaces() {
			for _, place := range places {
				codewords[i] <<= 1
				if modules[place].Dark {
					codewords[i] |= 1
				}
			}
			sure[i] = leastSure(modules, places[:])
		}
		blockCode{matrixField, matrixChecks, 1}.restore(codewords, sure, yield)
	}
}

// matrixPlaces are the modules of each codeword, the highest bit first. An
// encoder places the numbers of all bits, one binary digit of them at a time.
var matrixPlaces = sync.OnceValue(func() (places [matrixCodewords][8]int) {
	const inner = matrixSide - 2
	var numbers [inner * inner]int // of the bit in each module
	for digit := range 8 {
		var codewords [matrixCodewords]byte
		for bit := range 8 * matrixCodewords {
			codewords[bit/8] |= byte(bit>>digit&1) << (7 - bit%8)
		}
		placed := encoder.NewDefaultPlacement(codewords[:], inner, inner)
		placed.Place()
		for i := range numbers {
			if placed.GetBit(i%inner, i/inner) {
				numbers[i] |= 1 << digit
			}
		}
	}
	for i, bit := range numbers {
		places[bit/8][bit%8] = (i/inner+1)*matrixSide + i%inner + 1
	}
	return places
})
