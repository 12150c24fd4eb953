package desk

import (
	"context"
	"html"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/folder"
)

// host is what the desk of a test is reached by.
const host = "127.0.0.1:4711"

// A window is a browser that opened the desk of a folder.
type window struct {
	*testing.T
	desk    *Desk
	handler http.Handler
	folder  string
	head    http.Header // of every request
}

// open opens a desk on a folder of files by their names, and reads it.
func open(t *testing.T, files map[string]string) *window {
	t.Helper()
	path := t.TempDir()
	for name, text := range files {
		if err := os.MkdirAll(filepath.Dir(filepath.Join(path, name)), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(path, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return openFolder(t, path)
}

// openFolder opens a desk on a folder that is there. It is the evening of 20 September 2026.
func openFolder(t *testing.T, path string) *window {
	t.Helper()
	c, err := block.ParseCalendar("UTC")
	if err != nil {
		t.Fatal(err)
	}
	d, err := Open(Options{Folder: folder.Folder{Path: path}, Calendar: c, Now: func() time.Time { return time.Date(2026, 9, 20, 21, 0, 0, 0, time.UTC) }})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { d.root.Close() })
	handler := d.handler(host)
	w := &window{T: t, desk: d, handler: handler, folder: path, head: goodHead(d)}
	d.look(context.Background())
	return w
}

// goodHead is that of a request of the runner's own browser.
func goodHead(d *Desk) http.Header {
	h := http.Header{}
	h.Set("Cookie", d.guard.cookie+"="+d.guard.ticket)
	h.Set("Sec-Fetch-Site", "same-origin")
	return h
}

// ask sends a request and gives the answer. Fields make it a post.
func (w *window) ask(path string, fields ...string) *httptest.ResponseRecorder {
	w.Helper()
	var body io.Reader
	method := http.MethodGet
	if len(fields) > 0 {
		form := url.Values{}
		for i := 0; i+1 < len(fields); i += 2 {
			form.Add(fields[i], fields[i+1])
		}
		method, body = http.MethodPost, strings.NewReader(form.Encode())
	}
	return w.send(method, path, body)
}

func (w *window) send(method, path string, body io.Reader) *httptest.ResponseRecorder {
	w.Helper()
	r := httptest.NewRequest(method, "http://"+host+path, body)
	r.Header = w.head.Clone()
	if method == http.MethodPost && r.Header.Get("Content-Type") == "" {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	out := httptest.NewRecorder()
	w.handler.ServeHTTP(out, r)
	return out
}

// shows asks for a page, which must be there, and say what is wanted.
func (w *window) shows(path string, want ...string) string {
	w.Helper()
	out := w.ask(path)
	page := out.Body.String()
	if out.Code != http.StatusOK {
		w.Fatalf("%s: status %d: %s", path, out.Code, page)
	}
	for _, s := range want {
		if !strings.Contains(page, s) && !strings.Contains(html.UnescapeString(page), s) {
			w.Errorf("%s does not say %q", path, s)
		}
	}
	return page
}
