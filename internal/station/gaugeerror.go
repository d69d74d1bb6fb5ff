package station

import (
	"context"
	"fmt"
	"math/big"
	"slices"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/master"
)

// gaugeError is by how much a gauge showed too much in the course of time.
type gaugeError struct {
	gauge   string
	error   gauge.Length
	growing bool      // evenly, from nothing at since to error at until; it stays after
	since   time.Time // zero: always
	until   time.Time
	gone    bool // it was adjusted away at until
}

// gaugeError settles what a recall takes off.
func (s *Station) gaugeError(ctx context.Context, r RecallRequest) (gaugeError, error) {
	checks, err := s.Checks(ctx, r.Gauge)
	if err != nil {
		return gaugeError{}, err
	}
	// A zero return says nothing of the rest of the range unless it fails.
	checks = slices.DeleteFunc(checks, func(c *CheckRecord) bool { return c.Zero && c.Result.Verdict != master.Fail })
	e := gaugeError{gauge: r.Gauge, growing: r.Growing, since: r.Since, until: s.o.Now()}
	if len(checks) == 0 && r.Error == nil {
		return e, fmt.Errorf("%w: gauge %s was never checked against a master: give the error that was found, shown less true", ErrInput, r.Gauge)
	}
	if r.Since.IsZero() {
		e.since = lastGood(checks, r.Error == nil)
	}
	if r.Error != nil {
		e.error = *r.Error
	}
	if len(checks) > 0 {
		last := checks[len(checks)-1]
		if r.Error == nil {
			e.error, e.until = last.Result.Error, last.Time
		}
		if last.Left != nil && e.since.Before(last.Time) {
			e.until, e.gone = last.Time, true
		}
	}
	switch {
	case e.growing && e.since.IsZero():
		return e, fmt.Errorf("%w: no check of gauge %s passed before: say since when its error grew", ErrInput, r.Gauge)
	case e.growing && !e.since.Before(e.until):
		return e, fmt.Errorf("%w: the error of gauge %s was found on %s and cannot have grown since %s: say an earlier time since when it grew",
			ErrInput, r.Gauge, e.until.UTC().Format(time.RFC3339), e.since.UTC().Format(time.RFC3339))
	}
	return e, nil
}

// lastGood is when the gauge was last known to be good: at the last check that
// passed as found, or after which it went on as good; zero when there was none.
// What the last check led to by an adjustment says nothing of the time before,
// and where the error is that of the last check, it must have been held against
// a limit to count.
func lastGood(checks []*CheckRecord, errorOfLast bool) (at time.Time) {
	for i, c := range checks {
		found, last := c.Result.Verdict, i == len(checks)-1
		if passed(found) && !(last && errorOfLast && found == master.Unlimited) || !last && passed(c.after().Verdict) {
			at = c.Time
		}
	}
	return at
}

func passed(v master.Verdict) bool { return v == master.Pass || v == master.Unlimited }

// at is the error at a time.
func (e gaugeError) at(t time.Time) gauge.Length {
	switch {
	case e.gone && !t.Before(e.until):
		return 0
	case !e.growing:
		return e.error
	case !t.After(e.since):
		return 0
	case !t.Before(e.until):
		return e.error
	}
	return share(e.error, t.Sub(e.since), e.until.Sub(e.since))
}

// takenOff returns a value without the error. The way between two readings keeps
// what both have in common, and is left alone when a time is not known; a reading
// without a time counts as of the start of its job.
func (e gaugeError) takenOff(value gauge.Length, t taken, started time.Time) gauge.Length {
	if t.from == nil {
		at := t.reading.Time
		if at.IsZero() {
			at = started
		}
		return value - e.at(at)
	}
	if t.reading.Time.IsZero() || t.from.Time.IsZero() {
		return value
	}
	return (t.reading.Value - e.at(t.reading.Time) - t.from.Value + e.at(t.from.Time)).Abs()
}

// share is the part of a length that a time has of a whole time, rounded once to
// a picometre, half to even.
func share(l gauge.Length, part, whole time.Duration) gauge.Length {
	product := new(big.Int).Mul(big.NewInt(int64(l)), big.NewInt(int64(part)))
	quotient, rest := new(big.Int).DivMod(product, big.NewInt(int64(whole)), new(big.Int)) // rest is not negative
	down := quotient.Int64()
	switch rest.Lsh(rest, 1).Cmp(big.NewInt(int64(whole))) {
	case 1:
		down++
	case 0:
		down += down & 1
	}
	return gauge.Length(down)
}
