package site_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

// address is one of many machines.
func address(number int) string {
	return fmt.Sprintf("10.%d.%d.%d:50000", number>>16, number>>8&255, number&255)
}

// direct asks without a network, as a machine of an address, and says that it
// sends a form.
func (n *nursery) direct(t testing.TB, from, method, path, body string, cookies ...*http.Cookie) *httptest.ResponseRecorder {
	t.Helper()
	request := httptest.NewRequestWithContext(t.Context(), method, path, strings.NewReader(body))
	request.RemoteAddr = from
	for _, cookie := range cookies {
		request.AddCookie(cookie)
	}
	request.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	answer := httptest.NewRecorder()
	n.site.Handler().ServeHTTP(answer, request)
	return answer
}
