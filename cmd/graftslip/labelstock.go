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
			"Name a roll or card of any other size by its size: strip-25x180, strip-1x7in, card-90x140.",
		Args: command.NoArguments,
		RunE: func(c *cobra.Command, _ []string) error {
			if asJSON {
				return stocksJSON(c.OutOrStdout(), ease)
			}
			return stocksTable(c.OutOrStdout(), ease)
		},
	}
	c.Flags().SortFlags = false
	c.Flags().Var(command.Length(&ease), "clearance", "room between stem and label, for growth and fingers")
	c.Flags().BoolVar(&asJSON, "json", false, "print one JSON object per label stock")
	return c
}

func stocksTable(w io.Writer, ease float64) error {
	number := layouts.FormatNumber
	both := func(a, b float64) string { return number(a) + " × " + number(b) }
	var rows [][]string
	for _, s := range layouts.Catalogue() {
		edges := "in reach"
		if !s.EdgesInReach() {
			edges = "out of reach"
		}
		row := []string{s.Name, s.Medium.String(), both(s.Label.Width, s.Label.Height), fmt.Sprintf("%d × %d", s.Columns, s.Rows),
			both(s.PitchX, s.PitchY), number(s.Left) + ", " + number(s.Top), edges}
		for _, wrap := range layouts.Wraps() {
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
}

func stocksJSON(w io.Writer, ease float64) error {
	mm := func(length float64) float64 { return math.Round(length*1000) / 1000 }
	var lines []stockLine
	for _, s := range layouts.Catalogue() {
		line := stockLine{s.Name, s.Medium.String(), mm(s.Paper.Width), mm(s.Paper.Height), s.Columns, s.Rows, mm(s.Label.Width), mm(s.Label.Height),
			mm(s.PitchX), mm(s.PitchY), mm(s.Left), mm(s.Top), s.EdgesInReach(), map[string]float64{}}
		for _, wrap := range layouts.Wraps() {
			line.Thickest[wrap.String()] = s.Thickest(wrap, ease)
		}
		lines = append(lines, line)
	}
	return command.JSONLines(w, lines)
}
