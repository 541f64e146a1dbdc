package site_test

import (
	"fmt"
	"image"
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// hostilePictures are files that are no photo of a code.
func hostilePictures(t testing.TB, n *nursery) map[string][]byte {
	t.Helper()
	whole := asPNG(t, photo(t, n.stem(t, 1).String()))
	jpeg := asJPEG(t, photo(t, n.stem(t, 1).String()))
	return map[string][]byte{
		"large PNG":             sized(whole, 60_000, 60_000),
		"wide PNG":              sized(whole, 1<<31-1, 1),
		"large JPEG":            sizedJPEG(jpeg, 65_000, 65_000, false),
		"JPEG in passes":        sizedJPEG(coloured(t), 3_500, 3_500, true),
		"JPEG in passes, large": sizedJPEG(coloured(t), 7_000, 7_000, true),
		"PNG cut off":           whole[:len(whole)/2],
		"JPEG cut off":          jpeg[:len(jpeg)/2],
		"zip":                   []byte("PK\x03\x04" + strings.Repeat("\x00", 500)),
		"zip as PNG":            append([]byte("\x89PNG\r\n\x1a\n"), "PK\x03\x04"...),
		"PDF":                   []byte("%PDF-1.4\n%%EOF"),
		"SVG":                   []byte(`<svg xmlns="http://www.w3.org/2000/svg" onload="x()"/>`),
		"GIF":                   []byte("GIF89a\xff\xff\xff\xff\x00\x00\x00"),
		"HTML":                  []byte("<!DOCTYPE html><script>x()</script>"),
	}
}

// coloured is a JPEG with three components.
func coloured(t testing.TB) []byte {
	t.Helper()
	return asJPEG(t, image.NewYCbCr(image.Rect(0, 0, 64, 64), image.YCbCrSubsampleRatio444))
}

func (h *hostile) notLetIn() (string, string) {
	cookie := pick(h, "X-None: 1", "Cookie: "+h.phone("")+"=", "Cookie: "+h.phone("")+"=AAAA", "Cookie: "+h.phone("reader")+"="+h.cookie, "Cookie: "+h.phone("")+"="+h.cookie+"A",
		"Cookie: "+h.phone("")+"="+h.cookie[1:], "Cookie: "+h.phone("")+"="+strings.ToUpper(h.cookie), "Cookie: "+strings.ToUpper(h.phone(""))+"="+h.cookie,
		"Cookie: "+h.phone("")+"=' OR 1=1 --", "Cookie: "+h.phone("")+"="+strings.Repeat("A", 8000), "Authorization: Bearer "+h.cookie, "Cookie: graftslip-phone="+h.cookie, "Cookie: graftslip-phone-80="+h.cookie, "Cookie: "+h.phone("")+"=%00; x=y")
	accept := pick(h, "Accept: */*", "Accept: application/json", "Accept: text/html")
	if h.random.IntN(2) == 0 {
		return h.request(http.MethodGet, pick(h, "/", "/scan", "/due", "/bed", h.stem, h.tray, "/found?code="+h.stem[1:], "/nothing", h.stem+"?saved=1"), "", cookie, accept)
	}
	return h.request(http.MethodPost, pick(h, h.stem+"/log", h.tray+"/log", h.stem+"/tag", "/scan"), h.entry().Encode(), formType, cookie, accept)
}

func (h *hostile) wrongToken() (string, string) {
	fields := h.entry()
	fields["token"] = pick(h, nil, []string{""}, []string{"0"}, []string{h.token[:63]}, []string{h.token + "0"}, []string{strings.ToUpper(h.token)}, []string{h.cookie},
		[]string{" " + h.token}, []string{"wrong", h.token}, []string{strings.Repeat("0", 64)}, []string{h.token + "\x00"})
	fields.Set("place", "1")
	query := pick(h, "", "?token="+h.token) // that of the address does not count
	return h.request(http.MethodPost, pick(h, h.stem, h.tray, h.unissued)+pick(h, "/log", "/tag")+query, fields.Encode(), formType, h.known(), pick(h, "X-None: 1", "X-Token: "+h.token, "Accept: application/json"))
}

func (h *hostile) otherSite() (string, string) {
	from := pick(h, "Origin: http://evil.example", "Origin: null", "Origin: https://"+h.host+".evil.example", "Origin: http://127.0.0.1:1", "Sec-Fetch-Site: cross-site",
		"Sec-Fetch-Site: same-site", "Sec-Fetch-Site: cross-site\r\nOrigin: http://"+h.host, "Origin: evil", "Origin: file://")
	fields := h.entry()
	fields.Set("place", "1")
	fields.Set("name", "evil")
	return h.request(http.MethodPost, pick(h, h.stem+"/log", h.tray+"/log", h.stem+"/tag", "/scan", "/open"), fields.Encode(), formType, h.known(), from)
}

func (h *hostile) wrongMethod() (string, string) {
	method := pick(h, "PUT", "DELETE", "PATCH", "TRACE", "OPTIONS", "HEAD", "CONNECT", "PROPFIND", "get", "POSTS", "MOVE")
	path := pick(h, "/", "/scan", "/open", "/open/"+h.usedKey, "/assets/page.js", h.stem, h.stem+"/log", h.stem+"/tag", "/found", "/nothing/at/all", "*")
	return h.request(method, path, h.entry().Encode(), formType, pick(h, h.known(), "X-None: 1"), "X-HTTP-Method-Override: POST")
}

func (h *hostile) path() (string, string) {
	path := pick(h,
		"/../admission.go", "/assets/../admission.go", "/assets/..%2fadmission.go", "/assets/%2e%2e/admission.go", "/assets/%2e%2e%2f%2e%2e%2fadmission.go", "/assets/....//admission.go", "/assets//etc/passwd",
		"/assets/%00", "/assets/", "/assets", "/assets/.", "/assets/page.js/", "/assets/page.js%00.css", `/assets/..\admission.go`, "/assets/%5c..%5cadmission.go", "/assets/index.html",
		"//evil.example", "//evil.example/%2e%2e", "/%2f%2fevil.example", `/\evil.example`, "/%5cevil.example", "/%0d%0aX-Evil:%20evil", "/scan%0d%0aSet-Cookie:a=b",
		"/open/", "/open/%2e%2e", "/open/../scan", "/open/<script>x()</script>", "/open/%3Cscript%3Ex()%3C/script%3E", "/open/"+h.usedKey+"/x", "/open/"+strings.Repeat("9", 4000), "/open/%00",
		h.stem+"/", h.stem+"/log/", h.stem+"/../scan", h.stem+"%2flog", h.stem+"/log", h.stem+"/history", h.stem+"%00", h.stem+";x=y", h.stem+"?saved=<script>", h.stem+"?saved=999999999",
		h.unissued, "/00000000000000", "/99999999999999", "/%D9%A1%D9%A2%D9%A3%D9%A4%D9%A5%D9%A6%D9%A7%D9%A8%D9%A9%D9%A0%D9%A1%D9%A2%D9%A3%D9%A4", "/"+strings.Repeat("1", 7000), "/%ff%fe", "/.git/config", "/ledger.db",
		"/scan?code="+url.QueryEscape(`"><img src=x onerror=x()>`), "/scan?code=javascript:x()", "/scan?code="+strings.Repeat("%2a", 2000), "/scan?code=%00%0d%0a", "/scan?code='%20OR%201=1--", "/scan?%zz=1", "/scan?code=a&code=b;c",
		"/found?"+strings.Repeat("code="+h.stem[1:]+"&", 300), "/found?missed=-1&missed=99999999999999999999", "/found?code=<script>", "http://evil.example/scan", "http://evil.example//scan",
	)
	return h.request(http.MethodGet, path, "", pick(h, h.known(), "X-None: 1"), pick(h, "Accept: */*", "Accept: application/json"))
}

func (h *hostile) size() (string, string) {
	fields := h.entry()
	var body string
	switch h.random.IntN(6) {
	case 0:
		fields.Set("note", strings.Repeat("n", 65<<10))
		body = fields.Encode()
	case 1:
		body = fields.Encode() + strings.Repeat("&x=y", 30_000)
	case 2:
		body = strings.Repeat("&", 64<<10+1)
	case 3:
		body = strings.Repeat("%", 1000) + fields.Encode()
	case 4: // more than it says, so that the rest is no request
		head, _ := h.request(http.MethodPost, h.stem+"/log", "", formType, h.known())
		return strings.Replace(head, "Content-Length: 0", "Content-Length: 9999999", 1), strings.Repeat("x", 70<<10)
	default:
		head, _ := h.request(http.MethodGet, h.stem, "", h.known(), "X-Long: "+strings.Repeat("l", 2<<20))
		return head, ""
	}
	return h.request(http.MethodPost, pick(h, h.stem+"/log", h.stem+"/tag", "/open"), body, formType, h.known())
}

func (h *hostile) picture() (string, string) {
	names := []string{"large PNG", "wide PNG", "large JPEG", "JPEG in passes", "JPEG in passes, large", "PNG cut off", "JPEG cut off", "zip", "zip as PNG", "PDF", "SVG", "GIF", "HTML"}
	content := string(h.pictures[pick(h, names...)])
	boundary := pick(h, "b", strings.Repeat("b", 60))
	disposition := pick(h, `form-data; name="photo"; filename="../../x.png"`, `form-data; name="photo"; filename=""`, `form-data; name=photo; name*=UTF-8''photo`, `form-data; name="photo"`, `form-data; name="photo"; filename="<script>.png"`, `form-data; name="other"; filename="x"`)
	body := "--" + boundary + "\r\nContent-Disposition: " + disposition + "\r\nContent-Type: " + pick(h, "image/png", "text/html", "x") + "\r\n\r\n" + content + "\r\n--" + boundary + "--\r\n"
	kind := "multipart/form-data; boundary=" + boundary
	switch h.random.IntN(16) {
	case 0:
		kind = pick(h, "multipart/form-data", "multipart/form-data; boundary=other", "multipart/form-data; boundary=", "image/png", "application/json", "multipart/mixed; boundary="+boundary+"x")
	case 1:
		body = strings.Repeat("--"+boundary+"\r\nContent-Disposition: form-data; name=\"x\"\r\n\r\n\r\n", 2000)
	case 2:
		body = "--" + boundary + "\r\n" + strings.Repeat("X-Header: y\r\n", 20_000) + "\r\n"
	case 3:
		body = body[:len(body)/2]
	}
	return h.request(http.MethodPost, "/scan", body, "Content-Type: "+kind, h.known(), pick(h, "Accept: */*", "Accept: application/json"))
}

func (h *hostile) field() (string, string) {
	fields := h.entry()
	nasty := pick(h, "-1", "1e3", "0x10", "99999999999999999999", "2147483648", "１", "٣", "1;DROP TABLE observations", "' OR 1=1 --", "<script>x()</script>", `"><img src=x onerror=x()>`,
		"1\r\nX-Evil: evil", "\x00", "\xff\xfe", "{{.}}", "${7*7}", "../../x", "NaN", "+1", "1.0", strings.Repeat("9", 5000), "\u202e1", "1 2")
	path := h.tray
	switch field := pick(h, "alive", "growing", "rooted", "dead", "number", "corrects", "state", "move", "left", "key", "place"); field {
	case "number":
		fields.Set("left", "sold")
		fields.Set(field, nasty)
	case "left":
		fields.Set("number", "1")
		fields.Set(field, nasty)
	case "place":
		path = h.stem
		fields.Set(field, nasty)
		if nasty == "+1" {
			fields.Set(field, "+0")
		}
		return h.request(http.MethodPost, path+"/tag", fields.Encode(), formType, h.known())
	default:
		fields[field] = pick(h, []string{nasty}, []string{nasty, "1"})
	}
	fields.Set("ago", pick(h, "", strings.Repeat("9", 3000), "-1", "60\r\nX-Evil: evil", nasty))
	return h.request(http.MethodPost, path+"/log", fields.Encode(), formType, h.known(), pick(h, "Accept: */*", "Accept: application/json", "Accept: <script>"))
}

func (h *hostile) head() (string, string) {
	body := h.entry().Encode() + "\r\n"
	odd := func(headers ...string) (string, string) {
		return h.request(http.MethodPost, pick(h, h.stem, h.tray)+"/log", body, append(headers, h.known())...)
	}
	switch h.random.IntN(12) {
	case 0:
		return odd("Content-Type: application/json")
	case 1:
		return odd("Content-Type: text/plain")
	case 2:
		return odd("Content-Type: multipart/form-data; boundary=x")
	case 3:
		return odd("Content-Type: " + strings.Repeat("x", 3000))
	case 4:
		return odd(formType, "Content-Encoding: gzip", "Origin: http://evil.example")
	case 5:
		return odd("Transfer-Encoding: chunked", formType) // with a length as well
	case 6:
		return odd("Content-Length: 3", formType)
	case 7:
		return odd("Host: evil.example", formType)
	case 8:
		head := strings.Replace(fmt.Sprintf("POST %s/log HTTP/1.1\r\nHost: %s\r\nConnection: close\r\nTransfer-Encoding: chunked", h.stem, h.host), "HTTP/1.1", pick(h, "HTTP/1.1", "HTTP/3.0", "HTTP/1.1 evil"), 1)
		return head + "\r\n" + formType + "\r\n" + h.known(), "fffffffffffffffff\r\n" + body
	case 9:
		return h.request(http.MethodGet, h.stem, "", h.known(), "Connection: Upgrade, HTTP2-Settings", pick(h, "Upgrade: h2c", "Upgrade: websocket"), "Range: bytes=0-1", "If-None-Match: *", "X-Forwarded-Host: evil", "X-Forwarded-For: 10.0.0.1")
	case 10:
		return odd(formType, "X-Odd: a\r\n folded: evil", "Origin: http://evil.example")
	default:
		return odd(formType, "Expect: "+pick(h, "evil", "200-ok"))
	}
}

func (h *hostile) key() (string, string) {
	key := pick(h, h.usedKey, "", "000000000000", "' OR 1=1 --", strings.Repeat("1", 60_000), strings.Repeat("1", 70_000), "<script>x()</script>", "\x00", "123456789012\r\nX-Evil: evil", "१२३४५६७८९०१२")
	fields := url.Values{"key": {key}, "name": {pick(h, "", "<script>x()</script>", strings.Repeat("n", 5000), "a\r\nX-Evil: evil", "\xff")}, "target": {pick(h, "", "//evil.example", "javascript:x()", h.stem[1:], `"><script>`)}}
	return h.request(http.MethodPost, "/open", fields.Encode(), pick(h, formType, "Content-Type: application/json", "Content-Type: multipart/form-data; boundary=x"),
		pick(h, "X-None: 1", "X-Forwarded-For: 10.9.8.7", "Forwarded: for=10.9.8.7", "X-Real-IP: 10.9.8.7"), pick(h, "Accept: */*", "Accept: application/json"))
}
