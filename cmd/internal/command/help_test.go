package command

import (
	"bytes"
	"context"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/spf13/cobra"
	"github.com/stretchr/testify/require"

	"graftslip/labels"
	"graftslip/layouts"
)

// exampleRoot is a program of two commands with everything that help shows.
func exampleRoot() *cobra.Command {
	nothing := func(*cobra.Command, []string) error { return nil }
	root := &cobra.Command{Use: "make", Short: "Make things", RunE: nothing}
	sheets := &cobra.Command{Use: "sheets FILE", Short: "Make sheets", RunE: nothing,
		Long: "Make sheets. " + strings.Repeat("Words that go on and on. ", 12) + "\n\n  a list   keeps\n  its      lines"}
	sheets.Flags().Var(Stock(new(layouts.Stock)), "stems", "label stock, "+strings.Repeat("described at length ", 8))
	sheets.Flags().Var(CardSymbol(new(labels.CardSymbol)), "card-symbol", "what it carries")
	sheets.Flags().Bool("cautions", true, "show cautions")
	sheets.Flags().Bool("hidden", false, "not shown")
	_ = sheets.Flags().MarkHidden("hidden")
	Group(root, "Paper", sheets)
	return root
}

func called(t *testing.T, args ...string) string {
	t.Helper()
	t.Setenv("GRAFTSLIP_SETTINGS", "")
	var stdout, stderr bytes.Buffer
	require.Equal(t, done, Execute(context.Background(), exampleRoot(), args, nil, &stdout, &stderr), stderr.String())
	return stdout.String()
}

func TestHelp(t *testing.T) {
	root, sheets := called(t, "--help"), called(t, "sheets", "--help")
	for line := range strings.Lines(root + sheets) {
		require.LessOrEqual(t, utf8.RuneCountInString(strings.TrimSuffix(line, "\n")), helpWidth, line)
	}
	require.Contains(t, root, "Make things.\n\nUsage:\n  make COMMAND [options]\n\nPaper:\n  sheets  Make sheets\n\nHelp:\n  completion  ")
	require.NotContains(t, root, "  help  ", "what every command has as an option is no command")
	require.Contains(t, sheets, "\n\n  a list   keeps\n  its      lines\n\nUsage:\n  make sheets FILE [options]\n")
	require.Contains(t, sheets, "\n  --card-symbol code|record|link  what it carries (default: code)\n")
	require.Contains(t, sheets, "\n  --cautions=false                show cautions\n")
	require.NotContains(t, sheets, "hidden")
}

func TestCompletion(t *testing.T) {
	require.Contains(t, called(t, "__complete", "sheets", "--stems", "letter-2x1"), "letter-2x10\n", "label stock of the catalogue")
	require.Contains(t, called(t, "__complete", "sheets", "--card-symbol", ""), "code\nrecord\nlink\n")
	require.Contains(t, called(t, "completion", "bash"), "__make")
}
