package main

import (
	"github.com/spf13/pflag"

	"example.org/rungs/segment"
	"example.org/rungs/workouts/block"
)

// zoneFlag declares --time-zone.
func zoneFlag(fs *pflag.FlagSet) *string {
	return fs.String("time-zone", "Local", "the runner's time `ZONE`, such as Europe/Berlin; for a runner on the move\n\"Europe/Berlin, 2026-10-20 America/New_York\"; the machine's when not given")
}

// readZone reads what was given to --time-zone of a command. Trouble is said already
// when the status is not exitFine.
func (e *env) readZone(command, zone string) (block.Calendar, int) {
	c, err := block.ParseCalendar(zone)
	if err != nil {
		return c, e.misuse("%s: --time-zone: %v", command, err)
	}
	return c, exitFine
}

// inZone tells the start of a session by the runner's clock.
func inZone(s *segment.Session, c block.Calendar) {
	if start := s.Recording.Start; !start.IsZero() {
		s.Recording.Start = c.Local(start)
	}
}
