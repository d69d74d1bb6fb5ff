package recall

import (
	"slices"
	"time"

	"gauged/internal/health/check"
)

// finding is the check that found the error, of checks in their order: of those since a
// time the newest that failed. Of several that failed one after the other it is the first,
// which met the gauge as the work had it; one that can only fail the gauge gives way to
// a whole one. Where none failed it is the last; -1 without checks.
func finding(checks []*check.Record, since time.Time) int {
	found := -1
	for i, c := range slices.Backward(checks) {
		if c.Time.Before(since) || found >= 0 && goesOnGood(c) {
			break
		}
		if c.Result.Verdict == check.Fail && (found < 0 || !c.Aside() || checks[found].Aside()) {
			found = i
		}
	}
	if found < 0 {
		return len(checks) - 1
	}
	return found
}

// goesOnGood reports whether the gauge was good as found, or as it went on.
func goesOnGood(c *check.Record) bool { return c.Result.Verdict.Good() || c.After().Verdict.Good() }

// goodAgain is when the error was gone that the first of the checks found: when the gauge
// was adjusted then, or by the next check after which it was good; zero: it is not.
func goodAgain(checks []*check.Record) (at time.Time) {
	if left := checks[0].Left; left != nil && left.Verdict != check.Fail {
		return checks[0].Time
	}
	if i := slices.IndexFunc(checks[1:], goesOnGood); i >= 0 {
		return checks[1:][i].Time
	}
	return at
}
