package desk

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// No path leads out of the folder: not by the address, not by a link to a file or a folder, and
// not by a log that is a link.
func TestNothingOutside(t *testing.T) {
	outside := t.TempDir()
	secret := filepath.Join(outside, "secret.csv")
	if err := os.WriteFile(secret, []byte(easy(t, "08 05:00")), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(outside, "log"), []byte("2026-09-09 note SECRET\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	w := open(t, map[string]string{"training-log.txt": "", "run.csv": easy(t, "09 07:00")})
	for name, to := range map[string]string{"link.csv": secret, "folder": outside} {
		if err := os.Symlink(to, filepath.Join(w.folder, name)); err != nil {
			t.Skip("no links here: ", err)
		}
	}
	w.desk.look(context.Background())
	w.desk.look(context.Background())
	if page := w.shows("/"); strings.Contains(page, "2026-09-08-050000") {
		t.Error("a link leads out of the folder")
	}
	for _, path := range []string{"/../secret.csv", "/%2e%2e/secret.csv", "/session/..%2f..%2fsecret", "/session/%2e%2e%2ftraining-log.txt", "/training-log.txt", "/folder/secret.csv", "/pages/frame.html"} {
		if out := w.ask(path); out.Code == http.StatusOK {
			t.Errorf("%s: %s", path, out.Body)
		}
	}
	page := w.shows("/session/2026-09-09-070000")
	w.desk.splits.list = nil // it must be read again
	os.Remove(filepath.Join(w.folder, "run.csv"))
	if err := os.Symlink(secret, filepath.Join(w.folder, "run.csv")); err != nil {
		t.Fatal(err)
	}
	if out := w.ask("/session/2026-09-09-070000"); out.Code != http.StatusNotFound {
		t.Errorf("a recording that became a link: status %d", out.Code)
	}
	os.Remove(filepath.Join(w.folder, "run.csv"))
	w.put("run.csv", easy(t, "09 07:00"))
	os.Remove(filepath.Join(w.folder, "training-log.txt"))
	if err := os.Symlink(filepath.Join(outside, "log"), filepath.Join(w.folder, "training-log.txt")); err != nil {
		t.Fatal(err)
	}
	if out := w.ask("/"); out.Code != http.StatusForbidden || strings.Contains(out.Body.String(), "SECRET") {
		t.Errorf("a log outside of the folder: status %d: %s", out.Code, out.Body)
	}
	if out := w.ask("/session/2026-09-09-070000/say", "seen", w.hidden(page, "seen"), "note", "x"); out.Code != http.StatusForbidden {
		t.Errorf("status %d", out.Code)
	}
	if raw, err := os.ReadFile(filepath.Join(outside, "log")); err != nil || string(raw) != "2026-09-09 note SECRET\n" {
		t.Errorf("a file outside was changed: %q, %v", raw, err)
	}
}

// A form that is larger than any workout is refused, and changes nothing; so are a drop of too
// many bytes and one that ends early, of which nothing is left.
func TestLargeBodies(t *testing.T) {
	w := theWeek(t, "")
	if out := w.ask("/session/"+tuesday+"/say", "note", strings.Repeat("x", mostForm+1)); out.Code != http.StatusRequestEntityTooLarge {
		t.Errorf("a large form: status %d", out.Code)
	}
	if out := w.ask("/look", "text", strings.Repeat("a", mostForm-100)); out.Code != http.StatusOK {
		t.Errorf("a form just within the limit: status %d: %.100s", out.Code, out.Body)
	}
	w.head.Set("Content-Type", "multipart/form-data; boundary=b")
	const head = "--b\r\nContent-Disposition: form-data; name=\"files\"; filename=\"run.csv\"\r\n\r\n"
	for name, body := range map[string]io.Reader{
		"that never ends": io.MultiReader(strings.NewReader(head), io.LimitReader(endless{}, mostUpload)),
		"that ends early": strings.NewReader(head + "time,distance_m\n2026-09-08"),
	} {
		if out := w.send(http.MethodPost, "/new", body); out.Code < 400 {
			t.Errorf("a drop %s: status %d", name, out.Code)
		}
	}
	for _, n := range w.names() {
		if strings.Contains(n, "run.csv") || strings.Contains(n, ".drop-") {
			t.Errorf("%s is left", n)
		}
	}
	if got := w.file("training-log.txt"); got != "" {
		t.Errorf("the log is %q", got)
	}
}

// endless is a body without an end.
type endless struct{}

func (endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = 'x'
	}
	return len(p), nil
}

// serve answers on an address of this machine, with short times, until the test ends.
func (w *window) serve() (address string) {
	w.Helper()
	w.desk.times = times{head: 300 * time.Millisecond, body: 600 * time.Millisecond, idle: time.Second, closing: time.Second}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		w.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	told, ended := make(chan string, 1), make(chan error, 1)
	go func() { ended <- w.desk.Serve(ctx, l, func(address, _ string) { told <- address }) }()
	w.Cleanup(func() {
		stop()
		if err := <-ended; err != nil {
			w.Error(err)
		}
	})
	return <-told
}

// Who sends slowly is cut off, whether it is the head or the body that is slow; who is not let in
// is answered before a body is waited for. Meanwhile the runner is answered.
func TestSlowBodies(t *testing.T) {
	w := theWeek(t, "")
	address := w.serve()
	host := strings.TrimPrefix(strings.SplitN(address, "/open/", 2)[0], "http://")
	cookie := w.desk.guard.cookie + "=" + w.desk.guard.ticket
	for name, head := range map[string]string{
		"head":              "GET /news HTTP/1.1\r\nHost: " + host + "\r\n",
		"body":              "POST /look HTTP/1.1\r\nHost: " + host + "\r\nCookie: " + cookie + "\r\nSec-Fetch-Site: same-origin\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 100\r\n\r\ntext=6",
		"stranger's body":   "POST /look HTTP/1.1\r\nHost: " + host + "\r\nContent-Length: 100\r\n\r\ntext=6",
		"body without size": "POST /new HTTP/1.1\r\nHost: " + host + "\r\nCookie: " + cookie + "\r\nSec-Fetch-Site: same-origin\r\nContent-Type: multipart/form-data; boundary=b\r\nTransfer-Encoding: chunked\r\n\r\n5\r\n--b\r\n\r\n",
	} {
		c, err := net.Dial("tcp", host)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		fmt.Fprint(c, head)
		r, err := http.NewRequest("GET", "http://"+host+"/news", nil)
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Cookie", cookie)
		if answer, err := http.DefaultClient.Do(r); err != nil || answer.StatusCode != 200 {
			t.Errorf("beside a slow %s: %v", name, err)
		}
		c.SetReadDeadline(time.Now().Add(5 * time.Second))
		answer, err := http.ReadResponse(bufio.NewReader(c), nil)
		if err == nil && answer.StatusCode < 400 {
			t.Errorf("a slow %s: status %d", name, answer.StatusCode)
		}
		if err, ok := err.(net.Error); ok && err.Timeout() {
			t.Errorf("a slow %s is not cut off", name)
		}
	}
}

// The desk answers on this machine alone.
func TestLoopbackOnly(t *testing.T) {
	w := open(t, nil)
	l, err := net.Listen("tcp", "0.0.0.0:0")
	if err != nil {
		t.Skip(err)
	}
	defer l.Close()
	if err := w.desk.Serve(context.Background(), l, func(string, string) { t.Error("it answers") }); err == nil {
		t.Error("it answered on all addresses")
	}
}
