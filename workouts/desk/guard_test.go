package desk

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

// Nobody but the runner's own browser gets anything: each request lacks one thing that a good
// one has.
func TestGuardRefuses(t *testing.T) {
	w := open(t, nil)
	good := func(method string) *http.Request {
		r := httptest.NewRequest(method, "http://"+host+"/news", nil)
		r.Header = w.head.Clone()
		return r
	}
	for _, x := range []struct {
		name   string
		method string
		spoil  func(r *http.Request)
		status int
	}{
		{"no cookie", "GET", func(r *http.Request) { r.Header.Del("Cookie") }, 403},
		{"a wrong cookie", "GET", func(r *http.Request) { r.Header.Set("Cookie", w.desk.guard.cookie+"=guessed") }, 403},
		{"the secret as a cookie", "GET", func(r *http.Request) { r.Header.Set("Cookie", w.desk.guard.cookie+"="+w.desk.guard.secret) }, 403},
		{"a name that leads to this machine", "GET", func(r *http.Request) { r.Host = "attacker.example:4711" }, 421},
		{"another port", "GET", func(r *http.Request) { r.Host = "127.0.0.1:80" }, 421},
		{"a picture on another site's page", "GET", func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") }, 403},
		{"a page of another port", "GET", func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "same-site") }, 403},
		{"a form of another site", "POST", func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") }, 403},
		{"a form of another port", "POST", func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "same-site") }, 403},
		{"a form from nowhere", "POST", func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "none") }, 403},
		{"another origin by an old browser", "POST", func(r *http.Request) {
			r.Header.Del("Sec-Fetch-Site")
			r.Header.Set("Origin", "http://attacker.example")
		}, 403},
		{"no origin", "POST", func(r *http.Request) { r.Header.Del("Sec-Fetch-Site") }, 403},
		{"a method that changes things", "DELETE", func(*http.Request) {}, 405},
		{"a question before a post", "OPTIONS", func(*http.Request) {}, 405},
	} {
		r := good(x.method)
		x.spoil(r)
		out := httptest.NewRecorder()
		w.handler.ServeHTTP(out, r)
		if out.Code != x.status || strings.Contains(out.Body.String(), "serial") {
			t.Errorf("%s: status %d, want %d: %s", x.name, out.Code, x.status, out.Body)
		}
	}
	out := httptest.NewRecorder()
	if w.handler.ServeHTTP(out, good("GET")); out.Code != 200 || !strings.Contains(out.Body.String(), "serial") {
		t.Errorf("a good one: status %d: %s", out.Code, out.Body)
	}
}

// The first address gives a cookie that only the same site sends and no script reads; a wrong
// one gives none.
func TestFirstAddress(t *testing.T) {
	w := open(t, nil)
	w.head = http.Header{} // a browser that knows nothing yet
	again, once := w.desk.guard.addresses()
	path := func(address string) string { return strings.TrimPrefix(address, "http://"+host) }
	out := w.ask(path(again))
	c := out.Result().Cookies()
	if out.Code != 200 || len(c) != 1 || !c[0].HttpOnly || c[0].SameSite != http.SameSiteStrictMode || c[0].Value != w.desk.guard.ticket {
		t.Errorf("status %d, cookies %v", out.Code, c)
	}
	if strings.Contains(out.Body.String(), w.desk.guard.ticket) {
		t.Error("the page tells the cookie")
	}
	for i, want := range []int{200, 403, 403} { // an address for one visit, the other for several
		if out := w.ask(path(once)); out.Code != want {
			t.Errorf("visit %d by the address for one: status %d", i+1, out.Code)
		}
		if out := w.ask(path(again)); out.Code != 200 {
			t.Errorf("visit %d by the other: status %d", i+1, out.Code)
		}
	}
	for _, path := range []string{firstPath, firstPath + "x", firstPath + w.desk.guard.ticket} {
		if out := w.ask(path); out.Code != 403 || len(out.Result().Cookies()) > 0 {
			t.Errorf("%s: status %d, cookies %v", path, out.Code, out.Result().Cookies())
		}
	}
}

// Every answer, also a refusal, says that nothing may be loaded from elsewhere, framed, guessed or kept.
func TestHeaders(t *testing.T) {
	w := open(t, nil)
	for _, path := range []string{"/", "/nowhere", "/news", "/desk.css", firstPath + "x"} {
		h := w.ask(path).Header()
		for _, want := range []string{"default-src 'none'", "script-src 'self';", "style-src 'self';", "frame-ancestors 'none'", "form-action 'self'"} {
			if csp := h.Get("Content-Security-Policy"); !strings.Contains(csp, want) || strings.Contains(csp, "unsafe") {
				t.Errorf("%s: policy %q lacks %q", path, csp, want)
			}
		}
		if h.Get("X-Content-Type-Options") != "nosniff" || h.Get("Referrer-Policy") != "no-referrer" || h.Get("Cache-Control") != "no-store" {
			t.Errorf("%s: %v", path, h)
		}
	}
}
