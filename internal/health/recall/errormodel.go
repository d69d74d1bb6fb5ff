package recall

import (
	"math"
	"sort"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/jobs"
)

// ErrorModel says by how much a gauge showed too much at a time where it showed so
// much.
type ErrorModel func(t time.Time, shown gauge.Length) Off

// Constant is an error that was there all the time since it began, such as a
// preset left on; before, there was none.
func Constant(since time.Time, c Curve) ErrorModel {
	return func(t time.Time, shown gauge.Length) Off {
		if t.Before(since) {
			return Off{}
		}
		return c.At(shown)
	}
}

// Growing is an error that grew evenly, at each reading, from nothing at the last good
// check to what was found, such as wear; it is none before and stays after. The parts
// of the uncertainty that points have for themselves are those of each of the two checks;
// what all points share is the same in both. Had the gauge been dropped instead, the
// whole error might be as old as the good check: compare with Constant.
func Growing(good, found time.Time, c Curve) (ErrorModel, error) {
	if !found.After(good) {
		return nil, gauge.WrongInput("refusal.recall.found-before-good")
	}
	length := found.Sub(good)
	return func(t time.Time, shown gauge.Length) Off {
		passed := t.Sub(good)
		switch {
		case passed < 0:
			return Off{}
		case passed >= length:
			return c.At(shown)
		}
		off := c.At(shown)
		off.Error = Share(off.Error, int64(passed), int64(length))
		f := float64(passed) / float64(length)
		for i := range off.parts[:off.many] {
			if p := &off.parts[i]; p.Number != shared {
				p.Sigma *= math.Hypot(1-f, f)
			}
		}
		return off
	}, nil
}

// Piecewise is the error as the work itself tells it: see jobs.Track. It is the same
// at every reading. Between points it is a straight line, and so is its uncertainty;
// outside, the nearest point holds. Points must be in order of time. The model keeps a copy.
func Piecewise(points []jobs.Point) (ErrorModel, error) {
	if len(points) == 0 {
		return nil, noPoints()
	}
	for i, p := range points {
		if err := checkSigma(p.Sigma); err != nil {
			return nil, atPoint(i, err)
		}
		if math.IsNaN(p.Error) || math.IsInf(p.Error, 0) {
			return nil, atPoint(i, gauge.WrongInput("refusal.recall.no-number"))
		}
		if i > 0 && p.Time.Before(points[i-1].Time) {
			return nil, atPoint(i, gauge.WrongInput("refusal.recall.points-order"))
		}
	}
	points = append([]jobs.Point(nil), points...)
	of := func(off, sigma float64) Off {
		o := Off{Error: gauge.Length(math.RoundToEven(off * picometres))}
		o.add(1, sigma)
		return o
	}
	return func(t time.Time, _ gauge.Length) Off {
		i := sort.Search(len(points), func(i int) bool { return points[i].Time.After(t) })
		if i == 0 || i == len(points) {
			p := points[max(0, i-1)]
			return of(p.Error, p.Sigma)
		}
		a, b := points[i-1], points[i]
		f := float64(t.Sub(a.Time)) / float64(b.Time.Sub(a.Time))
		return of(a.Error+f*(b.Error-a.Error), a.Sigma+f*(b.Sigma-a.Sigma))
	}, nil
}

// picometres in a metre.
const picometres = 1e12

func checkSigma(sigma float64) error {
	if !(sigma >= 0) || math.IsInf(sigma, 0) {
		return gauge.WrongInput("refusal.recall.sigma")
	}
	return nil
}

func noPoints() error { return gauge.WrongInput("refusal.recall.no-points") }

// atPoint says which point of an error an error is about: the index is from 0.
func atPoint(index int, err error) error {
	return gauge.At(err, "refusal.recall.at-point", gauge.Count("point", index+1))
}
