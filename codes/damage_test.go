package codes_test

import (
	"math/rand/v2"
	"slices"
)

// The ways in which the tests damage a code. Each takes the characters of a
// reading and returns them with one thing more gone wrong, another reading in
// any case.

// illegible makes one more digit illegible.
func illegible(random *rand.Rand, read []byte) []byte {
	for {
		if i := random.IntN(len(read)); read[i] != '?' {
			read[i] = '?'
			return read
		}
	}
}

// wrong makes a digit another digit.
func wrong(random *rand.Rand, read []byte) []byte {
	i := random.IntN(len(read))
	return another(random, read, i)
}

func another(random *rand.Rand, read []byte, i int) []byte {
	for {
		if digit := '0' + byte(random.IntN(10)); digit != read[i] {
			read[i] = digit
			return read
		}
	}
}

// twoWrong makes two digits others.
func twoWrong(random *rand.Rand, read []byte) []byte {
	places := random.Perm(len(read))
	return another(random, another(random, read, places[0]), places[1])
}

// exchanged exchanges two digits that differ, at any distance.
func exchanged(random *rand.Rand, read []byte) []byte {
	for {
		i, j := random.IntN(len(read)), random.IntN(len(read))
		if read[i] != read[j] {
			read[i], read[j] = read[j], read[i]
			return read
		}
	}
}

// doubled writes a digit twice.
func doubled(random *rand.Rand, read []byte) []byte {
	i := random.IntN(len(read))
	return slices.Insert(read, i, read[i])
}

// added puts any digit anywhere.
func added(random *rand.Rand, read []byte) []byte {
	return slices.Insert(read, random.IntN(len(read)+1), '0'+byte(random.IntN(10)))
}

// dropped leaves a digit out.
func dropped(random *rand.Rand, read []byte) []byte {
	i := random.IntN(len(read))
	return slices.Delete(read, i, i+1)
}

// lettered writes some digits as letters that look like them and no other digit.
func lettered(random *rand.Rand, read []byte) []byte {
	for digit, letters := range []string{"OoQD", "Iil|", "Zz", "", "", "Ss", "G", "", "B", "q"} {
		for i, character := range read {
			if character == '0'+byte(digit) && letters != "" && random.IntN(4) == 0 {
				read[i] = letters[random.IntN(len(letters))]
			}
		}
	}
	return read
}
