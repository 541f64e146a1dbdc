package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image/png"
	"io"
	"math"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/codes/scan"
	"graftslip/labels"
	"graftslip/labels/pdf"
	"graftslip/layouts"
)

// stocksFlags are the flags of "label-stock".
type stocksFlags struct {
	draw   string // PNG file
	wrap   layouts.Wrap
	stem   layouts.Stem
	asJSON bool
}

func stocksCommand() *cobra.Command {
	usual := command.NewPrintFlags()
	f := stocksFlags{wrap: usual.Wrap, stem: layouts.Stem{Diameter: usual.Stem, Clearance: usual.Clearance}}
	c := &cobra.Command{
		Use:   "label-stock [STOCK]",
		Short: "List label stock: size, grid, and the thickest stem each can wrap; or draw one",
		Long: `List label stock: size, grid, and the thickest stem each can wrap; or draw one.

Name any other label stock by its size: a roll as strip-25x180 or strip-1x7in, a card as card-90x140, a sheet by paper, columns x rows
and label, as in a4-4x12:48.5x21.2mm. After @ give the pitch if labels do not touch, after + the left and upper margin
if the grid is not in the middle: a4-4x12:48.5x21.2@51x21.2+4.2x21.3mm.

To give one a name of your own, write its measures into label-stock/NAME.toml beside the settings file:

  paper = "a4"
  columns = 4
  rows = 12
  label = "48.5x21.2mm"
  pitch = "51x21.2mm"
  margin = "4.2x21.3mm"

With STOCK, list that one only. --draw draws it: the sheet with its measures and positions, and an enlarged label with
what it carries round the stem.`,
		Example: "  graftslip label-stock a4-4x12:48.5x21.2mm\n  graftslip label-stock letter-3x10 --draw sheet.png --label-wrap loop --stem 6mm",
		Args: command.Arguments(func(_ *cobra.Command, args []string) error {
			if len(args) > 1 {
				return fmt.Errorf("name one label stock, not %d", len(args))
			}
			if f.draw != "" && len(args) == 0 {
				return errors.New("--draw needs the name of a label stock, as in graftslip label-stock letter-3x10 --draw sheet.png")
			}
			return nil
		}),
		ValidArgsFunction: command.CompleteStock,
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 0 {
				return f.list(c.OutOrStdout())
			}
			stock, err := command.LookupStock(args[0])
			if err != nil {
				return &command.UsageError{Err: err}
			}
			if f.draw == "" {
				return f.write(c.OutOrStdout(), []command.OwnStock{{Stock: stock}})
			}
			return f.drawing(c.Context(), stock, c.OutOrStdout())
		},
	}
	flags := c.Flags()
	flags.SortFlags = false
	flags.StringVar(&f.draw, "draw", "", "draw STOCK into the PNG `FILE`")
	flags.Var(command.Wrap(&f.wrap), "label-wrap", "how the drawn label goes round the stem")
	flags.Var(command.Length(&f.stem.Diameter), "stem", "stem diameter, for the drawing")
	flags.Var(command.Length(&f.stem.Clearance), "clearance", "room between stem and label, for growth and fingers")
	flags.BoolVar(&f.asJSON, "json", false, "print one JSON object per label stock")
	return c
}

// list writes all label stock that has a name, then returns what is wrong with the user's
// files.
func (f *stocksFlags) list(w io.Writer) error {
	var all []command.OwnStock
	for _, stock := range layouts.Catalogue() {
		all = append(all, command.OwnStock{Stock: stock})
	}
	own, faults := command.OwnStocks()
	if err := f.write(w, append(all, own...)); err != nil {
		return err
	}
	return faults
}

func (f *stocksFlags) write(w io.Writer, all []command.OwnStock) error {
	if f.asJSON {
		return stocksJSON(w, all, f.stem.Clearance)
	}
	return stocksTable(w, all, f.stem.Clearance)
}

// drawing writes a PNG of a label stock.
func (f *stocksFlags) drawing(ctx context.Context, stock layouts.Stock, stdout io.Writer) error {
	const dpi = 150
	face, err := labels.BuiltIn()
	if err != nil {
		return err
	}
	page, design := labels.DesignDrawing(stock, f.wrap, f.stem, face)
	document := pdf.Document{Title: stock.Name, Author: "graftslip", Language: labels.Language, Face: face, Setup: labels.Setup{Stock: page, DPI: dpi}}
	var drawn bytes.Buffer
	if _, err := pdf.Write(&drawn, document, func(yield func(labels.Design, error) bool) { yield(design, nil) }); err != nil {
		return err
	}
	renderer, err := scan.NewRenderer(ctx)
	if err != nil {
		return err
	}
	defer renderer.Close()
	for picture, err := range renderer.Pages(ctx, drawn.Bytes(), dpi) {
		if err != nil {
			return err
		}
		if err := command.WriteNew(f.draw, func(w io.Writer) error { return png.Encode(w, picture) }); err != nil {
			return err
		}
	}
	_, err = fmt.Fprintln(stdout, f.draw)
	return err
}

func stocksTable(w io.Writer, all []command.OwnStock, ease float64) error {
	number := layouts.FormatNumber
	both := func(a, b float64) string { return number(a) + " × " + number(b) }
	var rows [][]string
	for _, s := range all {
		edges := "in reach"
		if !s.EdgesInReach() {
			edges = "out of reach"
		}
		row := []string{s.Name, s.Medium.String(), both(s.Label.Width, s.Label.Height), fmt.Sprintf("%d × %d", s.Columns, s.Rows),
			both(s.PitchX, s.PitchY), number(s.Left) + ", " + number(s.Top), edges}
		for _, wrap := range layouts.Rounds() {
			thickest := "-"
			if diameter := s.Thickest(wrap, ease); diameter > 0 {
				thickest = number(diameter)
			}
			row = append(row, thickest)
		}
		rows = append(rows, row)
	}
	head := []string{"LABEL STOCK", "MEDIUM", "LABEL mm", "GRID", "PITCH mm", "LEFT, TOP mm", "EDGES", "FLAG mm", "LOOP mm", "BAND mm"}
	if err := command.Table(w, head, rows); err != nil {
		return err
	}
	for _, s := range all {
		if s.Path != "" {
			fmt.Fprintf(w, "%s: %s\n", s.Name, s.Path)
		}
	}
	_, err := fmt.Fprintln(w, "\nFLAG, LOOP, BAND: the thickest stem, in mm, that the label goes round that way.\n"+
		"EDGES: in reach of a printer that leaves 6 mm of the paper blank. Where they are out of reach, print keeps clear of the paper's edge.")
	return err
}

// stockLine is a line of "label-stock --json". Lengths are millimetres.
type stockLine struct {
	Name         string             `json:"name"`
	Medium       string             `json:"medium"`
	PaperWidth   float64            `json:"paper_width"`
	PaperHeight  float64            `json:"paper_height"`
	Columns      int                `json:"columns"`
	Rows         int                `json:"rows"`
	Width        float64            `json:"width"`
	Height       float64            `json:"height"`
	PitchX       float64            `json:"pitch_x"`
	PitchY       float64            `json:"pitch_y"`
	Left         float64            `json:"left"`
	Top          float64            `json:"top"`
	EdgesInReach bool               `json:"edges_in_reach"`
	Thickest     map[string]float64 `json:"thickest"`
	File         string             `json:"file,omitempty"`
}

func stocksJSON(w io.Writer, all []command.OwnStock, ease float64) error {
	mm := func(length float64) float64 { return math.Round(length*1000) / 1000 }
	var lines []stockLine
	for _, s := range all {
		line := stockLine{s.Name, s.Medium.String(), mm(s.Paper.Width), mm(s.Paper.Height), s.Columns, s.Rows, mm(s.Label.Width), mm(s.Label.Height),
			mm(s.PitchX), mm(s.PitchY), mm(s.Left), mm(s.Top), s.EdgesInReach(), map[string]float64{}, s.Path}
		for _, wrap := range layouts.Rounds() {
			line.Thickest[wrap.String()] = s.Thickest(wrap, ease)
		}
		lines = append(lines, line)
	}
	return command.JSONLines(w, lines)
}
