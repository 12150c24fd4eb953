// Package hostile has names that would do harm to a report, for tests.
package hostile

import "strings"

// Names are names that would do harm if they were taken for anything but
// text: markup, quotes, formulas of spreadsheets, escapes of terminals, marks
// that turn the direction of writing, and sheer length.
var Names = []string{
	`<script>alert("x")</script>`,
	`"><img src=x onerror=alert(1)>`,
	`</title></style></svg><script>alert(1)</script>`,
	`<!-- -->`, `]]>`, `&lt;b&gt; &amp;`, `{{.}} ${x}`, `javascript:alert(1)`,
	`it's "quoted" and 'quoted'`,
	"`code` **bold** _em_ ~~gone~~ [link](http://example.org) ![image](x) | bar \\| bar \\\\| bar",
	"# heading", "- item", "1. item", "---", "> quote", "[ ] task", "http://example.org", "www.example.org/a|b",
	`=HYPERLINK("http://example.org";"x")`, `+1+1`, `-1+1`, `@SUM(A1)`, ` =1+1`, `a;=1+1`, "\t=1+1", `＝1+1`,
	"\x1b[31mred\x1b[0m \x1b]0;title\x07", "two\nlines\r\nand\rmore", "null\x00byte", "bad\xff\xfeutf-8",
	"evil\u202egpj.fit", "\u2066isolated\u2069 \u200eleft \u200fright \u061c", "\ufeffmark", "zero\u200bwidth\u200djoined",
	"line\u2028separator\u2029paragraph\u0085next",
	"走る 🏃 Läufe", strings.Repeat("x", 10_000), strings.Repeat("| a ", 2_500), strings.Repeat("走", 3_400),
}
