package browser

import (
	"context"
	"os"
	"path/filepath"
	"time"

	cdpbrowser "github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// call sends a command to the browser about a phone's page.
func call[P, R any](p *Phone, command cdp.Command[P, R], params P) R {
	p.t.Helper()
	ctx, end := context.WithTimeout(p.ctx, patience)
	defer end()
	answer, err := chromedp.Call(ctx, command, params)
	require.NoError(p.t, err, command.Method)
	return answer
}

// Screen gives the phone a screen of so many CSS pixels, with so many dots each.
func (p *Phone) Screen(width, height int64, scale float64) {
	p.t.Helper()
	require.NoError(p.t, chromedp.Do(p.ctx, chromedp.EmulateViewport(width, height,
		chromedp.EmulateScale(scale), chromedp.EmulateMobile, chromedp.EmulateTouch, chromedp.EmulatePortrait)))
}

// Scheme makes the phone prefer "light" or "dark".
func (p *Phone) Scheme(scheme string) {
	p.t.Helper()
	call(p, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
}

// Network cuts the phone off, or gives it its network back.
func (p *Phone) Network(there bool) {
	p.t.Helper()
	conditions := network.Conditions{Offline: !there, DownloadThroughput: -1, UploadThroughput: -1}
	call(p, network.EmulateNetworkConditionsByRule, network.EmulateNetworkConditionsByRuleParams{MatchedNetworkConditions: []*network.Conditions{&conditions}})
	call(p, network.OverrideNetworkState, network.OverrideNetworkStateParams{Offline: !there, DownloadThroughput: -1, UploadThroughput: -1})
}

// WithoutScript makes the phone run no script of pages to come.
func (p *Phone) WithoutScript() {
	p.t.Helper()
	call(p, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
}

// Downloads makes the phone keep what it downloads in a folder.
func (p *Phone) Downloads(folder string) {
	p.t.Helper()
	id := chromedp.FromContext(p.ctx).BrowserContextID
	_, err := chromedp.CallBrowser(p.ctx, cdpbrowser.SetDownloadBehavior, cdpbrowser.SetDownloadBehaviorParams{
		Behavior: cdpbrowser.SetDownloadBehaviorBehaviorAllow, BrowserContextID: id, DownloadPath: folder})
	require.NoError(p.t, err)
}

// Downloaded waits for a file to be whole in the folder, and returns it.
func (p *Phone) Downloaded(folder, name string) []byte {
	p.t.Helper()
	path := filepath.Join(folder, name)
	require.Eventually(p.t, func() bool {
		_, err := os.Stat(path)
		return err == nil
	}, patience, 20*time.Millisecond, "%s is downloaded", name)
	content, err := os.ReadFile(path)
	require.NoError(p.t, err)
	return content
}

// Picture is what the screen shows, as a PNG.
func (p *Phone) Picture() []byte {
	p.t.Helper()
	content, err := chromedp.Run(p.ctx, chromedp.CaptureScreenshot())
	require.NoError(p.t, err)
	return content
}
