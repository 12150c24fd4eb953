package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// Limits of what a page weighs, in bytes: our own, for phones and for paper.
const (
	mostBytes  = 550_000
	mostPacked = 60_000 // by gzip
	mostPDF    = 1_000_000
)

// TestPageSet opens many pages in a browser: nothing overlaps or is clipped on a phone, a
// tablet, a desk or on A4, texts have contrast in the light and the dark, a phone's first screen
// holds the answer and the top of the picture, a checker of accessibility finds nothing, and
// pages weigh little on the screen and on paper.
// With RUNGS_PICTURES it keeps pictures and PDFs in that folder, RUNGS_PAGE names the page.
func TestPageSet(t *testing.T) {
	if testing.Short() {
		t.Skip("opens many pages in a browser")
	}
	browser(t) // before the pages are made
	checker := accessibilityChecker(t)
	set := pageSet(t)
	if least := 40; len(set) < least {
		t.Errorf("%d pages, want %d", len(set), least)
	}
	// As many tabs as tests run at once.
	tabs := make(chan context.Context, runtime.GOMAXPROCS(0))
	for range cap(tabs) {
		tabs <- openTab(t)
	}
	only := os.Getenv("RUNGS_PAGE")
	for _, s := range set {
		if only != "" && s.name != only {
			continue
		}
		contents := s.page(t)
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			var packed bytes.Buffer
			w := gzip.NewWriter(&packed)
			w.Write(contents)
			w.Close()
			if len(contents) > mostBytes || packed.Len() > mostPacked {
				t.Errorf("it weighs %d bytes, %d packed", len(contents), packed.Len())
			}
			notesHaveColumns(t, contents)
			tab := <-tabs
			defer func() { tabs <- tab }()
			p := openPage(t, tab, "page.html", contents)
			for _, width := range []int64{320, 390, 768, 1280} {
				p.look(t, width, "light", "screen")
				p.shoot(t, s.name+"-"+strconv.FormatInt(width, 10))
				folds := []int{0}
				if width == 390 { // what is folded away too, fold by fold of the tables
					folds = []int{0, 1, 2, 3}
				}
				for _, fold := range folds {
					for _, x := range ask[[]string](t, p, fmt.Sprintf("faults(%d,%v,%d)", width, width < 600, fold)) {
						t.Errorf("at %d px, fold %d: %s", width, fold, x)
					}
				}
				if width == 390 {
					firstScreen(t, p)
				}
			}
			testBarriers(t, p)
			for _, scheme := range []string{"light", "dark"} {
				p.look(t, 1000, scheme, "screen")
				p.shoot(t, s.name+"-"+scheme)
				testContrast(t, p, scheme)
			}
			onPaper(t, p, s.name)
			for _, x := range p.trouble {
				t.Errorf("the page is not quiet: %s", x)
			}
			p.audit(t, checker)
		})
	}
}

// firstScreen holds that a phone of 390 by 844 px shows the answer and the top of the picture
// (or of the first table) at first: at least a tenth of the screen of it.
func firstScreen(t *testing.T, p *openedPage) {
	t.Helper()
	type tops struct{ Answer, Picture float64 }
	at := ask[tops](t, p, `(()=>{const y = e => e ? e.getBoundingClientRect().bottom + scrollY : 0, top = e => e ? e.getBoundingClientRect().top + scrollY : 0;
		const svg = [...document.querySelectorAll('figure svg.chart')].filter(seen)[0] || document.querySelector('table');
		return {Answer: y(document.querySelector('h1')), Picture: top(svg)}})()`)
	if ask[bool](t, p, "document.querySelector('nav.overview') != null") { // whose answers come first
		at.Picture = 0
	}
	if at.Answer > 844 || at.Picture > 0.9*844 {
		t.Errorf("the answer ends at %.0f and the picture begins at %.0f px of 844", at.Answer, at.Picture)
	}
}

// onPaper prints a page on A4: its layout, how many sheets, and how many bytes.
func onPaper(t *testing.T, p *openedPage, name string) {
	t.Helper()
	const within = int64((210 - 2*16) * 960 / 254) // px between the margins of the page
	p.look(t, within, "dark", "print")
	for _, x := range ask[[]string](t, p, fmt.Sprintf("faults(%d,false,1)", within)) {
		t.Errorf("on paper: %s", x)
	}
	yes, no := true, false // tags for those who hear it weigh three times a table of a thousand cells
	pdf := call(t, p, page.PrintToPDF, page.PrintToPDFParams{PreferCSSPageSize: &yes, PrintBackground: &yes, GenerateTaggedPDF: &no}).Data
	if len(pdf) > mostPDF {
		t.Errorf("the PDF takes %d bytes", len(pdf))
	}
	testSheets(t, p, pdf)
	if n := sheets(t, pdf); n > 1 && strings.HasPrefix(name, "explain") {
		t.Errorf("a planned session takes %d sheets, and is to be taken along", n)
	}
	if folder := os.Getenv("RUNGS_PICTURES"); folder != "" {
		if err := os.WriteFile(filepath.Join(folder, name+".pdf"), pdf, 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

// accessibilityChecker is the program of axe-core, which is no part of the project: the file
// that RUNGS_AXE names, else axe.min.js in the folder rungs-tests of the user's cache, where
// .ci/run puts it. Without it the test fails where everything must be tested; elsewhere pages
// are looked at without it.
func accessibilityChecker(t *testing.T) string {
	t.Helper()
	path := os.Getenv("RUNGS_AXE")
	if path == "" {
		cache, err := os.UserCacheDir()
		if err == nil {
			path = filepath.Join(cache, "rungs-tests", "axe.min.js")
		}
	}
	b, err := os.ReadFile(path)
	switch {
	case err == nil:
		return string(b)
	case os.Getenv("CI") == "true" || os.Getenv("RUNGS_AXE") != "":
		t.Fatalf("the checker of accessibility is not here: %v", err)
	}
	t.Logf("without a checker of accessibility: %v", err)
	return ""
}

// audit runs the checker upon the page in both schemes: all its rules on a phone in the light,
// and those that look at colours on a wide screen in the dark, for the others look at elements
// and their names, which the scheme does not change, and the wide layout of a picture is made by
// the same code as the narrow one (barriers looks at both).
func (p *openedPage) audit(t *testing.T, checker string) {
	t.Helper()
	if checker == "" {
		return
	}
	do(t, p, chromedp.Evaluate[json.RawMessage](checker+";0"))
	for _, x := range []struct {
		width           int64
		scheme, options string
	}{{390, "light", "{resultTypes: ['violations']}"}, {1280, "dark", "{resultTypes: ['violations'], runOnly: ['color-contrast', 'link-in-text-block']}"}} {
		p.look(t, x.width, x.scheme, "screen")
		found := do(t, p, chromedp.Evaluate[[]string](`axe.run(document, `+x.options+`).then(r => r.violations.map(v =>
			v.id + ": " + v.help + " at " + v.nodes.slice(0, 3).map(n => n.target.join(" ") + " (" + n.failureSummary + ")").join("; ")))`, chromedp.EvalAwaitPromise))
		for _, f := range found {
			t.Errorf("the checker of accessibility finds, %s: %s", x.scheme, f)
		}
	}
}
