package restore

import (
	"cmp"
	"iter"
	"math/bits"
	"slices"

	"graftslip/codes/internal/qrchart"
)

const (
	qrFormats = 3 // format informations that are tried, the likeliest first
	// mostWrong is how much of a format information may be against it, as a
	// share of all that was seen of it.
	mostWrong = 0.3
)

// QR restores the modules of a QR symbol of one block, row by row, side × side,
// and yields each whole symbol that they may have been, the likeliest first.
// Symbols of several blocks, and sides that no version has, yield nothing.
func QR(side int, modules []Module) iter.Seq[[]bool] {
	return func(yield func([]bool) bool) {
		version := (side - 17) / 4
		if version < 1 || side != 17+4*version || version > 40 || len(modules) != side*side {
			return
		}
		chart, field := qrchart.New(version), newField(qrPolynomial)
		for _, format := range formats(side, modules) {
			level, mask := qrchart.Level(format>>3), format&7
			if qrchart.Blocks(version, level) != 1 {
				continue
			}
			codewords, sure := make([]byte, chart.Codewords), make([]float64, chart.Codewords)
			for i := range codewords {
				var places []int
				for _, module := range chart.Modules[8*i : 8*i+8] {
					bit := module.Masks >> mask & 1
					if modules[module.At].Dark {
						bit ^= 1
					}
					codewords[i] = codewords[i]<<1 | bit
					places = append(places, int(module.At))
				}
				sure[i] = leastSure(modules, places)
			}
			code := blockCode{field, qrchart.Checks(version, level), 0}
			stopped := false
			code.block(codewords, sure, func(restored []byte) bool {
				stopped = !yield(qrModules(side, chart, format, restored))
				return !stopped
			})
			if stopped {
				return
			}
		}
	}
}

// formatPlaces are the modules of the two copies of the format information, the
// highest bit first (ISO/IEC 18004, 7.9.1; memory).
func formatPlaces(side int) [2][15]int {
	var places [2][15]int
	one, other := places[0][:0], places[1][:0]
	for x := range 6 {
		one = append(one, 8*side+x)
	}
	one = append(one, 8*side+7, 8*side+8, 7*side+8)
	for y := 5; y >= 0; y-- {
		one = append(one, y*side+8)
	}
	for y := side - 1; y >= side-7; y-- {
		other = append(other, y*side+8)
	}
	for x := side - 8; x < side; x++ {
		other = append(other, 8*side+x)
	}
	copy(places[0][:], one)
	copy(places[1][:], other)
	return places
}

// formats gives the format informations, level and mask, that the modules agree
// with best.
func formats(side int, modules []Module) []int {
	places := formatPlaces(side)
	type judged struct {
		format int
		wrong  float64 // how sure the modules are that are against it, together
	}
	var all []judged
	total := 0.0
	for format := range 32 {
		word := formatWord(format)
		j := judged{format: format}
		total = 0
		for _, copy := range places {
			for bit, place := range copy {
				total += modules[place].Sure
				if modules[place].Dark != (word>>(14-bit)&1 == 1) {
					j.wrong += modules[place].Sure
				}
			}
		}
		all = append(all, j)
	}
	slices.SortStableFunc(all, func(a, b judged) int { return cmp.Compare(a.wrong, b.wrong) })
	var result []int
	for _, j := range all[:qrFormats] {
		if j.wrong <= mostWrong*total {
			result = append(result, j.format)
		}
	}
	return result
}

func formatWord(format int) int {
	return qrchart.WithRemainder(format, 10, qrchart.FormatDivisor) ^ qrchart.FormatMask
}

// qrModules draws a symbol.
func qrModules(side int, chart *qrchart.Chart, format int, codewords []byte) []bool {
	dark := make([]bool, side*side)
	for _, module := range chart.Fixed {
		dark[module.At] = module.Dark
	}
	word := formatWord(format)
	for _, copy := range formatPlaces(side) {
		for bit, place := range copy {
			dark[place] = word>>(14-bit)&1 == 1
		}
	}
	mask := format & 7
	for i, module := range chart.Modules {
		value := byte(0)
		if i < 8*len(codewords) {
			value = bits.Reverse8(codewords[i/8]) >> (i % 8) & 1
		}
		dark[module.At] = value^(module.Masks>>mask&1) == 1
	}
	return dark
}
