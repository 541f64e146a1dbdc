package labels

import (
	"encoding/binary"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/image/font/sfnt"

	"graftslip/layouts"
)

func TestNewTypeface(t *testing.T) {
	face := builtIn(t)
	again, err := NewTypeface("mine.ttf", face.Data(Regular))
	require.NoError(t, err)
	require.Equal(t, face.measure("‘Ólafur’ 26329", 9, Regular), again.measure("‘Ólafur’ 26329", 9, Bold))
	for _, test := range []struct {
		reason string
		data   []byte
	}{
		{"nothing", nil},
		{"a text", []byte("date,variety,stock,grafts\n")},
		{"a font cut short", face.Data(Regular)[:5000]},
		{"PostScript outlines", append([]byte("OTTO"), face.Data(Regular)[4:]...)},
		{"a collection", append([]byte("ttcf"), face.Data(Regular)[4:]...)},
	} {
		t.Run(test.reason, func(t *testing.T) {
			_, err := NewTypeface("bad.ttf", test.data)
			require.ErrorIs(t, err, ErrTypeface)
		})
	}
}

// altered is the built-in font with one number of a table changed.
func altered(t *testing.T, face *Typeface, tag string, offset int, value uint16) []byte {
	t.Helper()
	data := face.Data(Regular)
	part := table(data, tag)
	require.NotNil(t, part)
	binary.BigEndian.PutUint16(part[offset:], value)
	return data
}

func TestFontsThatCannotBeEmbedded(t *testing.T) {
	face := builtIn(t)
	cmap := table(face.Data(Regular), "cmap")
	require.NotNil(t, cmap)
	withoutUnicode := face.Data(Regular)
	part := table(withoutUnicode, "cmap")
	count, _ := number(part, 2)
	for i := range int(count) { // every map becomes one for another system
		binary.BigEndian.PutUint16(part[4+8*i:], 1)
	}
	for _, test := range []struct {
		reason string
		data   []byte
		want   error
	}{
		{"its maker forbids it", altered(t, face, "OS/2", 8, 0x0002), ErrEmbedding},
		{"its maker forbids a part of it", altered(t, face, "OS/2", 8, 0x0100), ErrEmbedding},
		{"its maker allows pictures of it only", altered(t, face, "OS/2", 8, 0x0200), ErrEmbedding},
		{"a table of names in a format that the PDF library cannot read", altered(t, face, "name", 0, 1), ErrTypeface},
		{"no map from Unicode that the PDF library can read", withoutUnicode, ErrTypeface},
		{"digits of different widths", func() []byte {
			data := face.Data(Regular)
			index, err := face.faces[Regular].font.GlyphIndex(new(sfnt.Buffer), '1')
			require.NoError(t, err)
			binary.BigEndian.PutUint16(table(data, "hmtx")[4*int(index):], 100)
			return data
		}(), ErrDigits},
	} {
		t.Run(test.reason, func(t *testing.T) {
			_, err := NewTypeface("mine.ttf", test.data)
			require.ErrorIs(t, err, test.want)
		})
	}
	_, err := NewTypeface("mine.ttf", altered(t, face, "OS/2", 8, 0x0008))
	require.NoError(t, err, "editable embedding is more than enough")
}

// Nothing of the built-in font is missing that names in Latin, Greek and
// Cyrillic letters need.
func TestBuiltInCovers(t *testing.T) {
	face := builtIn(t)
	for _, r := range "ÀÉÎÕÜßàçéñøåőčďĺžżźłțÆŒðþ ΑΒΓΔάέήώ АБВГДЄЇЖЯёў ×’‘“”–…°½ 0123456789 /(.,)-+&" {
		require.False(t, face.missing(r), "%q", r)
	}
	require.True(t, face.missing('月'))
}

// Scripts that need more than letters side by side are refused, even where the
// font has the letters.
func TestScriptsThatCannotBeSet(t *testing.T) {
	face := builtIn(t)
	for name, refused := range map[string]bool{
		"ורד לבן": true, "وردة": true, "गुलाब": true, "กุหลาบ": true,
		"Hoa hồng trắng": false, "Троянда": false, "Ρόδο": false, "Gül Işığı": false, "Rose 12": false,
	} {
		_, err := DesignStem(testBatch(t, name, "Anchor"), testOptions(t, face, "letter-2x10", layouts.Flag, 8))
		if !refused {
			require.NoError(t, err, name)
			continue
		}
		var fault *Error
		require.ErrorAs(t, err, &fault, name)
		require.Equal(t, NoCharacter, fault.Code)
		require.Equal(t, "variety", fault.Column)
		require.NotEmpty(t, fault.Hint())
	}
}
