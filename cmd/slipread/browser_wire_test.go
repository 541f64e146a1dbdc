package main

import (
	"io"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"graftslip/testdata/browser"
)

// wire is the network between a phone and the computer, which can be cut.
type wire struct {
	server *httptest.Server
	named  string // its address as phones have it
	mutex  sync.Mutex
	state  wireState
	lost   int // answers that were dropped
}

type wireState int

const (
	wireWhole  wireState = iota
	wireCut              // nothing comes through
	wireOneWay           // entries come through, and their answers do not
	wireSilent           // what is sent is held, without an answer
)

// newWire lays a wire to the computer at an address.
func newWire(t *testing.T, to string) *wire {
	t.Helper()
	target, err := url.Parse(to)
	require.NoError(t, err)
	w := &wire{}
	proxy := &httputil.ReverseProxy{
		Rewrite: func(r *httputil.ProxyRequest) {
			r.SetURL(target)
			r.Out.Host = r.In.Host // as the phone said it
		},
		ErrorHandler: func(out http.ResponseWriter, _ *http.Request, _ error) { breakOff(out) },
	}
	w.server = httptest.NewServer(http.HandlerFunc(func(out http.ResponseWriter, r *http.Request) {
		switch state := w.now(); {
		case state == wireCut:
			breakOff(out)
		case state == wireSilent:
			_, _ = io.Copy(io.Discard, r.Body) // only then it is seen that the phone gives up
			<-r.Context().Done()
		case state == wireOneWay && strings.HasSuffix(r.URL.Path, "/log"):
			proxy.ServeHTTP(httptest.NewRecorder(), r)
			w.mutex.Lock()
			w.lost++
			w.mutex.Unlock()
			breakOff(out)
		default:
			proxy.ServeHTTP(out, r)
		}
	}))
	w.named = strings.Replace(w.server.URL, "127.0.0.1", browser.Name, 1)
	t.Cleanup(func() {
		w.server.CloseClientConnections()
		w.server.Close()
	})
	return w
}

// breakOff ends a connection without an answer.
func breakOff(out http.ResponseWriter) {
	if hijacker, is := out.(http.Hijacker); is {
		if connection, _, err := hijacker.Hijack(); err == nil {
			_ = connection.Close()
		}
	}
}

func (w *wire) now() wireState {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	return w.state
}

func (w *wire) set(state wireState) {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	w.state = state
}

func (w *wire) dropped() int {
	w.mutex.Lock()
	defer w.mutex.Unlock()
	return w.lost
}
