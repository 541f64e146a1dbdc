package records

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestQuoted(t *testing.T) {
	for _, test := range []struct{ reason, name, want string }{
		{"a cultivar", "Amber Weathercock", "‘Amber Weathercock’"},
		{"an apostrophe inside is no quotation mark", "Kestrel's Lace", "‘Kestrel’s Lace’"},
		{"a curved apostrophe stays", "Ólafur’s Eclipse", "‘Ólafur’s Eclipse’"},
		{"a species has no quotation marks", "Rosa multiflora", "Rosa multiflora"},
		{"a subspecies neither", "Prunus avium subsp. duracina", "Prunus avium subsp. duracina"},
		{"a hybrid species neither", "Rosa × alba", "Rosa × alba"},
		{"a hybrid sign without a space", "Rosa ×dykeana", "Rosa ×dykeana"},
		{"a hybrid genus", "×Citroncirus webberi", "×Citroncirus webberi"},
		{"a cross of two cultivars", "Wicketfold × Amberline", "Wicketfold × Amberline"},
		{"a species and its cultivar", "Acer palmatum 'Paper Lighthouse'", "Acer palmatum ‘Paper Lighthouse’"},
		{"the same in typographic marks", "Acer palmatum ‘Paper Lighthouse’", "Acer palmatum ‘Paper Lighthouse’"},
		{"short words in lower case are no epithet", "Belle de la Colline", "‘Belle de la Colline’"},
		{"an apostrophe within the marks", "Malus 'Pip o'Lantern'", "Malus ‘Pip o’Lantern’"},
		{"double marks inside are left alone", "Blythe's \"Golden\" Hour", "‘Blythe’s \"Golden\" Hour’"},
		{"a genus alone with sp.", "Fagus sp.", "Fagus sp."},
		{"an unnamed seedling", "seedling of 2024", "seedling of 2024"},
		{"a plural possessive is no closing mark", "The Weavers' Candle", "‘The Weavers’ Candle’"},
		{"a number", "Selection 7 Low Quay", "‘Selection 7 Low Quay’"},
		{"other letters", "Заря Полевая", "‘Заря Полевая’"},
	} {
		t.Run(test.reason, func(t *testing.T) { require.Equal(t, test.want, Quoted(test.name)) })
	}
	// Scion / rootstock, separated by a diagonal bar: American Pomological
	// Society, Fruit Varieties and Horticultural Digest 15(1):15, 1960. seen
	require.Equal(t, "‘Amber’ / Rosa multiflora", Pair("Amber", "Rosa multiflora"))
}
