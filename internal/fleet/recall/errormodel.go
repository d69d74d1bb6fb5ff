package recall

import (
	"errors"
	"fmt"
	"math"
	"sort"
	"time"

	"gauged/internal/fleet"
	"gauged/internal/gauge"
)

// ErrorModel says by how much a gauge showed too much at a time, and how well
// that is known (a standard uncertainty). Both are in picometres, not rounded.
type ErrorModel func(t time.Time) (off, sigma float64)

// Constant is an error that was there all the time since it began, such as a
// preset left on; before, there was none. Sigma is in metres.
func Constant(since time.Time, off gauge.Length, sigma float64) (ErrorModel, error) {
	if err := checkSigma(sigma); err != nil {
		return nil, err
	}
	return func(t time.Time) (float64, float64) {
		if t.Before(since) {
			return 0, 0
		}
		return float64(off), sigma * picometres
	}, nil
}

// Growing is an error that grew evenly from nothing at the last good check to
// what was found, such as wear; it is none before and stays after. Sigma, in
// metres, is the standard uncertainty of each of the two checks. Had the gauge
// been dropped instead, the whole error might be as old as the good check:
// compare with Constant.
func Growing(good, found time.Time, off gauge.Length, sigma float64) (ErrorModel, error) {
	if err := checkSigma(sigma); err != nil {
		return nil, err
	}
	if !found.After(good) {
		return nil, errors.New("the check that found the error must be later than the last good check")
	}
	length := float64(found.Sub(good))
	return func(t time.Time) (float64, float64) {
		if t.Before(good) {
			return 0, 0
		}
		f := min(1, float64(t.Sub(good))/length)
		return f * float64(off), sigma * picometres * math.Hypot(1-f, f)
	}, nil
}

// Piecewise is the error as the work itself tells it: see fleet.Track. Between
// points it is a straight line, and so is its uncertainty; outside, the nearest
// point holds. Points must be in order of time. The model keeps a copy.
func Piecewise(points []fleet.Point) (ErrorModel, error) {
	if len(points) == 0 {
		return nil, errors.New("the error has no points")
	}
	for i, p := range points {
		if err := checkSigma(p.Sigma); err != nil {
			return nil, fmt.Errorf("point %d: %w", i, err)
		}
		if math.IsNaN(p.Error) || math.IsInf(p.Error, 0) {
			return nil, fmt.Errorf("point %d: the error is not a finite number", i)
		}
		if i > 0 && p.Time.Before(points[i-1].Time) {
			return nil, fmt.Errorf("point %d is earlier than the one before", i)
		}
	}
	points = append([]fleet.Point(nil), points...)
	return func(t time.Time) (float64, float64) {
		i := sort.Search(len(points), func(i int) bool { return points[i].Time.After(t) })
		if i == 0 || i == len(points) {
			p := points[max(0, i-1)]
			return p.Error * picometres, p.Sigma * picometres
		}
		a, b := points[i-1], points[i]
		f := float64(t.Sub(a.Time)) / float64(b.Time.Sub(a.Time))
		return (a.Error + f*(b.Error-a.Error)) * picometres, (a.Sigma + f*(b.Sigma-a.Sigma)) * picometres
	}, nil
}

// picometres in a metre.
const picometres = 1e12

func checkSigma(sigma float64) error {
	if !(sigma >= 0) || math.IsInf(sigma, 0) {
		return errors.New("the uncertainty of the error must be a finite number that is not negative")
	}
	return nil
}
