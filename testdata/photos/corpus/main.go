// Corpus writes the photographs that are kept beside package scan, whose tests
// read them, and the sheet of all kinds that codes/scan/README.md shows. It is called
// where go.mod is.
//
//	go run ./testdata/photos/corpus          writes codes/scan/testdata/photographs
//	go run ./testdata/photos/corpus -sheet   writes testdata/pictures/photographs.jpg instead
//
// Called again it writes the same bytes. Seeds were chosen before anything was
// read, and are the same for all kinds.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"

	"graftslip/testdata/photos"
)

// Where things are written, from the folder of go.mod.
const (
	corpusFolder = "codes/scan/testdata/photographs"
	sheetFile    = "testdata/pictures/photographs.jpg"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	err := run(ctx, os.Args[1:], os.Stderr)
	stop()
	if err != nil {
		fmt.Fprintln(os.Stderr, "error:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context, args []string, stderr io.Writer) error {
	flags := flag.NewFlagSet("corpus", flag.ContinueOnError)
	flags.SetOutput(stderr)
	sheet := flags.Bool("sheet", false, "write the sheet of all kinds instead")
	if err := flags.Parse(args); errors.Is(err, flag.ErrHelp) {
		return nil
	} else if err != nil {
		return err
	}
	if flags.NArg() > 0 {
		return fmt.Errorf("%q is no option", flags.Arg(0))
	}
	if _, err := os.Stat("go.mod"); err != nil {
		return fmt.Errorf("the corpus is written from the folder of go.mod: %w", err)
	}
	slips, err := photos.Print(ctx)
	if err != nil {
		return err
	}
	if *sheet {
		content, err := contactSheet(ctx, slips)
		if err != nil {
			return err
		}
		return write(sheetFile, content)
	}
	if err := clearOut(corpusFolder); err != nil {
		return err
	}
	return writeCorpus(ctx, slips, corpusFolder)
}

// clearOut removes the folders of photographs, so that none is left of a kind that
// there is no longer. The table of the tests, beside them, stays.
func clearOut(root string) error {
	truths, err := filepath.Glob(filepath.Join(root, "*", truthFile))
	if err != nil {
		return err
	}
	for _, path := range truths {
		if err := os.RemoveAll(filepath.Dir(path)); err != nil {
			return err
		}
	}
	return nil
}

// write writes a file and the folders above it.
func write(path string, content []byte) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	return os.WriteFile(path, content, 0o644)
}
