package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"

	"graftslip/cmd/internal/command"
	"graftslip/codes"
	"graftslip/records"
	"graftslip/records/ledger"
	"graftslip/records/lookup"
)

// asked is what one argument of "reprint", or two, ask for.
type asked struct {
	text  string
	code  codes.Code
	whole bool            // a batch was named by how its codes begin
	stems records.Numbers // behind the name of a batch
}

// readArguments reads codes, batches followed by stems, or the words of a name.
func readArguments(args []string) (all []asked, name string, err error) {
	for _, arg := range args {
		read, last := lookup.Parse(arg), len(all)-1
		switch isNumbers := strings.Trim(arg, "0123456789,-– ") == ""; {
		case read.Form == lookup.BatchName || read.Form == lookup.Code:
			all = append(all, asked{text: arg, code: read.Code, whole: read.Form == lookup.BatchName})
		case isNumbers && last >= 0 && all[last].code.Kind() == codes.Batch:
			stems, err := records.ParseNumbers(arg)
			if err != nil {
				return nil, "", &command.UsageError{Err: fmt.Errorf("stems of %s: %w", all[last].code.BatchName(), err)}
			}
			all[last].stems, all[last].whole = all[last].stems.With(stems), true
		case read.Form == lookup.Name && !(isNumbers && name != ""): // else these are meant as stems
			name = strings.TrimSpace(name + " " + read.Read)
		default:
			return nil, "", &command.UsageError{Err: &command.HintedError{Err: fmt.Errorf("%q: %w", arg, read.Invalid),
				Advice: "name a code, or a batch and its stems, as in 26329-004 17-23,40; slipread lists what a worn code may have been"}}
		}
	}
	return all, name, nil
}

// check finds arguments and flags that contradict each other.
func (f *reprintFlags) check(all []asked) error {
	usage := func(format string, values ...any) error {
		return &command.UsageError{Err: fmt.Errorf(format, values...)}
	}
	bySearch := f.name != "" || f.variety != "" || f.stock != "" || !f.date.IsZero()
	switch {
	case f.amended && (bySearch || len(all) > 0 || len(f.tray) > 0 || f.missing != "" || f.spare.Number > 0):
		return usage("--amended finds its batches itself: name no codes, and leave out --tray, --variety, --stock, --date, --missing and --spare")
	case f.amended:
		return nil
	case f.missing != "" && (bySearch || f.kinds != asNamed || f.spare.Number > 0):
		return usage("--missing works with trays only: name them by code, or name a batch and --tray")
	case f.missing == "" && len(all) == 0 && !bySearch && len(f.tray) == 0:
		return usage("name what to print again: a code, a batch, or a part of a name")
	case len(f.tray) > 0 && len(all) == 0 && !bySearch:
		return usage("--tray needs a batch: name one, as in 26329-004 --tray 2")
	case len(all) > 0 && bySearch:
		return usage("give codes, or a name, --variety, --stock or --date, but not both")
	}
	for _, a := range all {
		isBatch := a.whole && len(a.stems) == 0
		switch {
		case len(f.tray) > 0 && !isBatch:
			return usage("--tray needs a whole batch, such as %s, not stems or codes", a.code.BatchName())
		case f.missing != "" && !isBatch && a.code.Kind() != codes.Tray || f.missing != "" && isBatch && len(f.tray) == 0:
			return usage("%q is not a tray: --missing needs the code of a tray card, or a batch and --tray", a.text)
		case f.kinds != asNamed && !a.whole && a.code.Kind() == codes.Batch:
			return usage("%v is the code of spare labels; with --what, name the batch: %s", a.code, a.code.BatchName())
		}
	}
	return nil
}

// selection finds what is to be printed once more.
type selection struct {
	reprintFlags
	book   *ledger.Ledger
	stderr io.Writer
	pieces map[codes.Code]*piece
}

// choose returns what the arguments and flags ask for, in the order of the
// codes.
func (s *selection) choose(ctx context.Context, asked []asked, stdin io.Reader) ([]piece, error) {
	s.pieces = map[codes.Code]*piece{}
	if s.missing != "" {
		if err := s.chooseMissing(ctx, asked, stdin); err != nil {
			return nil, err
		}
		return s.sorted(), nil
	}
	if s.amended {
		if err := s.chooseAmended(ctx); err != nil {
			return nil, err
		}
		pieces := s.sorted()
		if len(pieces) == 0 {
			command.Hint(s.stderr, "every label and card shows the record as it is now; nothing was printed")
		}
		return pieces, nil
	}
	if len(asked) == 0 {
		batches, err := s.search(ctx)
		if err != nil {
			return nil, err
		}
		for _, batch := range batches {
			s.addBatch(batch)
		}
	}
	for _, a := range asked {
		if err := s.add(ctx, a); err != nil {
			return nil, err
		}
	}
	pieces := s.sorted()
	if len(pieces) == 0 {
		return nil, fmt.Errorf("none of these batches has a tray %v", s.tray)
	}
	return pieces, nil
}

// sorted returns the pieces of which there is anything to print.
func (s *selection) sorted() []piece {
	var all []piece
	for _, code := range slices.SortedFunc(maps.Keys(s.pieces), codes.Compare) {
		p := s.pieces[code]
		p.spares += s.spare.Of(p.batch.Grafts)
		if len(p.stems)+len(p.trays)+p.spares > 0 {
			all = append(all, *p)
		}
	}
	return all
}

func (s *selection) piece(batch records.Batch) *piece {
	if s.pieces[batch.Code] == nil {
		s.pieces[batch.Code] = &piece{batch: batch, label: batch}
	}
	return s.pieces[batch.Code]
}

// chooseAmended adds labels and cards whose record was amended after they were printed.
func (s *selection) chooseAmended(ctx context.Context) error {
	batches, err := s.book.Amendments(ctx)
	for _, batch := range batches {
		reprints, err := s.book.ReprintsOf(ctx, batch.Code)
		if err != nil {
			return err
		}
		p := s.piece(batch)
		stems, trays := batch.Outdated(reprints)
		if s.kinds != onlyCards {
			p.stems = stems
		}
		if s.kinds != onlyLabels {
			p.trays = trays
		}
	}
	return err
}

// search returns the batches with a name, variety, stock and date. Without a date there must be
// exactly one. Names must match exactly: labels are not printed for similar ones.
func (s *selection) search(ctx context.Context) ([]records.Batch, error) {
	wanted := ledger.Wanted{Date: s.date, Variety: s.variety, Stock: s.stock}
	found, err := s.book.Search(ctx, wanted)
	if err != nil {
		return nil, err
	}
	if len(found) == 0 {
		all, err := s.book.Search(ctx, ledger.Wanted{})
		if err != nil {
			return nil, err
		}
		return nil, lookup.NoneWanted(all, wanted)
	}
	if s.name != "" {
		names := lookup.NamesOf(found)
		at, like := names.Search(s.name)
		if len(at) == 0 || like {
			return nil, names.None(s.name)
		}
		found = names.Batches(at)
	}
	if len(found) > 1 && s.date.IsZero() {
		return nil, lookup.Several(fmt.Sprintf("%d batches match", len(found)), found, "name one of them by its code, or give its day with --date")
	}
	return found, nil
}

// addBatch adds what is asked of a batch that is named as a whole: the trays of
// --tray, else all of it.
func (s *selection) addBatch(batch records.Batch) {
	p := s.piece(batch)
	if len(s.tray) > 0 {
		for _, tray := range s.tray {
			if tray > batch.Trays() {
				command.Hint(s.stderr, fmt.Sprintf("%s has no tray %d", batch.Code.BatchName(), tray))
				continue
			}
			s.addTray(p, tray)
		}
		return
	}
	if s.kinds != onlyCards {
		p.stems = records.Range(1, batch.Grafts)
	}
	if s.kinds != onlyLabels {
		p.trays = records.Range(1, batch.Trays())
	}
}

func (s *selection) addTray(p *piece, tray int) {
	if s.kinds == onlyLabels || s.kinds == bothKinds {
		p.stems = p.stems.With(records.Range(p.batch.StemsIn(tray)))
	}
	if s.kinds != onlyLabels {
		p.trays = p.trays.With(records.Numbers{tray})
	}
}

func (s *selection) addStem(p *piece, stem int) {
	if s.kinds != onlyCards {
		p.stems = p.stems.With(records.Numbers{stem})
	}
	if s.kinds == onlyCards || s.kinds == bothKinds {
		p.trays = p.trays.With(records.Numbers{p.batch.TrayOf(stem)})
	}
}

// add adds what one argument asks for. What the batch does not have is an
// error.
func (s *selection) add(ctx context.Context, a asked) error {
	record, err := s.book.Find(ctx, a.code)
	if err != nil {
		return err
	}
	if record.Batch.Void {
		return &command.HintedError{Err: fmt.Errorf("%v: nothing is printed: the batch has been %s", a.code, record.Batch.VoidWords(records.DateDay)), Advice: record.Batch.ReviveAdvice()}
	}
	batch, p := record.Batch, s.piece(record.Batch)
	if last := len(a.stems) - 1; last >= 0 && a.stems[last] > batch.Grafts {
		return s.beyond(batch, "stem", a.stems[last], batch.Grafts)
	}
	if last := len(s.tray) - 1; last >= 0 && s.tray[last] > batch.Trays() {
		return s.beyond(batch, "tray", s.tray[last], batch.Trays())
	}
	switch {
	case len(a.stems) > 0:
		for _, stem := range a.stems {
			s.addStem(p, stem)
		}
	case a.code.Kind() == codes.Stem:
		s.addStem(p, a.code.Number())
	case a.code.Kind() == codes.Tray:
		s.addTray(p, a.code.Number())
	case a.whole:
		s.addBatch(batch)
	default: // the code of a batch stands on its spare labels
		p.spares = cmp.Or(p.spares, 1)
		if s.spare.Number > 0 {
			p.spares = 0 // as many as are asked for
		}
	}
	return nil
}

func (s *selection) beyond(batch records.Batch, kind string, number, last int) error {
	return &command.HintedError{
		Err:    fmt.Errorf("%s has no %s %d", batch.Code.BatchName(), kind, number),
		Advice: fmt.Sprintf("%s has %d grafts; its last %s is %d", records.Pair(batch.Variety, batch.Stock), batch.Grafts, kind, last)}
}
