// Excelize makes the forms that excelize writes, of the rows that make.py gives it.
package main

import (
	"encoding/json"
	"log"
	"os"
	"time"

	"github.com/xuri/excelize/v2"
)

func main() {
	var rows [][]any
	check(json.NewDecoder(os.Stdin).Decode(&rows))
	for _, row := range rows[1:] {
		day, err := time.Parse(time.DateOnly, row[0].(string))
		check(err)
		row[0] = day
	}
	plain, stream := excelize.NewFile(), excelize.NewFile()
	date, err := stream.NewStyle(&excelize.Style{NumFmt: 14})
	check(err)
	writer, err := stream.NewStreamWriter("Sheet1")
	check(err)
	for i, row := range rows {
		place, err := excelize.CoordinatesToCellName(1, i+1)
		check(err)
		check(plain.SetSheetRow("Sheet1", place, &row))
		if i > 0 {
			row[0] = excelize.Cell{Value: row[0], StyleID: date}
		}
		check(writer.SetRow(place, row))
	}
	check(writer.Flush())
	check(plain.SaveAs("excelize.xlsx"))
	check(stream.SaveAs("excelize-stream.xlsx"))
	check(plain.SaveAs("excelize-password.xlsx", excelize.Options{Password: "grafts"}))
}

func check(err error) {
	if err != nil {
		log.Fatal(err)
	}
}
