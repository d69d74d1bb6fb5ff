package recall

import (
	"cmp"
	"math"
	"slices"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/health/jobs"
)

// Course says how an error that was found is thought to have come about.
type Course string

// The courses of an error.
const (
	CourseConstant Course = "constant"  // the same all the time
	CourseGrowing  Course = "growing"   // evenly from nothing since it was last good
	CourseFromWork Course = "from work" // from day to day as the jobs themselves tell it
)

// GaugeError is by how much a gauge showed too much in the course of time.
type GaugeError struct {
	Gauge string
	Model Course
	Since time.Time // zero: always
	Until time.Time // when it was found; a growing one has its full size then and stays
	Ended time.Time // when the gauge was good again: adjusted, or passed; zero: it was not

	curve Curve         // over what the gauge shows, in its full size; of CourseFromWork its size at the end
	off   ErrorModel    // in the course of time
	check *check.Record // that found it; nil: it was given, or is from the work
}

// Known is what is known of the gauge when a recall is settled.
type Known struct {
	Now    time.Time
	Checks func() ([]*check.Record, error) // that count, oldest first
	// Work is the error of the gauge in the course of time as the jobs tell it; nil when
	// no job of the last jobs.Kept compares it with another one.
	Work func() ([]jobs.Point, error)
}

// Settle settles what a recall takes off. Errors are of gauge's kinds.
func (r Request) Settle(known Known) (GaugeError, error) {
	r.Model = cmp.Or(r.Model, CourseConstant)
	if err := r.check(); err != nil {
		return GaugeError{}, err
	}
	checks, err := known.Checks()
	if err != nil {
		return GaugeError{}, err
	}
	// A zero return says nothing of the rest of the range unless it fails.
	checks = slices.DeleteFunc(checks, func(c *check.Record) bool { return c.Aside() && c.Result.Verdict != check.Fail })
	e := GaugeError{Gauge: r.Gauge, Model: r.Model, Since: r.Since, Until: known.Now}
	given := r.Error != nil || len(r.Points) > 0
	fromCheck := !given && r.Model != CourseFromWork
	if len(checks) == 0 && fromCheck {
		return e, gauge.WrongInput("refusal.recall.never-checked", gauge.Text("gauge", r.Gauge))
	}
	points, counts := r.points(), known.Now // until when it counts
	if found := finding(checks, r.Since); found >= 0 {
		c := checks[found]
		if r.Since.IsZero() {
			e.Since = lastGood(checks[:found+1], !given)
		}
		if ended := goodAgain(checks[found:]); e.Since.Before(ended) {
			e.Ended, counts = ended, ended
		}
		failed := c.Result.Verdict == check.Fail
		if fromCheck {
			e.check, points = c, errorPoints(c, r.Standard)
		}
		if failed && !c.Time.Before(r.Since) && (r.Model != CourseFromWork || !e.Ended.IsZero()) || fromCheck || e.Ended.Equal(c.Time) {
			e.Until = c.Time
		}
		if fromCheck && !failed {
			counts = e.Until
		}
	}
	if r.Since.After(counts) && e.Model != CourseGrowing { // the growing one says so of all times
		return e, gauge.WrongInput("refusal.recall.since-too-late", gauge.Moment("since", r.Since), gauge.Moment("until", counts), gauge.Text("gauge", r.Gauge))
	}
	if e.Model == CourseFromWork {
		return e.fromWork(known)
	}
	if e.curve, err = NewCurve(points); err != nil {
		return e, gauge.WrongInput("refusal.recall.error", gauge.Because("why", err))
	}
	return e, e.build()
}

// points are those that are given.
func (r Request) points() []Point {
	if r.Error == nil {
		return r.Points
	}
	given := Point{Error: *r.Error}
	if r.Standard != nil {
		given.Own = r.Standard.Metres()
	}
	return []Point{given}
}

// errorPoints are the errors that a check found. What the certificates of all masters
// have at least is taken to be common to them, as of one set from one laboratory. A
// standard uncertainty that is given takes the place of that of each point.
func errorPoints(c *check.Record, given *gauge.Length) (points []Point) {
	common := math.Inf(1)
	for _, p := range c.Result.Points {
		_, certified := c.Parted(p)
		common = min(common, certified)
	}
	for _, p := range c.Result.Points {
		point := Point{Name: p.Master, At: p.Mean, Error: p.Error, Own: p.Standard}
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
func (r Request) check() error {
	switch {
	case r.Model != CourseConstant && r.Model != CourseGrowing && r.Model != CourseFromWork:
		return gauge.WrongInput("refusal.recall.model", gauge.Text("model", string(r.Model)))
	case r.Model == CourseFromWork && (r.Error != nil || r.Standard != nil || len(r.Points) > 0):
		return gauge.WrongInput("refusal.recall.from-work-and-given")
	case len(r.Points) > 0 && (r.Error != nil || r.Standard != nil):
		return gauge.WrongInput("refusal.recall.points-and-one")
	case r.Standard != nil && *r.Standard < 0:
		return gauge.WrongInput("refusal.recall.negative")
	}
	return nil
}

// build makes of the curve the error in the course of time.
func (e *GaugeError) build() error {
	switch {
	case e.Model != CourseGrowing:
		e.off = Constant(time.Time{}, e.curve)
		return nil
	case e.Since.IsZero():
		return gauge.WrongInput("refusal.recall.since-when", gauge.Text("gauge", e.Gauge))
	}
	var err error
	if e.off, err = Growing(e.Since, e.Until, e.curve); err != nil {
		return gauge.WrongInput("refusal.recall.cannot-have-grown", gauge.Text("gauge", e.Gauge), gauge.Moment("found", e.Until), gauge.Moment("since", e.Since))
	}
	return nil
}

// fromWork takes what the jobs tell; its size is the one at the end.
func (e GaugeError) fromWork(known Known) (GaugeError, error) {
	points, err := known.Work()
	if err != nil {
		return e, err
	}
	if points == nil {
		return e, gauge.WrongInput("refusal.recall.no-job-compares", gauge.Count("days", int(jobs.Kept/(24*time.Hour))), gauge.Text("gauge", e.Gauge))
	}
	if e.off, err = Piecewise(points); err != nil {
		return e, gauge.At(err, "refusal.recall.at-gauge", gauge.Text("gauge", e.Gauge))
	}
	end := e.Until
	if e.Ended.Equal(end) {
		end = end.Add(-time.Second) // before it was adjusted
	}
	off := e.off(end, 0)
	e.curve, err = Flat(off.Error, Sigma(off.AddTo(nil, 1))/picometres)
	return e, err
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

// At is the error at a time where the gauge shows so much.
func (e GaugeError) At(t time.Time, shown gauge.Length) Off {
	if !e.Ended.IsZero() && !t.Before(e.Ended) {
		return Off{}
	}
	return e.off(t, shown)
}

// takenOff is what became of a value.
type takenOff struct {
	value  gauge.Length
	parts  []Part // of the uncertainty of what was taken off
	beyond bool   // a reading lay beyond the masters
}

// takenOff takes the error off a value. The way between two readings keeps what both
// have in common, and is left alone when a time is not known; a reading without a time
// counts as of the start of its job.
func (e GaugeError) takenOff(value gauge.Length, reading, from *gauge.Reading, started time.Time) takenOff {
	if from == nil {
		at := reading.Time
		if at.IsZero() {
			at = started
		}
		off := e.At(at, reading.Value)
		return takenOff{value - off.Error, off.AddTo(nil, 1), off.Beyond}
	}
	if reading.Time.IsZero() || from.Time.IsZero() {
		return takenOff{value: value}
	}
	then, now := e.At(from.Time, from.Value), e.At(reading.Time, reading.Value)
	way, sign := reading.Value-now.Error-from.Value+then.Error, 1.0
	if way < 0 {
		way, sign = -way, -1
	}
	return takenOff{way, then.AddTo(now.AddTo(nil, sign), -sign), now.Beyond || then.Beyond}
}
