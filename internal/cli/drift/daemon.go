package drift

import (
	"context"
	"fmt"
	"slices"

	"gauged/internal/cli/app"
	"gauged/internal/gauge"
	"gauged/internal/health/drift"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// driftOf reviews the checks that the daemon has of a gauge, as the daemon does.
func driftOf(a *app.App, ctx context.Context, d *app.Daemon, gaugeID string, f driftFlags, o drift.Options) error {
	answer, err := app.AllChecks(ctx, d, gaugeID)
	if err != nil {
		return err
	}
	unit, series := gauge.Millimetre, []drift.Series(nil)
	var last drift.Check
	for _, c := range answer.GetChecks() {
		if c.GetVoided() != nil {
			continue
		}
		unit = wire.FromUnit(c.GetFound().GetError().GetUnit()) // one for all of a gauge
		if at := c.GetTime().AsTime(); at.After(last.Time) {
			last.Time = at // else the clock was set back; the order stands
		}
		if limit := c.GetFound().GetLimit(); limit != nil {
			o.MPE = inUnit(limit, unit)
		}
		for _, p := range c.GetFound().GetPoints() {
			check := storedCheck(c, p, unit)
			check.Time = last.Time
			series = addCheck(series, pointOf(p), check)
		}
	}
	gauges, err := app.Ask(ctx, d, d.Gauges.ListGauges, &pb.ListGaugesRequest{})
	if err != nil {
		return err
	}
	for _, g := range gauges.GetGauges() {
		if g.GetId() == gaugeID && g.GetResolution() != nil {
			o.Charts.Step = inUnit(g.GetResolution(), unit)
		}
	}
	if own, err := gauge.ParseUnit(f.unit, gauge.KindLength); err == nil { // of --deviation
		o.Deviation = app.Converted(o.Deviation, own, unit)
	}
	f.unit = unit.String()
	name := "gauge " + gaugeID
	g, err := drift.NewGauge(series, o)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return showDrift(a, driftView{Gauge: g, Unit: f.unit, series: series}, f)
}

// addCheck adds a check at a point; a new one comes last.
func addCheck(series []drift.Series, point string, c drift.Check) []drift.Series {
	i := slices.IndexFunc(series, func(s drift.Series) bool { return s.Point == point })
	if i < 0 {
		i = len(series)
		series = append(series, drift.Series{Point: point})
	}
	series[i].Checks = append(series[i].Checks, c)
	return series
}

// pointOf is the name of a point, as the daemon has it.
func pointOf(p *pb.CheckPointResult) string {
	if p.GetFalling() {
		return p.GetMasterId() + ", falling"
	}
	return p.GetMasterId()
}

// storedCheck is a check of the daemon at a point, in a unit.
func storedCheck(c *pb.MasterCheck, p *pb.CheckPointResult, unit gauge.Unit) drift.Check {
	check := drift.Check{
		Found: inUnit(p.GetError(), unit), Uncertainty: inUnit(p.GetIndependentUncertainty(), unit), Shared: inUnit(p.GetSharedUncertainty(), unit),
		Expanded: inUnit(p.GetExpandedUncertainty(), unit),
		Uses:     float64(c.GetUseCount()), Unused: c.GetUseCount() == 0, Aside: c.GetZeroReturn(),
	}
	switch p.GetVerdict() {
	case pb.CheckVerdict_CHECK_VERDICT_PASS:
		check.Verdict = drift.Passed
	case pb.CheckVerdict_CHECK_VERDICT_FAIL:
		check.Verdict = drift.Failed
	case pb.CheckVerdict_CHECK_VERDICT_UNDECIDED:
		check.Verdict = drift.Undecided
	}
	if n := p.GetRepeats(); n > 1 {
		check.Spread, check.Repeats = inUnit(p.GetStandardDeviation(), unit), int(n)
	}
	if c.GetLeft() == nil {
		return check
	}
	check.Adjusted = true
	for _, left := range c.GetLeft().GetPoints() {
		if pointOf(left) == pointOf(p) {
			was := inUnit(left.GetError(), unit)
			check.Left, check.Adjusted = &was, false
		}
	}
	return check
}

func inUnit(l *pb.Quantity, unit gauge.Unit) float64 {
	return float64(wire.FromQuantity(l)) / float64(unit.Size())
}
