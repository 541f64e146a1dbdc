package restore

import (
	"cmp"
	"iter"
	"slices"

	"github.com/makiuchi-d/gozxing/qrcode/decoder"
	"rsc.io/qr/coding"

	"graftslip/codes/internal/qrchart"
)

const (
	qrFormats = 3 // format informations that are tried, the likeliest first
	// mostWrong is how much of a format information may be against it, as a
	// share of all that was seen of it.
	mostWrong = 0.3
)

// QR restores the modules of a QR symbol of one block, row by row, side × side,
// and yields the data codewords of each symbol that they may have been, the
// likeliest first. Symbols of several blocks, and sides that no version has,
// yield nothing.
func QR(side int, modules []Module) iter.Seq[[]byte] {
	return func(yield func([]byte) bool) {
		version := (side - 17) / 4
		if version < 1 || side != 17+4*version || version > 40 || len(modules) != side*side {
			return
		}
		chart := qrchart.New(version)
		for _, format := range formats(chart, modules) {
			level, mask := decoder.ErrorCorrectionLevel(format>>3), format&7
			blocks, checks := qrchart.Blocks(version, level)
			if blocks != 1 {
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
			if !(blockCode{coding.Field, checks, 0}).restore(codewords, sure, yield) {
				return
			}
		}
	}
}

// formats gives the format informations, level and mask, that the modules agree
// with best.
func formats(chart *qrchart.Chart, modules []Module) []int {
	type judged struct {
		format int
		wrong  float64 // how sure the modules are that are against it, together
	}
	var all []judged
	total := 0.0
	for format := range 32 {
		word := qrchart.FormatWord(format)
		j := judged{format: format}
		total = 0
		for _, copy := range chart.Format {
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
