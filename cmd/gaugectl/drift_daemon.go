package main

import (
	"context"
	"fmt"

	"gauged/internal/drift"
	"gauged/internal/gauge"
	"gauged/internal/server/message"

	pb "gauged/api/gauged/v1"
)

// driftOf reviews the checks that the daemon has of a gauge, as the daemon's own
// page does: the advice on intervals is the daemon's, which counts uses.
func (a *app) driftOf(ctx context.Context, d *daemon, f driftFlags, o drift.Options) error {
	answer, err := ask(ctx, d, d.health.ListChecks, &pb.ListChecksRequest{GaugeId: f.gauge})
	if err != nil {
		return err
	}
	health, err := ask(ctx, d, d.health.ListHealth, &pb.ListHealthRequest{})
	if err != nil {
		return err
	}
	unit, checks := gauge.Millimetre, []drift.Check(nil)
	for _, c := range answer.GetChecks() {
		unit = message.FromUnit(c.GetFound().GetError().GetUnit()) // one for all of a gauge
		check := storedCheck(c, unit)
		if n := len(checks); n > 0 && check.Time.Before(checks[n-1].Time) {
			check.Time = checks[n-1].Time // the clock was set back; the order stands
		}
		if limit := c.GetFound().GetLimit(); limit != nil {
			o.MPE = inUnit(limit, unit)
		}
		checks = append(checks, check)
	}
	f.unit = unit.String()
	name := "gauge " + f.gauge
	r, err := drift.NewReview(checks, o)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	view := driftView{Review: r, Unit: f.unit, checks: checks}
	for _, g := range health.GetGauges() {
		if g.GetGaugeId() == f.gauge {
			r.Advice, r.AdviceRefused = daemonAdvice(g.GetAdvice(), r.Steps), g.GetAdviceRefused()
			view.since = g.GetLastCheck().GetTime().AsTime() // zero returns begin no interval
		}
	}
	return a.showDrift(view, f)
}

// storedCheck is a check of the daemon in a unit.
func storedCheck(c *pb.MasterCheck, unit gauge.Unit) drift.Check {
	found := c.GetFound()
	metre := 1e12 / float64(unit.Size())
	check := drift.Check{Time: c.GetTime().AsTime(), Found: inUnit(found.GetError(), unit), Uncertainty: found.GetStandardUncertainty() * metre}
	if n := found.GetDegreesOfFreedom(); n > 0 {
		check.Spread, check.Repeats = found.GetPooledSpread()*metre, int(n)+1
	}
	if c.GetLeft() != nil {
		left := inUnit(c.GetLeft().GetError(), unit)
		check.Left = &left
	}
	return check
}

func inUnit(l *pb.Length, unit gauge.Unit) float64 {
	return float64(l.GetPicometres()) / float64(unit.Size())
}

// daemonAdvice is the advice of the daemon, which looks for no steps.
func daemonAdvice(advice []*pb.IntervalAdvice, steps *drift.Steps) (all []drift.Advice) {
	for _, a := range advice {
		one := drift.Advice{Unit: a.GetUnit(), Method: a.GetMethod(), Change: drift.Change(a.GetChange()), Next: a.GetNext(), Reasons: a.GetReasons(), Observed: a.GetObserved()}
		if steps != nil && steps.Step != nil {
			one.Keep(drift.UnnotedStep)
		}
		all = append(all, one)
	}
	return all
}
