package desk

import (
	"bytes"
	"flag"
	"fmt"
	"math/rand/v2"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"example.org/rungs/workouts/library"
)

var hostileRequests = flag.Int("hostile", 400, "how many hostile requests to draw")

// absurd are values that a field, a path or a body may hold. "/script" may not come back as
// markup.
var absurd = []string{
	"", " ", "\x00", "\n\n", "\r\nSet-Cookie: a=b", "../../etc/passwd", "..\\..\\x", "/etc/passwd", "%2e%2e%2f", "a/b", ".", "CON", "-1", "0", "NaN", "1e309",
	"99999999999999999999", "<script>alert(1)</script>", `"><img src=x onerror=alert(1)>`, "'; drop table", "\xff\xfe", "\u202e\u200b", "{{.}}", "${x}", "2026-09-31", "0000-00-00",
	"9999-12-31", "2026-09-16", "week 1", "race; leave out", "5 x 4:00 off", "999999 x ( 999999 x 1:00 )", strings.Repeat("(", 5000), strings.Repeat("1:00 + ", 1200), strings.Repeat("x", 200_000),
	"[[[[", "null", `{"reps":[[-1,1e308],[0,null]]}`, `[{"from":1e99,"to":-1e99}]`, strings.Repeat("[", 20_000), "10:00-9:00", "0:00-99:99:99", "notes.txt\x00.fit",
}

// TestHostileRequests asks the desk, with the right cookie, for what nobody should ask for: any
// route with absurd paths, fields and bodies. It never fails by itself (a status of 500 and
// more, a panic, five seconds), never gives markup back, never writes outside its folder nor
// into a recording, and what it writes it can read.
func TestHostileRequests(t *testing.T) {
	above := t.TempDir()
	path := filepath.Join(above, "training")
	if err := os.Mkdir(path, 0o777); err != nil {
		t.Fatal(err)
	}
	w := openFolder(t, path)
	w.desk.Library = library.Library{Folder: filepath.Join(path, "workouts")}
	recording := reps(t, "15 18:00")
	w.put("tuesday.csv", recording)
	w.put("training-plan.txt", "start 2026-09-14\n\nweek 1\ntue: 3 x 3:00 off 1:00 jog\n")
	w.desk.look(t.Context())

	random := rand.New(rand.NewPCG(21, 3))
	pick := func() string { return absurd[random.IntN(len(absurd))] }
	names := []string{"seen", "text", "name", "day", "of", "to", "week", "workout", "index", "session", "reading", "rest", "starts", "save", "effort", "feel", "note", "place", "race", "title", "was", "words", "kind", "before", "left", "right", "from", "script"}
	statuses := map[int]int{}
	for i := range *hostileRequests {
		all := routes()
		pattern := all[random.IntN(len(all))].pattern
		method, address, _ := strings.Cut(pattern, " ")
		address = strings.ReplaceAll(address, "{$}", "")
		for _, wild := range []string{"{name}", "{week}"} {
			value := url.PathEscape(pick())
			if random.IntN(3) == 0 {
				value = "2026-09-15-180000"
			}
			address = strings.ReplaceAll(address, wild, value)
		}
		fields := url.Values{}
		for range random.IntN(5) {
			fields.Add(names[random.IntN(len(names))], pick())
		}
		var body []byte
		kind := "application/x-www-form-urlencoded"
		switch random.IntN(6) {
		case 0:
			body, kind = []byte(pick()), "application/json"
		case 1:
			body = []byte(pick()) // no form
		case 2:
			var b bytes.Buffer
			m := multipart.NewWriter(&b)
			for range random.IntN(4) {
				part, err := m.CreateFormFile("files", pick())
				if err != nil {
					t.Fatal(err)
				}
				fmt.Fprint(part, pick())
			}
			m.Close()
			body, kind = b.Bytes(), m.FormDataContentType()
			if random.IntN(3) == 0 {
				body = body[:random.IntN(len(body))]
			}
		default:
			body = []byte(fields.Encode())
		}
		if method == http.MethodGet {
			body, address = nil, address+"?"+fields.Encode()
		}
		told := fmt.Sprintf("request %d: %s %.80q %s %.80q", i, method, address, kind, body)
		target, err := url.ParseRequestURI(address)
		if err != nil {
			continue // no server hears of it
		}
		r := httptest.NewRequest(method, "http://"+host+"/", bytes.NewReader(body))
		r.URL.Path, r.URL.RawPath, r.URL.RawQuery = target.Path, target.RawPath, target.RawQuery
		r.Header = w.head.Clone()
		r.Header.Set("Content-Type", kind)
		out := httptest.NewRecorder()
		begun := time.Now()
		func() {
			defer func() {
				if p := recover(); p != nil {
					t.Errorf("%s: panic: %v", told, p)
				}
			}()
			w.handler.ServeHTTP(out, r)
		}()
		statuses[out.Code]++
		if out.Code >= 500 {
			t.Errorf("%s: status %d: %.300s", told, out.Code, strings.TrimSpace(leadOf(out.Body.String())))
		}
		if s := out.Body.String(); strings.Contains(s, "<script>alert") || strings.Contains(s, "<img src=x") {
			t.Errorf("%s: markup comes back", told)
		}
		if took := time.Since(begun); took > 30*time.Second { // five, and as much again for a machine that does other things
			t.Errorf("%s: it took %v", told, took)
		}
	}
	t.Logf("%d requests; answers by status: %v", *hostileRequests, statuses)
	if statuses[http.StatusOK] == 0 || statuses[http.StatusBadRequest]+statuses[http.StatusUnprocessableEntity]+statuses[http.StatusNotFound] == 0 {
		t.Error("nothing was taken, or nothing refused")
	}
	if w.file("tuesday.csv") != recording {
		t.Error("the recording was changed")
	}
	if list, err := os.ReadDir(above); err != nil || len(list) != 1 {
		t.Errorf("beside the folder there are %v, %v", list, err)
	}
	// What was written is still read: the weeks are shown, and no text is found wrong.
	out := w.ask("/")
	if out.Code != http.StatusOK || strings.Contains(out.Body.String(), "training-log.txt:") {
		t.Errorf("status %d: %.2000s", out.Code, out.Body)
	}
}

// leadOf is what a page of refusal says.
func leadOf(page string) string {
	if _, rest, ok := strings.Cut(page, "<header>"); ok {
		page, _, _ = strings.Cut(rest, "</header>")
	}
	return page
}
