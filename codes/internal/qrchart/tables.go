package qrchart

// Level is how much of a symbol can be restored, as the two bits that say so
// in the format information (ISO/IEC 18004, table 12; memory).
type Level int

const (
	LevelM Level = 0b00
	LevelL Level = 0b01
	LevelH Level = 0b10
	LevelQ Level = 0b11
)

// Checks returns how many codewords for error correction a block has, and
// Blocks how many blocks (ISO/IEC 18004, table 9; memory, and held against
// the tables of gozxing by TestReaderTables of package symbol).
func Checks(version int, level Level) int {
	return int([4][40]uint8{
		LevelL: {
			7, 10, 15, 20, 26, 18, 20, 24, 30, 18, 20, 24, 26, 30, 22, 24, 28, 30, 28, 28,
			28, 28, 30, 30, 26, 28, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30,
		},
		LevelM: {
			10, 16, 26, 18, 24, 16, 18, 22, 22, 26, 30, 22, 22, 24, 24, 28, 28, 26, 26, 26,
			26, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28, 28,
		},
		LevelQ: {
			13, 22, 18, 26, 18, 24, 18, 22, 20, 24, 28, 26, 24, 20, 30, 24, 28, 28, 26, 30,
			28, 30, 30, 30, 30, 28, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30,
		},
		LevelH: {
			17, 28, 22, 16, 22, 28, 26, 26, 24, 28, 24, 28, 22, 24, 24, 30, 28, 28, 26, 28,
			30, 24, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30,
		},
	}[level][version-1])
}

func Blocks(version int, level Level) int {
	return int([4][40]uint8{
		LevelL: {
			1, 1, 1, 1, 1, 2, 2, 2, 2, 4, 4, 4, 4, 4, 6, 6, 6, 6, 7, 8,
			8, 9, 9, 10, 12, 12, 12, 13, 14, 15, 16, 17, 18, 19, 19, 20, 21, 22, 24, 25,
		},
		LevelM: {
			1, 1, 1, 2, 2, 4, 4, 4, 5, 5, 5, 8, 9, 9, 10, 10, 11, 13, 14, 16,
			17, 17, 18, 20, 21, 23, 25, 26, 28, 29, 31, 33, 35, 37, 38, 40, 43, 45, 47, 49,
		},
		LevelQ: {
			1, 1, 2, 2, 4, 4, 6, 6, 8, 8, 8, 10, 12, 16, 12, 17, 16, 18, 21, 20,
			23, 23, 25, 27, 29, 34, 34, 35, 38, 40, 43, 45, 48, 51, 53, 56, 59, 62, 65, 68,
		},
		LevelH: {
			1, 1, 2, 4, 4, 4, 5, 6, 8, 8, 11, 11, 16, 16, 18, 16, 19, 21, 25, 25,
			25, 34, 30, 32, 35, 37, 40, 42, 45, 48, 51, 54, 57, 60, 63, 66, 70, 74, 77, 81,
		},
	}[level][version-1])
}

// Alignment returns the columns of the centres of alignment patterns, which are
// the rows as well: the first is 6, the others are evenly spaced back from the
// last, as far apart as an even number allows (ISO/IEC 18004, annex E, from
// which version 32 departs; memory, and held against gozxing by
// TestReaderTables of package symbol).
func Alignment(version int) []int {
	if version == 1 {
		return nil
	}
	count := version/7 + 2
	gaps := count - 1
	step := (4*version + 4 + 2*gaps - 1) / (2 * gaps) * 2
	if version == 32 {
		step = 26
	}
	centres := make([]int, count)
	centres[0] = 6
	for i := 1; i < count; i++ {
		centres[i] = 4*version + 10 - (gaps-i)*step
	}
	return centres
}
