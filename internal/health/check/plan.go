package check

import (
	"time"

	"gauged/internal/gauge"
)

// Plan is when and how a gauge is checked.
type Plan struct {
	Every    time.Duration // calendar time from check to check; 0: no term
	Masters  []string      // at which masters; with none the check is free in that
	Repeats  int           // readings at each
	BothWays bool          // approached from below and from above
	Blocks   bool          // a check that is due keeps the gauge out of new jobs; else they are warned

	BeforeEach   bool          // a new job wants a check since the last job that used the gauge
	BeforeWithin time.Duration // a new job wants a check not older than this; 0: it does not
	AfterEach    bool          // a check is due after each job
	ZeroWithin   *gauge.Length // how near to zero, either way, a reading after a job is a zero return; nil: none is
}
