// Package browser drives the browser of a phone, for tests only: Chromium with
// the screen of a phone, touched by fingers.
package browser

import (
	"context"
	"os/exec"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"graftslip/testdata/outside"
)

// Browser is a running browser. Each of its phones has cookies of its own.
type Browser struct{ ctx context.Context }

// Name is a name of this machine by which a browser trusts it no more than another.
const Name = "bed.test"

// Start starts a browser, which ends with the test. Without one the test is
// skipped, or fails where outside programs are required.
func Start(t testing.TB) *Browser {
	t.Helper()
	path, err := exec.LookPath("chromium-browser")
	if err != nil {
		path = outside.Tool(t, "chromium")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox,
		chromedp.Env("TZ=UTC"), chromedp.Flag("lang", "en"), chromedp.Flag("host-resolver-rules", "MAP "+Name+" 127.0.0.1"))
	allocated, end := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(end)
	ctx, closeBrowser := chromedp.NewContext(allocated)
	t.Cleanup(closeBrowser)
	require.NoError(t, chromedp.Do(ctx), "the browser starts")
	return &Browser{ctx}
}

// patience is how long a page may take for what is waited for.
const patience = 10 * time.Second

// wholeTime is how long a phone is used in one test.
const wholeTime = 2 * time.Minute
