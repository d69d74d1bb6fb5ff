package station

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"math/big"
	"slices"
	"time"

	"gauged/internal/fleet/recall"
	"gauged/internal/gauge"
	"gauged/internal/master"
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
	gauge    string
	model    ErrorModel
	error    gauge.Length
	standard gauge.Length      // standard uncertainty of error
	since    time.Time         // zero: always
	until    time.Time         // when it was found; a growing one has its full size then and stays
	gone     bool              // it was adjusted away at until
	work     recall.ErrorModel // of ErrorFromWork
	check    *CheckRecord      // that found it; nil: it was given, or is from the work
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
	checks = slices.DeleteFunc(checks, func(c *CheckRecord) bool { return c.Zero && c.Result.Verdict != master.Fail })
	e := gaugeError{gauge: r.Gauge, model: r.Model, since: r.Since, until: s.o.Now()}
	fromCheck := r.Error == nil && r.Model != ErrorFromWork
	if len(checks) == 0 && fromCheck {
		return e, fmt.Errorf("%w: gauge %s was never checked against a master: give the error that was found, shown less true", ErrInput, r.Gauge)
	}
	if r.Since.IsZero() {
		e.since = lastGood(checks, r.Error == nil)
	}
	if r.Error != nil {
		e.error = *r.Error
	}
	if r.Standard != nil {
		e.standard = *r.Standard
	}
	if len(checks) > 0 {
		e.checked(checks[len(checks)-1], fromCheck, r.Standard == nil)
	}
	if e.model == ErrorFromWork {
		return s.errorFromWork(ctx, e)
	}
	return e, e.canGrow()
}

// check refuses what contradicts itself.
func (r RecallRequest) check() error {
	switch {
	case r.Model != ErrorConstant && r.Model != ErrorGrowing && r.Model != ErrorFromWork:
		return fmt.Errorf("%w: %q is no way in which an error comes about", ErrInput, r.Model)
	case r.Model == ErrorFromWork && (r.Error != nil || r.Standard != nil):
		return fmt.Errorf("%w: an error that the jobs tell is not given as well: leave one of them out", ErrInput)
	case r.Standard != nil && *r.Standard < 0:
		return fmt.Errorf("%w: the standard uncertainty of the error is not negative", ErrInput)
	}
	return nil
}

// checked takes up the last check: it may say the error and how well that is
// known, and an adjustment ended it.
func (e *gaugeError) checked(last *CheckRecord, errorOfLast, standardOfLast bool) {
	if errorOfLast {
		e.error, e.until, e.check = last.Result.Error, last.Time, last
		if standardOfLast {
			e.standard = picometres(last.Result.Standard)
		}
	}
	if last.Left != nil && e.since.Before(last.Time) {
		e.until, e.gone = last.Time, true
	}
}

func (e *gaugeError) canGrow() error {
	switch {
	case e.model != ErrorGrowing:
		return nil
	case e.since.IsZero():
		return fmt.Errorf("%w: no check of gauge %s passed before: say since when its error grew", ErrInput, e.gauge)
	case !e.since.Before(e.until):
		return fmt.Errorf("%w: the error of gauge %s was found on %s and cannot have grown since %s: say an earlier time since when it grew",
			ErrInput, e.gauge, e.until.UTC().Format(time.RFC3339), e.since.UTC().Format(time.RFC3339))
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
			ErrInput, keptResiduals/(24*time.Hour), e.gauge)
	}
	if e.work, err = recall.Piecewise(points); err != nil {
		return e, fmt.Errorf("gauge %s: %w", e.gauge, err)
	}
	end := e.until
	if e.gone {
		end = end.Add(-time.Second) // before it was adjusted
	}
	e.error, e.standard = e.workAt(end)
	return e, nil
}

func (e gaugeError) workAt(t time.Time) (off, standard gauge.Length) {
	o, s := e.work(t)
	return gauge.Length(math.RoundToEven(o)), gauge.Length(math.RoundToEven(s))
}

// picometres rounds metres.
func picometres(metres float64) gauge.Length { return gauge.Length(math.RoundToEven(metres * 1e12)) }

// lastGood is when the gauge was last known to be good: at the last check that
// passed as found, or after which it went on as good; zero when there was none.
// What the last check led to by an adjustment says nothing of the time before,
// and where the error is not given, it must have been held against a limit to
// count.
func lastGood(checks []*CheckRecord, notGiven bool) (at time.Time) {
	for i, c := range checks {
		found, last := c.Result.Verdict, i == len(checks)-1
		if passed(found) && !(last && notGiven && found == master.Unlimited) || !last && passed(c.after().Verdict) {
			at = c.Time
		}
	}
	return at
}

func passed(v master.Verdict) bool { return v == master.Pass || v == master.Unlimited }

// at is the error at a time, and its standard uncertainty. That of a growing one
// is of two checks that are known equally well.
func (e gaugeError) at(t time.Time) (off, standard gauge.Length) {
	switch {
	case e.gone && !t.Before(e.until):
		return 0, 0
	case e.model == ErrorFromWork:
		return e.workAt(t)
	case e.model != ErrorGrowing || !t.Before(e.until):
		return e.error, e.standard
	case !t.After(e.since):
		return 0, e.standard
	}
	part, whole := t.Sub(e.since), e.until.Sub(e.since)
	f := float64(part) / float64(whole)
	return share(e.error, part, whole), gauge.Length(math.RoundToEven(float64(e.standard) * math.Hypot(1-f, f)))
}

// takenOff returns a value without the error, and the standard uncertainty of
// what was taken off. The way between two readings keeps what both have in common,
// and is left alone when a time is not known; a reading without a time counts as
// of the start of its job.
func (e gaugeError) takenOff(value gauge.Length, t taken, started time.Time) (without, standard gauge.Length) {
	if t.from == nil {
		at := t.reading.Time
		if at.IsZero() {
			at = started
		}
		off, standard := e.at(at)
		return value - off, standard
	}
	if t.reading.Time.IsZero() || t.from.Time.IsZero() {
		return value, 0
	}
	then, sThen := e.at(t.from.Time)
	now, sNow := e.at(t.reading.Time)
	return (t.reading.Value - now - t.from.Value + then).Abs(), (sNow - sThen).Abs()
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
