package report

import (
	"encoding/json"
	"strings"
	"testing"
)

// What a terminal would obey or hide is escaped, and read back as it was.
func TestJSONShowsWhatIsUnseen(t *testing.T) {
	given := "a\u009b\u202e\u200b\u2066\x7f\U000e0001\u00e9\u4e2d\x1b"
	b, err := marshal(Object{{Key: given, Value: given}})
	if err != nil {
		t.Fatal(err)
	}
	if strings.ContainsAny(string(b), "\u009b\u202e\u200b\u2066\x7f\U000e0001\x1b") || !strings.Contains(string(b), "\u00e9\u4e2d") {
		t.Errorf("%q", b)
	}
	var got map[string]string
	if err := json.Unmarshal(b, &got); err != nil || got[given] != given {
		t.Errorf("%q, %v", got, err)
	}
}
