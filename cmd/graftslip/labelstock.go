package main

import (
	"fmt"
	"io"
	"math"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/layouts"
)

func stocksCommand() *cobra.Command {
	ease := layouts.Clearance
	asJSON := false
	c := &cobra.Command{
		Use:   "label-stock",
		Short: "List label stock: size, grid, and the thickest stem each goes round",
		Long: "List label stock: size, grid, and the thickest stem each goes round.\n\n" +
			"Name any other by its size: a roll as strip-25x180 or strip-1x7in, a card as card-90x140, a sheet by paper, columns x rows and label, as in\n" +
			"a4-4x12:48.5x21.2mm. Behind @ give the pitch if labels do not touch, behind + the left and upper margin if the grid is not in the middle:\n" +
			"a4-4x12:48.5x21.2@51x21.2+4.2x21.3mm.\n\n" +
			"To keep such a sheet under a name, write its measures into label-stock/NAME.toml beside the settings file:\n\n" +
			"  paper = \"a4\"\n  columns = 4\n  rows = 12\n  label = \"48.5x21.2mm\"\n  pitch = \"51x21.2mm\"\n  margin = \"4.2x21.3mm\"",
		Args: command.NoArguments,
		RunE: func(c *cobra.Command, _ []string) error {
			var all []command.OwnStock
			for _, stock := range layouts.Catalogue() {
				all = append(all, command.OwnStock{Stock: stock})
			}
			own, faults := command.OwnStocks()
			all = append(all, own...)
			write := stocksTable
			if asJSON {
				write = stocksJSON
			}
			if err := write(c.OutOrStdout(), all, ease); err != nil {
				return err
			}
			return faults
		},
	}
	c.Flags().SortFlags = false
	c.Flags().Var(command.Length(&ease), "clearance", "room between stem and label, for growth and fingers")
	c.Flags().BoolVar(&asJSON, "json", false, "print one JSON object per label stock")
	return c
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
