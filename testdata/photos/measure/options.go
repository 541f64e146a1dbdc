package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"graftslip/codes/scan"
	"graftslip/testdata/photos"
)

// options is what was asked for.
type options struct {
	seeds, large   []uint64 // of photographs of one code, at 2 and at 12 megapixels
	kinds          []photos.Kind
	symbols        []string
	readers        []string
	trays          bool
	empty          int    // photographs without a code
	keep           string // a folder, "" to keep nothing
	update, timing bool
}

// parse reads the command line. A call for help gives flag.ErrHelp.
func parse(args []string, kinds []photos.Kind, usage io.Writer) (options, error) {
	flags := flag.NewFlagSet("measure", flag.ContinueOnError)
	flags.SetOutput(usage)
	seeds := flags.String("seeds", "2001-2008", "seeds of the photographs at 2 megapixels, like 2001-2008,2100, or none")
	large := flags.String("large", "2001-2002", "seeds of those at 12 megapixels; the first two are those of trays")
	kindNames := flags.String("kinds", "all", "all, none, or a list of kinds, with spaces or dashes")
	symbolNames := flags.String("symbols", strings.Join(symbols(), ","), "a list of symbols")
	readerNames := flags.String("readers", strings.Join(names(), ","), "a list of readers")
	var o options
	flags.BoolVar(&o.trays, "trays", false, "trays with 12, 30 and 65 codes at 12 megapixels as well")
	flags.IntVar(&o.empty, "empty", 0, "how many photographs without a code slipread is given as well")
	flags.StringVar(&o.keep, "keep", "", "keep the photographs in this folder, with a truth.json")
	flags.BoolVar(&o.update, "update", false, "rewrite the tables of codes/scan/README.md")
	flags.BoolVar(&o.timing, "timing", false, "measure times at 12 megapixels, and the memory of slipread")
	err := flags.Parse(args)
	if err == nil && flags.NArg() > 0 {
		err = fmt.Errorf("%q is no option", flags.Arg(0))
	}
	if err == nil && o.empty < 0 {
		err = errors.New("-empty is at least 0")
	}
	if err != nil {
		return options{}, err
	}
	var errs [5]error
	o.seeds, errs[0] = parseSeeds("-seeds", *seeds)
	o.large, errs[1] = parseSeeds("-large", *large)
	o.kinds, errs[2] = chooseKinds(*kindNames, kinds)
	o.symbols, errs[3] = choose("-symbols", *symbolNames, symbols())
	o.readers, errs[4] = choose("-readers", *readerNames, names())
	return o, errors.Join(errs[:]...)
}

func symbols() []string { return []string{scan.QR, scan.DataMatrix, scan.Code128} }

// maxSeeds keeps a slip of the finger from asking for a year of work.
const maxSeeds = 10_000

// parseSeeds reads seeds and ranges of seeds, parted by commas.
func parseSeeds(option, text string) ([]uint64, error) {
	if text == "none" {
		return nil, nil
	}
	var seeds []uint64
	for part := range strings.SplitSeq(text, ",") {
		from, to, isRange := strings.Cut(part, "-")
		if !isRange {
			to = from
		}
		first, err := strconv.ParseUint(from, 10, 64)
		last, lastErr := strconv.ParseUint(to, 10, 64)
		if err != nil || lastErr != nil || last < first {
			return nil, fmt.Errorf("%s: %q is neither a seed nor a range like 2001-2008", option, part)
		}
		if last-first >= maxSeeds || len(seeds)+int(last-first) >= maxSeeds {
			return nil, fmt.Errorf("%s: at most %d seeds", option, maxSeeds)
		}
		for i := range last - first + 1 {
			if slices.Contains(seeds, first+i) {
				return nil, fmt.Errorf("%s: %d is there twice", option, first+i)
			}
			seeds = append(seeds, first+i)
		}
	}
	return seeds, nil
}

// chooseKinds takes the name of a kind and that of its folder.
func chooseKinds(text string, all []photos.Kind) ([]photos.Kind, error) {
	switch text {
	case "all":
		return all, nil
	case "none":
		return nil, nil
	}
	var folders []string
	for _, kind := range all {
		folders = append(folders, kind.Folder())
	}
	chosen, err := choose("-kinds", strings.ReplaceAll(text, " ", "-"), folders)
	if err != nil {
		return nil, err
	}
	var kinds []photos.Kind
	for _, folder := range chosen {
		kinds = append(kinds, all[slices.Index(folders, folder)])
	}
	return kinds, nil
}

// choose gives the named ones in the order of all.
func choose(option, text string, all []string) ([]string, error) {
	named := strings.Split(text, ",")
	for _, name := range named {
		if !slices.Contains(all, name) {
			return nil, fmt.Errorf("%s: there is no %q; there are %s", option, name, strings.Join(all, ", "))
		}
	}
	return slices.DeleteFunc(slices.Clone(all), func(name string) bool { return !slices.Contains(named, name) }), nil
}

// shots lists the photographs asked for, those of a group together.
func (o options) shots() []shot {
	var all []shot
	add := func(g group, seeds []uint64) {
		for _, seed := range seeds {
			all = append(all, shot{g, seed})
		}
	}
	for _, kind := range o.kinds {
		for _, symbol := range o.symbols {
			add(group{kind, symbol, 1, small}, o.seeds)
			add(group{kind, symbol, 1, large}, o.large)
		}
	}
	for _, codes := range o.trayCodes() {
		for _, symbol := range o.symbols {
			add(group{"", symbol, codes, large}, o.large[:min(2, len(o.large))])
		}
	}
	return all
}

// trayCodes is how many codes stand on the trays asked for.
func (o options) trayCodes() []int {
	if !o.trays {
		return nil
	}
	return []int{12, 30, 65}
}

// emptyShots lists the photographs without a code: one half at 1, one at 2
// megapixels.
func (o options) emptyShots() []shot {
	var all []shot
	for i := range o.empty {
		megapixels := 1.0
		if i >= o.empty/2 {
			megapixels = small
		}
		all = append(all, shot{group{megapixels: megapixels}, firstEmptySeed + uint64(i)})
	}
	return all
}

const firstEmptySeed = 1
