// Package manuals holds the pages for people against what they tell of.
package manuals

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const root = "../.."

// below returns the paths of the files with an ending, from the root of the project.
func below(t *testing.T, ending string) []string {
	var found []string
	require.NoError(t, fs.WalkDir(os.DirFS(root), ".", func(path string, _ fs.DirEntry, err error) error {
		if err == nil && strings.HasSuffix(path, ending) && !strings.Contains(path, "node_modules") {
			found = append(found, path)
		}
		return err
	}))
	require.NotEmpty(t, found)
	return found
}

func read(t *testing.T, path string) string {
	text, err := os.ReadFile(filepath.Join(root, path))
	require.NoError(t, err)
	return string(text)
}

// A page is short enough to be read.
func TestPagesAreShort(t *testing.T) {
	for _, page := range below(t, ".md") {
		most := 15 << 10
		switch page {
		case "README.md":
			most = 12_000
		case "DEVELOPERS.md":
			most = 10_000
		}
		require.LessOrEqual(t, len(read(t, page)), most, page)
	}
}

// A link within the project leads to a file that is there, and to a heading of it.
func TestLinks(t *testing.T) {
	link := regexp.MustCompile(`\]\(([^)#:]*)(#[^)]*)?\)`)
	heading := regexp.MustCompile(`(?m)^#+ (.*)$`)
	sign := regexp.MustCompile(`[^\p{L}\d_ -]`)
	for _, page := range below(t, ".md") {
		for _, to := range link.FindAllStringSubmatch(read(t, page), -1) {
			path := page
			if to[1] != "" {
				path = filepath.Join(filepath.Dir(page), to[1])
			}
			require.FileExists(t, filepath.Join(root, path), "%s links to it", page)
			var anchors []string
			for _, h := range heading.FindAllStringSubmatch(read(t, path), -1) {
				anchors = append(anchors, "#"+strings.ReplaceAll(sign.ReplaceAllString(strings.ToLower(h[1]), ""), " ", "-"))
			}
			if to[2] != "" {
				require.True(t, slices.Contains(anchors, to[2]), "%s links to %s of %s", page, to[2], path)
			}
		}
	}
}

// The functions that DEVELOPERS.md passes on its walks are there: at most ten a walk.
func TestWalks(t *testing.T) {
	there := map[string]bool{} // "History.With" for a method, "codes.Repair" for a function
	function := regexp.MustCompile(`(?m)^func (?:\(\w+ \*?(\w+)\) )?(\w+)[\[(]`)
	for _, path := range below(t, ".go") {
		for _, f := range function.FindAllStringSubmatch(read(t, path), -1) {
			if f[1] == "" {
				f[1] = filepath.Base(filepath.Dir(path))
			}
			there[f[1]+"."+f[2]] = true
		}
	}
	_, walks, found := strings.Cut(read(t, "DEVELOPERS.md"), "\n## Three walks\n")
	require.True(t, found)
	walks, _, _ = strings.Cut(walks, "\nTwo orders")
	paragraphs := strings.Split(walks, "\n\n**")[1:]
	require.Len(t, paragraphs, 3)
	for _, walk := range paragraphs {
		passed := regexp.MustCompile("`(\\w+\\.\\w+)`").FindAllStringSubmatch(walk, -1)
		require.NotEmpty(t, passed)
		require.Less(t, strings.Count(walk, "→"), 10)
		for _, f := range passed {
			require.True(t, there[f[1]], "%s is not there any more", f[1])
		}
	}
}
