package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"graftslip/cmd/internal/command"
	"graftslip/layouts"
)

func stocksCommand() *cobra.Command {
	ease := layouts.Clearance
	asJSON := false
	c := &cobra.Command{
		Use:   "stocks",
		Short: "List label stock: size, grid, and the thickest stem each can wrap",
		Long: "List label stock: size, grid, and the thickest stem each can wrap.\n\n" +
			"A roll or card of any size needs no entry: strip-25x180, strip-1x7in, card-90x140.",
		Args: command.Arguments(cobra.NoArgs),
		RunE: func(c *cobra.Command, _ []string) error {
			if asJSON {
				return stocksJSON(c.OutOrStdout(), ease)
			}
			return stocksTable(c.OutOrStdout(), ease)
		},
	}
	c.Flags().SortFlags = false
	c.Flags().Var(command.Length(&ease), "ease", "room between stem and label, for growth and fingers")
	c.Flags().BoolVar(&asJSON, "json", false, "one object for each stock")
	return c
}

func stocksTable(w io.Writer, ease float64) error {
	table := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "STOCK\tMEDIUM\tLABEL mm\tGRID\tPITCH mm\tLEFT, TOP mm\tEDGES\tFLAG mm\tLOOP mm\tBAND mm")
	number := layouts.FormatNumber
	for _, s := range layouts.Catalogue() {
		edges := "in reach"
		if !s.EdgesInReach() {
			edges = "out of reach"
		}
		fmt.Fprintf(table, "%s\t%v\t%s × %s\t%d × %d\t%s × %s\t%s, %s\t%s", s.Name, s.Medium, number(s.Label.Width), number(s.Label.Height), s.Columns, s.Rows,
			number(s.PitchX), number(s.PitchY), number(s.Left), number(s.Top), edges)
		for _, wrap := range layouts.Wraps() {
			thickest := "-"
			if diameter := s.Thickest(wrap, ease); diameter > 0 {
				thickest = number(diameter)
			}
			fmt.Fprintf(table, "\t%s", thickest)
		}
		fmt.Fprintln(table)
	}
	fmt.Fprintln(table, "\nFLAG, LOOP, BAND: the thickest stem that the label wraps, in mm. EDGES: what a printer that leaves 6 mm blank reaches;\n"+
		"out of reach, print keeps away from the paper's edge.")
	return table.Flush()
}

// stockLine is a line of "stocks --json". Lengths are millimetres.
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
	out := json.NewEncoder(w)
	for _, s := range layouts.Catalogue() {
		mm := func(length float64) float64 { return math.Round(length*1000) / 1000 }
		line := stockLine{s.Name, s.Medium.String(), mm(s.Paper.Width), mm(s.Paper.Height), s.Columns, s.Rows, mm(s.Label.Width), mm(s.Label.Height),
			mm(s.PitchX), mm(s.PitchY), mm(s.Left), mm(s.Top), s.EdgesInReach(), map[string]float64{}}
		for _, wrap := range layouts.Wraps() {
			line.Thickest[wrap.String()] = s.Thickest(wrap, ease)
		}
		if err := out.Encode(line); err != nil {
			return err
		}
	}
	return nil
}
