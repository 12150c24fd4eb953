package session

import "example.org/rungs/segment/recording"

// Options say what a report needs beyond the result.
type Options struct {
	Miles        bool                // the athlete counts in miles; a plan that counts otherwise wins
	RecordedPlan bool                // the plan was stored in the recording by the device
	Warnings     []recording.Warning // about the plan
	Method       bool                // name the methods behind the findings in the notes
	Page         bool                // make what only a page shows, Report.Front, as well
}
