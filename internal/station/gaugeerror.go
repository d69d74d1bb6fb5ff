package station

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/health/recall"
)

// ErrorModel says how an error that was found is thought to have come about.
type ErrorModel string

// The models of an error.
const (
	ErrorConstant ErrorModel = "constant"  // the same all the time
	ErrorGrowing  ErrorModel = "growing"   // evenly from nothing since it was last good
	ErrorFromWork ErrorModel = "from work" // from day to day as the jobs themselves tell it
)

// gaugeError is by how much a gauge showed too much in the course of time.
type gaugeError struct {
	gauge string
	model ErrorModel
	curve recall.Curve      // over what the gauge shows, in its full size; of ErrorFromWork its size at the end
	off   recall.ErrorModel // in the course of time
	since time.Time         // zero: always
	until time.Time         // when it was found; a growing one has its full size then and stays
	ended time.Time         // when the gauge was good again: adjusted, or passed; zero: it was not
	check *check.Record     // that found it; nil: it was given, or is from the work
}

// gaugeError settles what a recall takes off.
func (s *Station) gaugeError(ctx context.Context, r RecallRequest) (gaugeError, error) {
	r.Model = cmp.Or(r.Model, ErrorConstant)
	if err := r.check(); err != nil {
		return gaugeError{}, err
	}
	checks, err := s.Checks(ctx, r.Gauge)
	if err != nil {
		return gaugeError{}, err
	}
	// A zero return says nothing of the rest of the range unless it fails.
	checks = slices.DeleteFunc(checks, func(c *check.Record) bool { return c.Aside() && c.Result.Verdict != check.Fail })
	now := s.o.Now()
	e := gaugeError{gauge: r.Gauge, model: r.Model, since: r.Since, until: now}
	given := r.Error != nil || len(r.Points) > 0
	fromCheck := !given && r.Model != ErrorFromWork
	if len(checks) == 0 && fromCheck {
		return e, fmt.Errorf("%w: gauge %s was never checked against a master: give the error that was found, shown less true", gauge.ErrInput, r.Gauge)
	}
	points, counts := r.points(), now // until when it counts
	if found := finding(checks, r.Since); found >= 0 {
		c := checks[found]
		if r.Since.IsZero() {
			e.since = lastGood(checks[:found+1], !given)
		}
		if ended := goodAgain(checks[found:]); e.since.Before(ended) {
			e.ended, counts = ended, ended
		}
		failed := c.Result.Verdict == check.Fail
		if fromCheck {
			e.check, points = c, errorPoints(c, r.Standard)
		}
		if failed && !c.Time.Before(r.Since) && (r.Model != ErrorFromWork || !e.ended.IsZero()) || fromCheck || e.ended.Equal(c.Time) {
			e.until = c.Time
		}
		if fromCheck && !failed {
			counts = e.until
		}
	}
	if r.Since.After(counts) && e.model != ErrorGrowing { // the growing one says so of all times
		return e, fmt.Errorf("%w: since %s is later than %s, until when the error of gauge %s counts: say an earlier time since when",
			gauge.ErrInput, r.Since.UTC().Format(time.RFC3339), counts.UTC().Format(time.RFC3339), r.Gauge)
	}
	if e.model == ErrorFromWork {
		return s.errorFromWork(ctx, e)
	}
	if e.curve, err = recall.NewCurve(points); err != nil {
		return e, fmt.Errorf("%w: %w", gauge.ErrInput, err)
	}
	return e, e.build()
}

// points are those that are given.
func (r RecallRequest) points() []recall.Point {
	if r.Error == nil {
		return r.Points
	}
	given := recall.Point{Error: *r.Error}
	if r.Standard != nil {
		given.Own = r.Standard.Metres()
	}
	return []recall.Point{given}
}

// errorPoints are the errors that a check found. What the certificates of all masters
// have at least is taken to be common to them, as of one set from one laboratory. A
// standard uncertainty that is given takes the place of that of each point.
func errorPoints(c *check.Record, given *gauge.Length) (points []recall.Point) {
	common := math.Inf(1)
	for _, p := range c.Result.Points {
		_, certified := c.Parted(p)
		common = min(common, certified)
	}
	for _, p := range c.Result.Points {
		point := recall.Point{Name: p.Master, At: p.Mean, Error: p.Error, Own: p.Standard}
		switch {
		case given != nil:
			point.Own = given.Metres()
		case common < p.Standard:
			point.Own, point.Shared = math.Sqrt((p.Standard-common)*(p.Standard+common)), common
		}
		points = append(points, point)
	}
	return points
}

// check refuses what contradicts itself.
func (r RecallRequest) check() error {
	switch {
	case r.Model != ErrorConstant && r.Model != ErrorGrowing && r.Model != ErrorFromWork:
		return fmt.Errorf("%w: %q is no way in which an error comes about", gauge.ErrInput, r.Model)
	case r.Model == ErrorFromWork && (r.Error != nil || r.Standard != nil || len(r.Points) > 0):
		return fmt.Errorf("%w: an error that the jobs tell is not given as well: leave one of them out", gauge.ErrInput)
	case len(r.Points) > 0 && (r.Error != nil || r.Standard != nil):
		return fmt.Errorf("%w: an error at several places has its uncertainty at each of them: leave out the one error and its standard uncertainty", gauge.ErrInput)
	case r.Standard != nil && *r.Standard < 0:
		return fmt.Errorf("%w: the standard uncertainty of the error is not negative", gauge.ErrInput)
	}
	return nil
}

// build makes of the curve the error in the course of time.
func (e *gaugeError) build() error {
	switch {
	case e.model != ErrorGrowing:
		e.off = recall.Constant(time.Time{}, e.curve)
		return nil
	case e.since.IsZero():
		return fmt.Errorf("%w: no check of gauge %s passed before: say since when its error grew", gauge.ErrInput, e.gauge)
	}
	var err error
	if e.off, err = recall.Growing(e.since, e.until, e.curve); err != nil {
		return fmt.Errorf("%w: the error of gauge %s was found on %s and cannot have grown since %s: say an earlier time since when it grew",
			gauge.ErrInput, e.gauge, e.until.UTC().Format(time.RFC3339), e.since.UTC().Format(time.RFC3339))
	}
	return nil
}

// errorFromWork takes what the jobs tell; its size is the one at the end.
func (s *Station) errorFromWork(ctx context.Context, e gaugeError) (gaugeError, error) {
	points, err := s.workTrack(ctx, e.gauge)
	if err != nil {
		return e, err
	}
	if points == nil {
		return e, fmt.Errorf("%w: no job of the last %d days compares gauge %s with another one: give the error that was found, shown less true",
			gauge.ErrInput, keptResiduals/(24*time.Hour), e.gauge)
	}
	if e.off, err = recall.Piecewise(points); err != nil {
		return e, fmt.Errorf("gauge %s: %w", e.gauge, err)
	}
	end := e.until
	if e.ended.Equal(end) {
		end = end.Add(-time.Second) // before it was adjusted
	}
	off := e.off(end, 0)
	e.curve, err = recall.Flat(off.Error, recall.Sigma(off.AddTo(nil, 1))/picometresInMetre)
	return e, err
}

// picometresInMetre is how many there are.
const picometresInMetre = 1e12

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

// lastGood is when the gauge was last known to be good: at the last check that
// passed as found, or after which it went on as good; zero when there was none.
// What the last check led to by an adjustment says nothing of the time before,
// and where the error is not given, it must have been held against a limit to
// count.
func lastGood(checks []*check.Record, notGiven bool) (at time.Time) {
	for i, c := range checks {
		found, last := c.Result.Verdict, i == len(checks)-1
		if found.Good() && !(last && notGiven && found == check.Unlimited) || !last && c.After().Verdict.Good() {
			at = c.Time
		}
	}
	return at
}

// at is the error at a time where the gauge shows so much.
func (e gaugeError) at(t time.Time, shown gauge.Length) recall.Off {
	if !e.ended.IsZero() && !t.Before(e.ended) {
		return recall.Off{}
	}
	return e.off(t, shown)
}

// takenOff is what became of a value.
type takenOff struct {
	value  gauge.Length
	parts  []recall.Part // of the uncertainty of what was taken off
	beyond bool          // a reading lay beyond the masters
}

// takenOff takes the error off a value. The way between two readings keeps what both
// have in common, and is left alone when a time is not known; a reading without a time
// counts as of the start of its job.
func (e gaugeError) takenOff(value gauge.Length, t taken, started time.Time) takenOff {
	if t.from == nil {
		at := t.reading.Time
		if at.IsZero() {
			at = started
		}
		off := e.at(at, t.reading.Value)
		return takenOff{value - off.Error, off.AddTo(nil, 1), off.Beyond}
	}
	if t.reading.Time.IsZero() || t.from.Time.IsZero() {
		return takenOff{value: value}
	}
	then, now := e.at(t.from.Time, t.from.Value), e.at(t.reading.Time, t.reading.Value)
	way, sign := t.reading.Value-now.Error-t.from.Value+then.Error, 1.0
	if way < 0 {
		way, sign = -way, -1
	}
	return takenOff{way, then.AddTo(now.AddTo(nil, sign), -sign), now.Beyond || then.Beyond}
}
