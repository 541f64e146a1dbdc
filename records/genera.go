package records

import (
	_ "embed"
	"strings"
	"sync"
)

//go:embed genera.txt
var generaText string

// genera returns the genera that names may begin with, and their abbreviations to one or two
// letters with a point: "R." and "Rh." for Rhododendron.
var genera = sync.OnceValue(func() map[string]bool {
	all := map[string]bool{}
	for line := range strings.Lines(generaText) {
		if strings.HasPrefix(line, "#") {
			continue
		}
		for _, genus := range strings.Fields(line) {
			all[genus], all[genus[:1]+"."], all[genus[:2]+"."] = true, true, true
		}
	}
	for _, title := range []string{"Dr.", "Mr.", "Mt.", "St."} {
		delete(all, title)
	}
	return all
})
