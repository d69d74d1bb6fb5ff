package station

import (
	"context"
	"fmt"
	"math"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/job"
	"gauged/internal/uncertainty"
)

// abilities is what is known of the gauge of each measurement: what the
// configuration states, and where that says nothing of its usual scatter, the
// scatter of its repeats in earlier jobs.
func (s *Station) abilities(ctx context.Context, gauges map[string]string) (map[string]gauge.Ability, error) {
	known := map[string]gauge.Ability{}
	var pools map[string]uncertainty.Scatter
	for measurement, id := range gauges {
		a := s.ability(id)
		if a.Error == nil && a.Calibration == nil {
			if a.Stated() {
				known[measurement] = a
			}
			continue
		}
		if a.Repeats == nil {
			if pools == nil {
				var err error
				if pools, err = s.pools(ctx); err != nil {
					return nil, err
				}
			}
			a.Repeats = pooled(pools[id])
		}
		known[measurement] = a
	}
	return known, nil
}

// ability is what the configuration states of a gauge.
func (s *Station) ability(id string) gauge.Ability {
	s.mu.RLock()
	defer s.mu.RUnlock()
	if g, ok := s.gauges[id]; ok {
		return g.Ability
	}
	return gauge.Ability{}
}

// plate is what stands on a gauge.
func (s *Station) plate(id string) gauge.Plate {
	s.mu.RLock()
	defer s.mu.RUnlock()
	if g, ok := s.gauges[id]; ok {
		return g.Plate
	}
	return gauge.Plate{}
}

// Repeats of so many jobs are pooled, and count when they have so many degrees
// of freedom.
const (
	pooledJobs     = 30
	pooledFreedom  = 10
	fewestRepeated = 2
)

// pools is the scatter of the repeats of each gauge in the newest jobs.
func (s *Station) pools(ctx context.Context) (map[string]uncertainty.Scatter, error) {
	jobs, err := s.Jobs(ctx, gauge.JobQuery{Limit: pooledJobs})
	if err != nil {
		return nil, fmt.Errorf("scatter of the gauges: %w", err)
	}
	groups := map[string][]uncertainty.Scatter{}
	for _, j := range jobs {
		for _, m := range j.Evaluation.Measurements {
			id := j.Gauges[m.Name]
			if x := repeatsOf(j, m); id != "" && len(x) >= fewestRepeated {
				groups[id] = append(groups[id], uncertainty.ScatterOf(uncertainty.FromFirst(x)))
			}
		}
	}
	pools := map[string]uncertainty.Scatter{}
	for id, g := range groups {
		pools[id] = uncertainty.Pool(g...)
	}
	return pools, nil
}

// repeatsOf are the readings of a measurement whose scatter is the gauge's and
// the hand's; where extremes are wanted, the part itself scatters.
func repeatsOf(j *job.Job, m evaluate.Measurement) []gauge.Length {
	step, _, _ := j.Procedure.Step(m.Name)
	switch {
	case !m.Complete, len(step.Codes) > 0, step.Moving != nil:
		return nil
	case step.Take == procedure.TakeRange, step.Take == procedure.TakeSmallest, step.Take == procedure.TakeLargest:
		return nil
	}
	var x []gauge.Length
	for _, r := range m.Readings {
		if r.Discarded == "" && r.Upper == nil {
			x = append(x, r.Value)
		}
	}
	return x
}

// pooled is a pool as it goes into a verdict; nil when it is too small.
func pooled(p uncertainty.Scatter) *gauge.Pooled {
	if p.DoF < pooledFreedom || !(p.SD > 0) {
		return nil
	}
	return &gauge.Pooled{Deviation: gauge.Length(math.Round(p.SD)), Freedom: p.DoF}
}

// decidable refuses a job whose gauges cannot decide between its limits.
func decidable(p *procedure.Procedure, parts procedure.Parts, abilities map[string]gauge.Ability, gauges map[string]string) error {
	e, err := evaluate.Evaluate(p, parts, compute.Input{Gauges: abilities, Bound: gauges})
	if err != nil || e.Outcome != evaluate.Undecided {
		return err
	}
	for _, finding := range e.Findings {
		if finding.Code == evaluate.FindingTooNarrow {
			return gauge.Refused("refusal.job.undecidable", gauge.Nested("why", finding.Says))
		}
	}
	return nil
}
