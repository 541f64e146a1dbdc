package main

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/testdata/browser"
	"graftslip/testdata/outside"
)

// axeScript is the checker of accessibility, from the file that GRAFTSLIP_AXE
// names or from among the packages that npm installed for all.
func axeScript(t *testing.T) string {
	t.Helper()
	path := os.Getenv("GRAFTSLIP_AXE")
	if path == "" {
		if root, err := exec.Command("npm", "root", "--global").Output(); err == nil {
			path = filepath.Join(strings.TrimSpace(string(root)), "axe-core", "axe.min.js")
		}
	}
	content, err := os.ReadFile(path)
	if err != nil {
		if outside.Required() {
			require.FailNow(t, "axe-core is not installed and GRAFTSLIP_OUTSIDE=required", "GRAFTSLIP_AXE names its axe.min.js")
		}
		t.Skip("axe-core is not installed: GRAFTSLIP_AXE names its axe.min.js")
	}
	return string(content)
}

// finding is what axe found, and where.
type finding struct {
	ID, Impact, Help string
	Nodes            []struct{ HTML, FailureSummary string }
}

func (f finding) String() string {
	text := fmt.Sprintf("%s (%s): %s", f.ID, f.Impact, f.Help)
	for _, node := range f.Nodes {
		text += "\n  " + node.HTML + "\n  " + strings.ReplaceAll(node.FailureSummary, "\n", " ")
	}
	return text
}

// axeRun runs the rules of the standards, or those of colours alone.
const axeRun = `axe.run(document, {
  runOnly: %s, resultTypes: ['violations', 'incomplete'],
}).then((found) => JSON.stringify({ violations: found.violations, incomplete: found.incomplete, passes: found.passes.length }))`

// looks are how every page is looked at: dark pages differ in their colours.
func looks() []struct{ scheme, rules string } {
	return []struct{ scheme, rules string }{
		{"light", `['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']`},
		{"dark", `{ type: 'rule', values: ['color-contrast', 'link-in-text-block'] }`},
	}
}

// tooSmall lists what fingers cannot tap well: less than 48 CSS pixels.
const tooSmall = `[...document.querySelectorAll('button, summary, nav a, a.card, a.button, input:not([type=hidden]), form.script .photo label')]
  .filter((e) => e.checkVisibility() && !e.matches('form.script input[type=file]'))
  .map((e) => [e, e.getBoundingClientRect()]).filter(([e, r]) => r.height < 48 || r.width < 48)
  .map(([e, r]) => e.outerHTML.slice(0, 90) + ' is small to tap: ' + r.width + ' × ' + r.height)`

// tooWide lists what reaches over the edge of the screen, or out of its box.
const tooWide = `((width) => [...document.querySelectorAll('body, body *')]
  .filter((e) => e.checkVisibility() && !e.closest('.wide *, .skip, svg *') && !e.matches('form.script input[type=file]'))
  .filter((e) => { const r = e.getBoundingClientRect();
    return r.right > width + 0.5 || r.left < -0.5 || (e.matches('button, a, dd, dt, p, label, h1, h2') && e.clientWidth && e.scrollWidth > e.clientWidth + 1); })
  .map((e) => e.outerHTML.slice(0, 90) + ' is too wide: ' + JSON.stringify(e.getBoundingClientRect()) + ', ' + e.scrollWidth)
  .concat(document.documentElement.scrollWidth > width ? ['the page is ' + document.documentElement.scrollWidth + ' wide'] : []))(%d)`

// browserPages looks at every page in every state, with axe where it is there.
func browserPages(t *testing.T, b *browser.Browser) {
	var axe checker
	t.Run("axe", func(t *testing.T) { axe.script = axeScript(t) })
	for _, state := range pageStates(t, b) {
		state.show()
		sizes(t, state)
		if axe.script != "" {
			axe.check(t, state)
		}
	}
	for what, times := range axe.unsure {
		t.Logf("not sure, %d times: %s", times, what)
	}
	t.Logf("axe looked at pages %d times", axe.runs)
}

// checker has axe check pages.
type checker struct {
	script string
	runs   int
	unsure map[string]int
}

// check looks at a page light and dark, on narrow, usual and wide screens.
func (c *checker) check(t *testing.T, state pageState) {
	t.Helper()
	browser.Eval[bool](state.at, c.script+";true")
	for _, look := range looks() {
		state.at.Scheme(look.scheme)
		for _, width := range []int64{320, 360, 800} {
			state.at.Screen(width, browser.Height, 1)
			var found struct {
				Violations, Incomplete []finding
				Passes                 int
			}
			require.NoError(t, json.Unmarshal([]byte(browser.Eval[string](state.at, fmt.Sprintf(axeRun, look.rules))), &found))
			require.NotZero(t, found.Passes, "it was looked at")
			c.runs++
			for _, one := range found.Violations {
				t.Errorf("%s, %s, %d wide: %v", state.name, look.scheme, width, one)
			}
			c.doubt(found.Incomplete)
		}
	}
}

// doubt counts what axe leaves to people.
func (c *checker) doubt(findings []finding) {
	if c.unsure == nil {
		c.unsure = map[string]int{}
	}
	for _, one := range findings {
		for _, node := range one.Nodes {
			c.unsure[one.ID+": "+strings.TrimPrefix(node.FailureSummary, "Fix any of the following:\n  ")]++
		}
	}
}

// sizes measures what is tapped, and that nothing is wider than the screen, with
// letters of twice the size too (WCAG 2.2, 1.4.4 and 1.4.10).
func sizes(t *testing.T, state pageState) {
	t.Helper()
	for _, width := range []int64{browser.Width, 320} {
		state.at.Screen(width, browser.Height, 1)
		for _, letters := range []string{"36px", ""} {
			wrong := browser.Eval[[]string](state.at, "document.documentElement.style.fontSize = '"+letters+"';"+
				tooSmall+".concat("+fmt.Sprintf(tooWide, width)+")")
			for _, one := range wrong {
				t.Errorf("%s, %d wide, letters %q: %s", state.name, width, letters, one)
			}
		}
	}
}
