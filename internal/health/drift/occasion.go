package drift

import (
	"math"
	"slices"
	"time"

	"gauged/internal/uncertainty"
)

// OccasionLasts is how long after its first check an occasion takes in further
// ones. A gauge that is checked again an hour later has not drifted meanwhile; what
// differs is scatter. The number is ours.
const OccasionLasts = 12 * time.Hour

// occasion is the checks of one point in time, taken for one check.
type occasion struct {
	Check
	first, last int // numbers of the checks, from 1
	scatter     uncertainty.Scatter
	checks      []Check
}

// occasionsOf puts checks together that are no further than lasts from the first of
// them. An adjustment ends an occasion: what comes after it is of another level.
func occasionsOf(checks []Check, lasts time.Duration) (all []occasion) {
	for i := 0; i < len(checks); {
		end := i + 1
		for end < len(checks) && !checks[end-1].Changed() && checks[end].Time.Sub(checks[i].Time) <= lasts {
			end++
		}
		o := together(checks[i:end])
		o.first, o.last, o.checks = i+1, end, checks[i:end]
		all = append(all, o)
		i = end
	}
	return all
}

// together is what the checks of an occasion are as one: at the time of the first,
// their mean error. Its uncertainty, where each has one, is that of a single check, or what
// they scatter by where that is more: what varies from day to day is in it and the same in
// all of them, so that their number does not make it smaller. The newest verdict that
// decides stands.
func together(checks []Check) occasion {
	last := checks[len(checks)-1]
	o := occasion{Check: checks[0]}
	o.Left, o.Adjusted, o.Uses, o.Verdict = last.Left, last.Adjusted, last.Uses, newestVerdict(checks)
	if len(checks) == 1 {
		return o
	}
	n := float64(len(checks))
	var errors []float64
	squares, stated := 0.0, allStated(checks)
	var within []uncertainty.Scatter
	for _, c := range checks {
		errors = append(errors, c.Found-checks[0].Found)
		squares += square(c.Uncertainty)
		o.Shared, o.Aside = max(o.Shared, c.Shared), o.Aside && c.Aside
		if c.Repeats > 1 {
			within = append(within, uncertainty.Scatter{SD: c.Spread, DoF: c.Repeats - 1})
		}
	}
	mean, _ := uncertainty.MeanStdDev(errors)
	o.scatter = uncertainty.ScatterOf(errors)
	o.Found = checks[0].Found + mean
	o.Uncertainty = 0
	if stated {
		o.Uncertainty = max(math.Sqrt(squares/n), o.scatter.SD/math.Sqrt(n))
	}
	pooled := uncertainty.Pool(within...)
	o.Spread, o.Repeats = pooled.SD, 0
	if pooled.DoF > 0 {
		o.Repeats = pooled.DoF + 1
	}
	return o
}

// worst is the check that failed, else the one of all, with the largest error as found.
func (o occasion) worst(by Options) (worst Check) {
	worst = o.checks[0]
	for _, c := range o.checks[1:] {
		if failed := c.fails(by); failed && !worst.fails(by) || failed == worst.fails(by) && by.size(c.Found) > by.size(worst.Found) {
			worst = c
		}
	}
	return worst
}

// failed says that one of its checks failed, also where a later one passed.
func (o occasion) failed(by Options) bool { return o.worst(by).fails(by) }

// newestVerdict is that of the newest check that decides: one that failed or passed. A
// zero return that passes decides nothing. Without any it is that of the last check that
// says something.
func newestVerdict(checks []Check) (verdict Verdict) {
	for _, c := range slices.Backward(checks) {
		switch {
		case c.Verdict == Failed, c.Verdict == Passed && !c.Aside:
			return c.Verdict
		case verdict == "":
			verdict = c.Verdict
		}
	}
	return verdict
}

// checksOf are the occasions, each as one check.
func checksOf(all []occasion) (checks []Check) {
	for _, o := range all {
		checks = append(checks, o.Check)
	}
	return checks
}

// Repeated is what the checks of one occasion say of their scatter.
type Repeated struct {
	SD  float64 `json:"sd"` // pooled over the occasions
	DoF int     `json:"degrees_of_freedom"`
}

// repeatedIn pools the scatter within occasions; nil where none has two checks.
func repeatedIn(all []occasion) *Repeated {
	var within []uncertainty.Scatter
	for _, o := range all {
		within = append(within, o.scatter)
	}
	if p := uncertainty.Pool(within...); p.DoF > 0 {
		return &Repeated{p.SD, p.DoF}
	}
	return nil
}
