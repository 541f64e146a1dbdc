package scan

import (
	"context"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/testdata/outside"
)

// TestOutsideReaders gives the same sheets to readers that this project did not
// write: whatever they read must have been read here too.
func TestOutsideReaders(t *testing.T) {
	code := regexp.MustCompile(`\b[0-9]{14}\b`)
	for _, peer := range []struct {
		program string
		options []string
		kinds   []string
	}{
		{"zbarimg", []string{"--quiet", "--raw"}, []string{QR, Code128}},
		{"dmtxread", []string{"--newline", "--milliseconds=2000"}, []string{DataMatrix}},
		{"ZXingReader", nil, []string{QR}},
	} {
		t.Run(peer.program, func(t *testing.T) {
			path := outside.Tool(t, peer.program)
			for _, kind := range peer.kinds {
				plan := smallLabels(kind, 300, 4, false)
				plan.width, plan.height, plan.columns, plan.rows = 140, 100, 3, 4
				if kind == Code128 {
					plan.module = 3
				}
				s := plan.draw(t)
				name := filepath.Join(t.TempDir(), "sheet.png")
				file, err := os.Create(name)
				require.NoError(t, err)
				require.NoError(t, png.Encode(file, s.page))
				require.NoError(t, file.Close())
				// A reader that finds nothing says so by its exit code.
				output, err := exec.Command(path, append(peer.options, name)...).Output()
				if err != nil {
					require.IsType(t, &exec.ExitError{}, err)
				}
				theirs := code.FindAllString(string(output), -1)
				require.NotEmpty(t, theirs, "%s reads nothing of a clean sheet:\n%s", peer.program, output)
				founds, err := Picture(context.Background(), s.page, nil)
				require.NoError(t, err)
				require.Equal(t, s.texts, textsOf(founds))
				require.Subset(t, textsOf(founds), theirs)
				t.Logf("%s: %d of %d read, here %d", kind, len(theirs), len(s.texts), len(founds))
			}
		})
	}
}
