package command

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"graftslip/layouts"
	"graftslip/records"
)

// OwnStock is label stock that the user describes in a file.
type OwnStock struct {
	layouts.Stock
	Path string // of the file
}

// stockFile is the content of a label stock file. Defaults: paper of the label's size,
// one column, one row, labels that touch, a centred grid, sheets.
type stockFile struct {
	Medium, Paper        string
	Columns, Rows        int
	Label, Pitch, Margin string
}

// LookupStock finds label stock by its name or measures, see layouts.Lookup, or by the
// name of the user's file.
func LookupStock(name string) (layouts.Stock, error) {
	stock, err := layouts.Lookup(name)
	if err == nil {
		return stock, nil
	}
	for _, path := range ownStockPaths() {
		if strings.EqualFold(stockName(path), strings.TrimSpace(name)) {
			own, err := readOwnStock(path)
			return own.Stock, err
		}
	}
	return layouts.Stock{}, err
}

// OwnStocks reads the user's label stock, by name. It returns what it can read, with
// errors about the rest, each a *records.Problem.
func OwnStocks() ([]OwnStock, error) {
	var all []OwnStock
	var faults []error
	for _, path := range ownStockPaths() {
		own, err := readOwnStock(path)
		if err != nil {
			faults = append(faults, err)
			continue
		}
		all = append(all, own)
	}
	return all, errors.Join(faults...)
}

// AllStock is the listed label stock, and the user's own that can be read.
func AllStock() []layouts.Stock {
	all := layouts.Catalogue()
	own, _ := OwnStocks() // faulty files are reported when named or listed
	for _, stock := range own {
		all = append(all, stock.Stock)
	}
	return all
}

// CompleteStock offers names of label stock to a shell.
func CompleteStock(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	var names []string
	for _, stock := range AllStock() {
		names = append(names, stock.Name)
	}
	return names, cobra.ShellCompDirectiveNoFileComp
}

// ownStockPaths are the files of the folder label-stock beside the settings file.
func ownStockPaths() []string {
	settings, err := settingsPath()
	if err != nil {
		return nil // the system has no settings folder
	}
	folder := filepath.Join(filepath.Dir(settings), "label-stock")
	entries, _ := os.ReadDir(folder) // most have none
	var paths []string
	for _, entry := range entries {
		if filepath.Ext(entry.Name()) == stockExtension {
			paths = append(paths, filepath.Join(folder, entry.Name()))
		}
	}
	return paths
}

const stockExtension = ".toml"

func stockName(path string) string { return strings.TrimSuffix(filepath.Base(path), stockExtension) }

// readOwnStock reads a file of label stock. The error is a *records.Problem.
func readOwnStock(path string) (OwnStock, error) {
	text, err := readSmall(path, 16<<10, "keep one label stock in a file, and nothing else")
	var stock layouts.Stock
	if err == nil {
		stock, err = parseOwnStock(stockName(path), text)
	}
	if err != nil {
		return OwnStock{}, &records.Problem{Text: fmt.Sprintf("label stock %s: %v", path, cause(err)), Advice: adviceOn(err)}
	}
	return OwnStock{stock, path}, nil
}

// parseOwnStock reads the text of a file of label stock.
func parseOwnStock(name, text string) (layouts.Stock, error) {
	const example = `write it as in label = "48.5x21.2mm"; the keys are medium, paper, columns, rows, label, pitch and margin`
	var file stockFile
	known, err := decode(text, &file)
	if err != nil {
		return layouts.Stock{}, &HintedError{err, example}
	}
	if unknown := known.Undecoded(); len(unknown) > 0 {
		return layouts.Stock{}, &HintedError{fmt.Errorf("there is no key %q", unknown[0].String()), example}
	}
	grid, err := file.grid()
	if err != nil {
		return layouts.Stock{}, err
	}
	return layouts.Lookup(strings.ToLower(name) + "=" + grid)
}

// grid writes the file's measures as layouts.Lookup reads them.
func (f stockFile) grid() (string, error) {
	var faults []error
	size := func(key, text string) string {
		size, err := layouts.ParseSize(text)
		if err != nil {
			faults = append(faults, fmt.Errorf("%s: %w", key, err))
		}
		return tenthousandth(size.Width) + "x" + tenthousandth(size.Height)
	}
	label := size("label", f.Label)
	paper := label
	if known, err := layouts.ParsePaper(f.Paper); err == nil {
		paper = known.String()
	} else if f.Paper != "" {
		paper = size("paper", f.Paper)
	}
	grid := fmt.Sprintf("%s-%dx%d:%s", paper, cmp.Or(f.Columns, 1), cmp.Or(f.Rows, 1), label)
	if f.Pitch != "" {
		grid += "@" + size("pitch", f.Pitch)
	}
	if f.Margin != "" {
		grid += "+" + size("margin", f.Margin)
	}
	switch medium := strings.ToLower(f.Medium); medium {
	case "":
	case "sheet", "roll", "card":
		grid = medium + "-" + grid
	default:
		faults = append(faults, &HintedError{fmt.Errorf("%q is not a medium", f.Medium), "use sheet, roll or card"})
	}
	if len(faults) > 0 {
		return "", faults[0]
	}
	return grid + "mm", nil
}

// tenthousandth writes a length in mm to four decimals.
func tenthousandth(mm float64) string {
	return strconv.FormatFloat(math.Round(mm*1e4)/1e4, 'f', -1, 64)
}
