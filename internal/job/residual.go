package job

import (
	"fmt"
	"math"
	"slices"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/health/jobs"
)

// How far what a job compares scatters where nothing is stated: standard
// deviations in metres. Common practice, no source.
const (
	usualScatter = 3e-6 // of one reading
	usualPart    = 5e-6 // of the thickness of a part about its nominal one
	usualSeating = 3e-6 // of a unit from assembly to assembly
)

// Residual is what a job says of its gauges: the play that was measured less the
// predicted one. The job need not be evaluated. It reports false when there is no
// such comparison, or when it says nothing of a gauge.
func (j *Job) Residual() (jobs.Residual, bool, error) {
	c, err := newComparison(j)
	if err != nil || c == nil {
		return jobs.Residual{}, false, err
	}
	r := jobs.Residual{Time: j.Spoke, Value: c.difference.Metres()}
	if r.Time.IsZero() {
		r.Time = j.Started
	}
	variance := c.part()*c.part() + usualSeating*usualSeating
	for _, g := range c.groups() {
		k, known, err := c.coefficient(g)
		if err != nil || !known {
			return jobs.Residual{}, false, err
		}
		scatter := c.scatter(g, k)
		variance += scatter * scatter
		if k != 0 && !g.way && j.Gauges[g.measurement] == g.gauge {
			r.Terms = addTerm(r.Terms, jobs.Term{Gauge: g.gauge, Coefficient: k, Uses: g.readings})
		}
	}
	// What a gauge adds to both sides cancels.
	r.Terms = slices.DeleteFunc(r.Terms, func(t jobs.Term) bool { return t.Coefficient == 0 })
	r.Sigma = math.Sqrt(variance)
	return r, len(r.Terms) > 0, nil
}

func addTerm(terms []jobs.Term, t jobs.Term) []jobs.Term {
	for i := range terms {
		if terms[i].Gauge == t.Gauge {
			terms[i].Coefficient += t.Coefficient
			terms[i].Uses += t.Uses
			return terms
		}
	}
	return append(terms, t)
}

// comparison evaluates a job again and again with readings that are a little off.
type comparison struct {
	j          *Job
	procedure  procedure.Procedure
	known      map[string]gauge.Ability // of each measurement
	expansions map[string]gauge.Ability // what the values follow from
	readings   []procedure.Reading
	fitted     *procedure.Fitted
	difference gauge.Length
}

// newComparison returns nil when the job compares nothing.
func newComparison(j *Job) (*comparison, error) {
	if j.Procedure.VerifyPlay == nil || len(j.Fitted) == 0 {
		return nil, nil
	}
	c := &comparison{j: j, procedure: *j.Procedure, readings: j.Counting(), known: map[string]gauge.Ability{}, expansions: map[string]gauge.Ability{}}
	c.procedure.Decide.Simple = true // the verdict is not wanted, and its uncertainty costs most
	for _, steps := range [][]procedure.Step{j.Procedure.Measure, j.Procedure.Verify} {
		for _, step := range steps {
			a, ok := j.Abilities[step.Name]
			if !ok {
				a = j.Procedure.Instruments[step.Instrument]
			}
			c.known[step.Name] = a
			c.expansions[step.Name] = gauge.Ability{Unit: a.Unit, Expansion: a.Expansion}
		}
	}
	e, err := c.evaluate(c.readings)
	if err != nil || e.Verification == nil || e.Verification.Difference == nil {
		return nil, err
	}
	c.difference, c.fitted = *e.Verification.Difference, e.Fitted
	return c, nil
}

func (c *comparison) evaluate(readings []procedure.Reading) (evaluate.Evaluation, error) {
	e, err := evaluate.Evaluate(&c.procedure, c.j.Families, compute.Input{Readings: readings, Fitted: c.j.Fitted, Gauges: c.expansions})
	if err != nil {
		return e, fmt.Errorf("job %d: %w", c.j.ID, err)
	}
	return e, nil
}

// group is the readings of a measurement that share an error: those of one gauge
// or typed ones, and ways between two readings apart, in which it cancels.
type group struct {
	measurement, gauge string
	way                bool
	readings           int
}

func (g group) has(r procedure.Reading) bool {
	return r.Measurement == g.measurement && r.Gauge == g.gauge && (r.From != 0) == g.way
}

// groups lists the groups of readings that count and are lengths.
func (c *comparison) groups() []group {
	var groups []group
	for _, r := range c.readings {
		if r.Discarded != "" || r.Unit.Kind() != gauge.KindLength {
			continue
		}
		i := slices.IndexFunc(groups, func(g group) bool { return g.has(r) })
		if i < 0 {
			i = len(groups)
			groups = append(groups, group{measurement: r.Measurement, gauge: r.Gauge, way: r.From != 0})
		}
		groups[i].readings++
	}
	return groups
}

// coefficient is the change of the difference per change of the readings of a
// group, to three decimals. It is found by moving them by a micrometre, down where
// they cannot be believed when moved up; it is not known when they cannot either
// way.
func (c *comparison) coefficient(g group) (k float64, known bool, err error) {
	for _, step := range []gauge.Length{gauge.Micrometre.Size(), -gauge.Micrometre.Size()} {
		moved := slices.Clone(c.readings)
		for i := range moved {
			if r := &moved[i]; g.has(*r) && r.Discarded == "" {
				r.Value += step
			}
		}
		e, err := c.evaluate(moved)
		if err != nil {
			return 0, false, err
		}
		if v := e.Verification; v != nil && v.Difference != nil {
			k = float64(*v.Difference-c.difference) / float64(step)
			return math.Round(k*1000) / 1000, true, nil
		}
	}
	return 0, false, nil
}

// scatter is the standard deviation that the readings of a group give the
// difference, in metres.
func (c *comparison) scatter(g group, coefficient float64) float64 {
	one := usualScatter
	if a := c.known[g.measurement]; a.Repeats != nil && c.j.Gauges[g.measurement] == g.gauge {
		one = a.Repeats.Deviation.Metres()
	}
	if g.way {
		one *= math.Sqrt2
	}
	step, _, _ := c.procedure.Step(g.measurement)
	switch step.Take {
	case procedure.TakeRange:
		return one * math.Sqrt2 // in which the error cancels, but not the scatter
	case procedure.TakeSmallest, procedure.TakeLargest:
		return math.Abs(coefficient) * one
	}
	return math.Abs(coefficient) * one / math.Sqrt(float64(g.readings))
}

// part is the standard deviation of the thickness that the prediction takes, in
// metres.
func (c *comparison) part() float64 {
	if c.fitted.Measured {
		return usualScatter
	}
	if f := c.j.Families[c.j.Procedure.Parts]; f != nil {
		if g, ok := f.Grade(c.fitted.Part); ok && g.Half() != nil {
			return g.Half().Metres() / math.Sqrt(3) // anywhere within it
		}
	}
	return usualPart
}
