package restore

import (
	"cmp"
	"slices"

	"rsc.io/qr/gf256"
)

// spareChecks is how many codewords for error correction must be left over
// when a block is restored, as a proof that it is right: chance leaves them
// fitting once in 256 times each.
const spareChecks = 2

// erasureStep is by how many codewords more are taken as unknown from one try
// to the next.
const erasureStep = 2

// blockCode is the Reed-Solomon code of one block.
type blockCode struct {
	*gf256.Field
	checks int // codewords for error correction
	first  int // power of 2 that is the first root of the generator
}

// restore restores one block: first with all codewords as they are, then with
// more and more of the least sure as unknown (generalized minimum distance
// decoding: G. D. Forney, IEEE Transactions on Information Theory 12, 125-131,
// 1966; memory). It yields the data of each different result until yield
// returns false, and then returns false itself.
func (c blockCode) restore(codewords []byte, sure []float64, yield func(data []byte) bool) bool {
	places := make([]int, len(codewords))
	for i := range places {
		places[i] = i
	}
	slices.SortStableFunc(places, func(a, b int) int { return cmp.Compare(sure[a], sure[b]) })
	var before [][]byte
	for unknown := 0; unknown <= c.checks-spareChecks; unknown += erasureStep {
		try := slices.Clone(codewords)
		errors, ok := c.correct(try, places[:unknown])
		if !ok || 2*errors+unknown > c.checks-spareChecks ||
			slices.ContainsFunc(before, func(b []byte) bool { return slices.Equal(b, try) }) {
			continue
		}
		before = append(before, try)
		if !yield(try[:len(try)-c.checks]) {
			return false
		}
	}
	return true
}

// correct restores a block in place, where the codewords at some places are
// taken as unknown, and says how many others it changed. false: not possible,
// and the block is as it was.
//
// Errors and erasures by Berlekamp and Massey, Chien and Forney (R. E. Blahut,
// Algebraic Codes for Data Transmission, 2003, chapter 7; memory).
func (c blockCode) correct(block []byte, erased []int) (errors int, ok bool) {
	checks := c.checks
	if len(erased) > checks {
		return 0, false
	}
	syndromes, clean := c.syndromes(block)
	if clean {
		return 0, true
	}
	locator := make([]byte, checks+1)
	locator[0] = 1
	for n, place := range erased {
		x := c.power(len(block) - 1 - place)
		for i := n + 1; i > 0; i-- {
			locator[i] ^= c.Mul(locator[i-1], x)
		}
	}
	spare := slices.Clone(locator)
	length := len(erased)
	for r := len(erased) + 1; r <= checks; r++ {
		discrepancy := byte(0)
		for i := 0; i < r; i++ {
			discrepancy ^= c.Mul(locator[i], syndromes[r-1-i])
		}
		copy(spare[1:], spare[:checks])
		spare[0] = 0
		if discrepancy == 0 {
			continue
		}
		next := slices.Clone(locator)
		for i := range next {
			next[i] ^= c.Mul(discrepancy, spare[i])
		}
		if 2*length <= r+len(erased)-1 {
			for i := range spare {
				spare[i] = c.Mul(locator[i], c.Inv(discrepancy))
			}
			length = r + len(erased) - length
		}
		locator = next
	}
	if 2*length-len(erased) > checks {
		return 0, false
	}
	return c.mend(block, syndromes, locator, length, len(erased))
}

func (c blockCode) syndromes(block []byte) (syndromes []byte, clean bool) {
	syndromes, clean = make([]byte, c.checks), true
	for i := range syndromes {
		root := c.power(c.first + i)
		sum := byte(0)
		for _, codeword := range block {
			sum = c.Mul(sum, root) ^ codeword
		}
		syndromes[i] = sum
		clean = clean && sum == 0
	}
	return syndromes, clean
}

// mend finds the places and values of the errors and checks the result.
func (c blockCode) mend(block, syndromes, locator []byte, length, erased int) (errors int, ok bool) {
	evaluator := make([]byte, c.checks)
	for i := range evaluator {
		for j := 0; j <= i; j++ {
			evaluator[i] ^= c.Mul(locator[j], syndromes[i-j])
		}
	}
	derivative := make([]byte, c.checks)
	for i := 1; i < len(locator); i += 2 {
		derivative[i-1] = locator[i]
	}
	mended, found := slices.Clone(block), 0
	for place := range block {
		exponent := len(block) - 1 - place
		inverse := c.power(-exponent)
		if c.value(locator, inverse) != 0 {
			continue
		}
		found++
		slope := c.value(derivative, inverse)
		if slope == 0 {
			return 0, false
		}
		size := c.Mul(c.value(evaluator, inverse), c.Inv(slope))
		mended[place] ^= c.Mul(size, c.power(exponent*(1-c.first)))
	}
	if found != length {
		return 0, false
	}
	if _, clean := c.syndromes(mended); !clean {
		return 0, false
	}
	copy(block, mended)
	return found - erased, true
}

// power is 2 to any whole exponent.
func (c blockCode) power(exponent int) byte { return c.Exp((exponent%255 + 255) % 255) }

// value is that of a polynomial, lowest coefficient first.
func (c blockCode) value(polynomial []byte, at byte) byte {
	sum := byte(0)
	for i := len(polynomial) - 1; i >= 0; i-- {
		sum = c.Mul(sum, at) ^ polynomial[i]
	}
	return sum
}
