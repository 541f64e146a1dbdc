package restore

import "slices"

// blockCode is the Reed-Solomon code of one block.
type blockCode struct {
	*field
	checks int // codewords for error correction
	first  int // power of 2 that is the first root of the generator
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
		x := c.root(len(block) - 1 - place)
		for i := n + 1; i > 0; i-- {
			locator[i] ^= c.times(locator[i-1], x)
		}
	}
	spare := slices.Clone(locator)
	length := len(erased)
	for r := len(erased) + 1; r <= checks; r++ {
		discrepancy := byte(0)
		for i := 0; i < r; i++ {
			discrepancy ^= c.times(locator[i], syndromes[r-1-i])
		}
		copy(spare[1:], spare[:checks])
		spare[0] = 0
		if discrepancy == 0 {
			continue
		}
		next := slices.Clone(locator)
		for i := range next {
			next[i] ^= c.times(discrepancy, spare[i])
		}
		if 2*length <= r+len(erased)-1 {
			for i := range spare {
				spare[i] = c.over(locator[i], discrepancy)
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
		root := c.root(c.first + i)
		sum := byte(0)
		for _, codeword := range block {
			sum = c.times(sum, root) ^ codeword
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
			evaluator[i] ^= c.times(locator[j], syndromes[i-j])
		}
	}
	derivative := make([]byte, c.checks)
	for i := 1; i < len(locator); i += 2 {
		derivative[i-1] = locator[i]
	}
	mended, found := slices.Clone(block), 0
	for place := range block {
		exponent := len(block) - 1 - place
		inverse := c.root(-exponent)
		if c.value(locator, inverse) != 0 {
			continue
		}
		found++
		slope := c.value(derivative, inverse)
		if slope == 0 {
			return 0, false
		}
		size := c.over(c.value(evaluator, inverse), slope)
		mended[place] ^= c.times(size, c.root(exponent*(1-c.first)))
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
