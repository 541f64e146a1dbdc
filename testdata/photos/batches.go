package photos

import (
	"time"

	"graftslip/codes"
	"graftslip/records"
)

// nursery stands on the tray cards.
const nursery = "Quill & Burrow Nursery"

// batches are invented, with names that are awkward to set: long, short,
// accented, of other alphabets, with signs.
func batches() ([]records.Batch, error) {
	first := time.Date(2027, time.February, 9, 0, 0, 0, 0, time.UTC)
	var made []records.Batch
	for i, names := range [][2]string{
		{"Brass Wren", "Tollgate"},
		{"Ō", "Low Fen 2"},
		{"Marchioness of Upper Thistlewick", "Tollgate"},
		{"Œuf d'Écureuil", "Pâle Buisson"},
		{"Twelve O'Clock", "Rosa ×ferrata"},
		{"Žluťoučký Soumrak", "Kamenná Louka"},
		{"Nachtfalterflügel Übermorgen", "Süßgrund"},
		{"Ασημένια Πέτρα", "Tollgate"},
		{"Медный Ручей", "Серый Камень"},
		{"Gåsefjær № 4", "Ærlig Grunn"},
		{"Lantern × (Pewter × Gale)", "Seedling 88/3"},
		{"Íslaus Þoka", "Low Fen 2"},
		{"Iliili Willi Illimani", "Wall & Mill"},
		{"Cinder-and-Chalk", "Kamenná Louka"},
	} {
		date := first.AddDate(0, 0, i*17)
		code, err := codes.New(date, 1+i*71%900)
		if err != nil {
			return nil, err
		}
		made = append(made, records.Batch{Code: code, Draft: records.Draft{
			Date: date, Variety: names[0], Stock: names[1], Grafts: 8000, TraySize: 80, Source: "Wall border 3", Grafter: "QB",
		}})
	}
	return made, nil
}
