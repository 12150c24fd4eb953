package block

import (
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// Days and weeks by the runner's clock. Offsets and changes of the clocks are
// those of the IANA time zone database; ISO 8601 numbers the weeks.
func TestCalendar(t *testing.T) {
	c := calendar(t, "Europe/Berlin, 2026-02-16 America/New_York,2026-04-06 Europe/Berlin")
	at := func(s string) time.Time {
		x, err := time.Parse(time.RFC3339, s)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	for _, x := range []struct{ moment, day, week string }{
		{"2026-01-04T22:59:59Z", "2026-01-04", "2026-W01"}, // a Sunday, 23:59:59 in Berlin
		{"2026-01-04T23:00:00Z", "2026-01-05", "2026-W02"},
		{"2025-12-31T22:30:00Z", "2025-12-31", "2026-W01"}, // ISO 8601: the week of the year's first Thursday
		{"2026-02-15T23:30:00Z", "2026-02-16", "2026-W08"}, // Berlin; in New York the move is not there yet
		{"2026-02-16T04:59:59Z", "2026-02-16", "2026-W08"}, // still by Berlin's clock
		{"2026-02-16T05:00:00Z", "2026-02-16", "2026-W08"}, // midnight in New York
		{"2026-02-23T04:59:59Z", "2026-02-22", "2026-W08"}, // UTC-5
		{"2026-02-23T05:00:00Z", "2026-02-23", "2026-W09"},
		{"2026-03-09T03:59:59Z", "2026-03-08", "2026-W10"}, // UTC-4 since that morning
		{"2026-03-09T04:00:00Z", "2026-03-09", "2026-W11"},
		{"2026-04-05T21:59:59Z", "2026-04-05", "2026-W14"}, // New York, 17:59:59
		{"2026-04-05T22:00:00Z", "2026-04-06", "2026-W15"}, // midnight in Berlin, by summer time
		{"2026-10-25T22:59:59Z", "2026-10-25", "2026-W43"}, // winter time since that morning
		{"2026-10-25T23:00:00Z", "2026-10-26", "2026-W44"},
		{"2027-01-03T12:00:00Z", "2027-01-03", "2026-W53"},
	} {
		day := c.Day(at(x.moment))
		if got := day.Format(time.DateOnly); got != x.day {
			t.Errorf("%s is %s, want %s", x.moment, got, x.day)
		}
		if got := c.WeekName(c.Week(day)); got != x.week {
			t.Errorf("%s is in %s, want %s", x.moment, got, x.week)
		}
	}
	if got := c.String(); got != "Europe/Berlin, 2026-02-16 America/New_York, 2026-04-06 Europe/Berlin" {
		t.Errorf("prints as %q", got)
	}
	c.FirstDay = time.Sunday
	if got := c.WeekName(c.Week(c.Day(at("2026-09-12T12:00:00Z")))); got != "2026-09-06" {
		t.Errorf("a Saturday is in the week of Sunday %s", got)
	}
	if got := (Calendar{}).Day(at("2026-09-12T23:59:59Z")).Format(time.DateOnly); got != "2026-09-12" {
		t.Errorf("without a zone it is %s", got)
	}
}

func TestCalendarMistakes(t *testing.T) {
	for text, want := range map[string]string{
		"":                                    `"" is no time zone; write one`,
		"Mars/Olympus":                        `"Mars/Olympus" is no time zone; they have names`,
		"UTC, UTC":                            `"UTC" is no move; write a date and a time zone`,
		"UTC, tomorrow UTC":                   `"tomorrow" is no date`,
		"UTC, 2026-02-30 UTC":                 `"2026-02-30" is no date`,
		"UTC, 2026-02-03 Nowhere":             `"Nowhere" is no time zone`,
		"UTC, 2026-02-03 UTC, 2026-02-03 UTC": "not in the order of their dates",
		"../../etc/passwd":                    "is no time zone",
	} {
		if _, err := ParseCalendar(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}

// A week begins on its first day, at most six days before each of its days; the
// name of a week from Monday on is time.ISOWeek's.
func TestWeekProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := Calendar{FirstDay: time.Weekday(rapid.IntRange(0, 6).Draw(t, "first day"))}
		day := time.Date(1990, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, rapid.IntRange(0, 40000).Draw(t, "day"))
		start := c.Week(day)
		if start.Weekday() != c.FirstDay || start.After(day) || day.Sub(start) > 6*24*time.Hour {
			t.Fatalf("%s is in the week of %s", day, start)
		}
	})
}

func TestParseWeekday(t *testing.T) {
	for text, want := range map[string]time.Weekday{"mon": time.Monday, "Monday": time.Monday, "THU": time.Thursday, "sund": time.Sunday} {
		if d, ok := ParseWeekday(text); !ok || d != want {
			t.Errorf("%q is %v %v", text, d, ok)
		}
	}
	for _, text := range []string{"", "mo", "mondayy", "tus", "day"} {
		if d, ok := ParseWeekday(text); ok {
			t.Errorf("%q is %v", text, d)
		}
	}
}
