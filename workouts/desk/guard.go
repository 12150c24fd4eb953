package desk

import (
	"crypto/rand"
	"crypto/subtle"
	"io"
	"log"
	"net/http"
	"strings"
	"sync/atomic"
)

// A guard lets in the runner's own browser and nobody else. Whoever opens the first address
// shows that they can read what the command printed; from then on a cookie shows it, which no
// page of another site can send. A name that leads here by another site's doing is refused by
// its Host, a form of another site's by where it comes from.
type guard struct {
	host   string // that requests must name
	secret string // of the first address
	once   *once  // of an address that is good for one visit
	ticket string // of the cookie
	cookie string // its name, which tells two desks on one machine apart
}

// A once is a secret that is good for one use. It is given to the program that opens the
// browser, whose arguments other users of the machine can read.
type once struct {
	secret string
	used   atomic.Bool
}

// opens tells whether a secret is the one, for the first time.
func (o *once) opens(secret string) bool { return same(secret, o.secret) && !o.used.Swap(true) }

func newGuard(host string) guard {
	_, port, _ := strings.Cut(host, ":")
	return guard{host: host, secret: rand.Text(), once: &once{secret: rand.Text()}, ticket: rand.Text(), cookie: "desk-" + port}
}

const firstPath = "/open/"

// addresses are the first address, and one that is good for one visit.
func (g guard) addresses() (again, once string) {
	return "http://" + g.host + firstPath + g.secret, "http://" + g.host + firstPath + g.once.secret
}

// same compares two secrets in a time that does not tell where they differ.
func same(a, b string) bool { return subtle.ConstantTimeCompare([]byte(a), []byte(b)) == 1 }

// headers are those of every answer: nothing is loaded but from the desk itself, nothing is
// guessed, framed, kept or told to others.
var headers = map[string]string{
	"Content-Security-Policy": "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; connect-src 'self'; " +
		"form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
	"X-Content-Type-Options":       "nosniff",
	"X-Frame-Options":              "DENY",
	"Referrer-Policy":              "no-referrer",
	"Cross-Origin-Resource-Policy": "same-origin",
	"Cross-Origin-Opener-Policy":   "same-origin",
	"Cache-Control":                "no-store",
}

// Limits of the bodies of requests, in bytes.
const (
	mostForm   = 256 << 10 // a workout has 64 kB at most
	mostUpload = 512 << 20 // of all recordings dropped at once
)

// wrap puts the guard before a handler.
func (g guard) wrap(h http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		for k, v := range headers {
			w.Header().Set(k, v)
		}
		if status, why := g.refuses(r); why != "" {
			w.Header().Set("Connection", "close") // its body is not waited for
			http.Error(w, why, status)
			return
		}
		if r.Method == http.MethodGet && strings.HasPrefix(r.URL.Path, firstPath) {
			g.welcome(w)
			return
		}
		most := int64(mostForm)
		if r.URL.Path == dropPath {
			most = mostUpload
		}
		r.Body = http.MaxBytesReader(w, r.Body, most)
		h.ServeHTTP(w, r)
	})
}

// refuses says why a request is not let in; empty when it is.
func (g guard) refuses(r *http.Request) (status int, why string) {
	if r.Host != g.host {
		return http.StatusMisdirectedRequest, "This is not the address of the desk."
	}
	if secret, first := strings.CutPrefix(r.URL.Path, firstPath); first && r.Method == http.MethodGet {
		if !same(secret, g.secret) && !g.once.opens(secret) {
			return http.StatusForbidden, "This address is not valid any more. Open the one that the command printed last."
		}
		return 0, ""
	}
	if status, why = g.strange(r); why != "" {
		return status, why
	}
	if c, err := r.Cookie(g.cookie); err != nil || !same(c.Value, g.ticket) {
		return http.StatusForbidden, "This window is not known. Open the address that the command printed."
	}
	return 0, ""
}

// strange says why a request does not come from a page of the desk; empty when it does. A
// page that is asked for may also come from the runner's own typing.
func (g guard) strange(r *http.Request) (status int, why string) {
	from := r.Header.Get("Sec-Fetch-Site")
	switch r.Method {
	case http.MethodGet, http.MethodHead:
		if from != "" && from != "same-origin" && from != "none" {
			return http.StatusForbidden, "Another page led here. Open the address that the command printed."
		}
	case http.MethodPost:
		ours := from == "same-origin" || from == "" && r.Header.Get("Origin") == "http://"+g.host
		if !ours {
			return http.StatusForbidden, "Another page sent this. Nothing was changed."
		}
	default:
		return http.StatusMethodNotAllowed, "The desk does not answer to this."
	}
	return 0, ""
}

// welcome gives the cookie, and a page that goes on by itself: a cookie that is strictly of
// the same site is not sent along when another program led here, but is from this page.
func (g guard) welcome(w http.ResponseWriter) {
	http.SetCookie(w, &http.Cookie{Name: g.cookie, Value: g.ticket, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	io.WriteString(w, `<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><title>The desk</title><link rel="icon" href="data:,">`+
		`<meta http-equiv="refresh" content="0; url=/"></head><body><p><a href="/">Go on to the desk</a></p></body></html>`)
}

// silent takes what http.Server says of connections that end early.
var silent = log.New(io.Discard, "", 0)
