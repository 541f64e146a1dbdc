package browser

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// Phone is one phone with a page open.
type Phone struct {
	t      testing.TB
	ctx    context.Context
	base   string // address of the site, such as http://127.0.0.1:8417
	mutex  sync.Mutex
	thrown []string // errors of scripts and breaches of the content security policy
}

// Width and Height are the screen of a phone in CSS pixels.
const Width, Height = 360, 740

// Phone returns a phone for the site at an address. Its clock goes on from a
// time.
func (b *Browser) Phone(t testing.TB, base string, clock time.Time) *Phone {
	t.Helper()
	p := &Phone{t: t, base: base}
	ctx, end := chromedp.NewContext(b.ctx, chromedp.WithNewBrowserContext(), chromedp.WithListener(p.hear))
	t.Cleanup(end)
	require.NoError(t, chromedp.Do(ctx), "a page opens")
	ctx, endInTime := context.WithTimeout(ctx, wholeTime)
	t.Cleanup(endInTime)
	p.ctx = ctx
	call(p, log.Enable, struct{}{})
	call(p, network.Enable, network.EnableParams{})
	p.Before(clockScript(time.Until(clock)))
	call(p, emulation.SetFocusEmulationEnabled, emulation.SetFocusEmulationEnabledParams{Enabled: true}) // though other phones are used at the same time
	p.Screen(Width, Height, 1)
	return p
}

// clockScript sets the clock of a page ahead; it goes on.
func clockScript(ahead time.Duration) string {
	return fmt.Sprintf(`{
  const Real = Date, ahead = %d;
  Date = class extends Real {
    constructor(...given) { given.length ? super(...given) : super(Real.now() + ahead); }
    static now() { return Real.now() + ahead; }
  };
}`, ahead.Milliseconds())
}

// Later sets the clock of the phone ahead, or back.
func (p *Phone) Later(by time.Duration) {
	p.t.Helper()
	p.Before(clockScript(by))
	Eval[bool](p, "((() => "+clockScript(by)+")(), true)")
}

// Before runs a script before those of pages to come.
func (p *Phone) Before(script string) {
	p.t.Helper()
	call(p, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: script})
}

func (p *Phone) hear(event any) {
	said := ""
	switch event := event.(type) {
	case *log.EventEntryAdded:
		if event.Entry.Source == log.EntrySourceSecurity || strings.Contains(event.Entry.Text, "Content Security Policy") {
			said = event.Entry.Text
		}
	case *runtime.EventExceptionThrown:
		said = event.ExceptionDetails.Text
		if event.ExceptionDetails.Exception != nil {
			said += " " + event.ExceptionDetails.Exception.Description
		}
	}
	if said != "" {
		p.mutex.Lock()
		p.thrown = append(p.thrown, said)
		p.mutex.Unlock()
	}
}

// Thrown returns the errors of scripts and the breaches of the content security
// policy until now.
func (p *Phone) Thrown() []string {
	p.mutex.Lock()
	defer p.mutex.Unlock()
	return append([]string(nil), p.thrown...)
}

// Open goes to a path of the site, or to a whole address.
func (p *Phone) Open(path string) {
	p.t.Helper()
	if !strings.HasPrefix(path, "http") {
		path = p.base + path
	}
	require.NoError(p.t, chromedp.Do(p.ctx, chromedp.Navigate(path)))
}

// Reload opens the same page anew.
func (p *Phone) Reload() {
	p.t.Helper()
	require.NoError(p.t, chromedp.Do(p.ctx, chromedp.Reload()))
}

// Tap touches the first element of a CSS selector with a finger.
func (p *Phone) Tap(selector string) {
	p.t.Helper()
	ctx, end := context.WithTimeout(p.ctx, patience)
	defer end()
	require.NoError(p.t, chromedp.Do(ctx, chromedp.Tap(chromedp.CSS(selector))), "tap %s", selector)
}

// Type types into the first element of a CSS selector, instead of what stands there.
func (p *Phone) Type(selector, text string) {
	p.t.Helper()
	ctx, end := context.WithTimeout(p.ctx, patience)
	defer end()
	require.NoError(p.t, chromedp.Do(ctx, chromedp.Focus(chromedp.CSS(selector), chromedp.NodeVisible)), "type into %s", selector)
	const ctrl = 2
	call(p, input.DispatchKeyEvent, input.DispatchKeyEventParams{
		Type: input.DispatchKeyEventTypeRawKeyDown, Modifiers: ctrl, Key: "a", Code: "KeyA", Commands: []string{"selectAll"}})
	p.Keys(text)
}

// Keys sends keys to whatever has the focus, as a hand scanner does.
func (p *Phone) Keys(keys string) {
	p.t.Helper()
	require.NoError(p.t, chromedp.Do(p.ctx, chromedp.KeyEvent(keys)))
}

// Upload gives files to a field for files.
func (p *Phone) Upload(selector string, files ...string) {
	p.t.Helper()
	ctx, end := context.WithTimeout(p.ctx, patience)
	defer end()
	require.NoError(p.t, chromedp.Do(ctx, chromedp.SetUploadFiles(chromedp.CSS(selector), files)))
}

// Eval evaluates an expression in the page; it is JSON then.
func Eval[T any](p *Phone, expression string) T {
	p.t.Helper()
	value, err := chromedp.Run(p.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	require.NoError(p.t, err, expression)
	return value
}

// Until waits for an expression to hold in the page, whatever page that is by then.
func (p *Phone) Until(expression string) {
	p.t.Helper()
	for until := time.Now().Add(patience); ; time.Sleep(15 * time.Millisecond) {
		// While a page makes place for another there is nothing to evaluate in.
		if is, err := chromedp.Run(p.ctx, chromedp.Evaluate[bool]("!!("+expression+")")); err == nil && is {
			return
		}
		require.NoError(p.t, p.ctx.Err())
		if time.Now().After(until) {
			require.Fail(p.t, "it does not come", "%s\non %s:\n%s", expression, p.Path(), p.Text("main"))
		}
	}
}

// UntilText waits for a text to be seen in an element.
func (p *Phone) UntilText(selector, text string) {
	p.t.Helper()
	p.Until(fmt.Sprintf("document.readyState === 'complete' && document.querySelector(%s)?.innerText.includes(%s)", quoted(selector), quoted(text)))
}

// UntilAt waits for a page to be there, whole.
func (p *Phone) UntilAt(path string) {
	p.t.Helper()
	p.Until("document.readyState === 'complete' && location.pathname === " + quoted(path))
}

// Text is what is seen in an element, empty where there is none.
func (p *Phone) Text(selector string) string {
	p.t.Helper()
	return Eval[string](p, "document.querySelector("+quoted(selector)+")?.innerText || ''")
}

// Value is what stands in a field.
func (p *Phone) Value(selector string) string {
	p.t.Helper()
	return Eval[string](p, "document.querySelector("+quoted(selector)+").value")
}

// Path is where the phone is.
func (p *Phone) Path() string {
	p.t.Helper()
	return Eval[string](p, "location.pathname")
}

// Has tells whether there is such an element.
func (p *Phone) Has(selector string) bool {
	p.t.Helper()
	return Eval[bool](p, "document.querySelector("+quoted(selector)+") !== null")
}

// HTML is the document as it stands, empty while it makes place for another. The
// page needs to run no script for it.
func (p *Phone) HTML() string {
	text, err := chromedp.Run(p.ctx, chromedp.Evaluate[string]("document.documentElement.outerHTML"))
	if err != nil {
		return ""
	}
	return text
}

// quoted is a text as JavaScript writes it.
func quoted(text string) string {
	content, err := json.Marshal(text)
	if err != nil {
		panic(err) // texts are always written
	}
	return string(content)
}
