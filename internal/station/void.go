package station

import (
	"context"
	"slices"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/job"
	"gauged/internal/refold"
)

// VoidRequest voids a check that was a mistake: another master than the one that was
// named, a dirty face.
type VoidRequest struct {
	Gauge  string
	Check  uint64 // its number in the history
	Reason string
	By     string
}

// VoidCheck takes a check out of trend, charts, advice and standing. It stays in the
// history and in the list of the checks, with who voided it and why; its readings are
// not free again.
func (s *Station) VoidCheck(ctx context.Context, r VoidRequest) (*health.Gauge, error) {
	switch {
	case strings.TrimSpace(r.By) == "":
		return nil, gauge.WrongInput("refusal.check.void-who")
	case strings.TrimSpace(r.Reason) == "":
		return nil, gauge.WrongInput("refusal.check.void-why", gauge.Count("check", r.Check))
	}
	all, err := s.AllChecks(ctx, r.Gauge)
	if err != nil {
		return nil, err
	}
	i := slices.IndexFunc(all, func(c *check.Record) bool { return c.Seq == r.Check })
	if i < 0 {
		return nil, gauge.NotFound("refusal.check.missing", gauge.Count("check", r.Check), gauge.Text("gauge", r.Gauge))
	}
	beforehand, err := s.lateFacts(ctx, r.Gauge)
	if err != nil {
		return nil, err
	}
	err = s.do(ctx, func(d *draft) error {
		if slices.Contains(d.healthOf(r.Gauge).Voided, r.Check) {
			return gauge.Refused("refusal.check.voided", gauge.Count("check", r.Check), gauge.Text("gauge", r.Gauge))
		}
		return d.refold(ctx, r.Gauge, r.By, beforehand, newFact{health.KindVoided, health.VoidedData{Check: r.Check, Reason: r.Reason}})
	})
	if err != nil {
		return nil, err
	}
	return s.Health(r.Gauge)
}

type newFact struct {
	kind string
	data any
}

// refold adds facts that change what earlier checks say, and computes the health of the
// gauge again from all of them. What was read of them beforehand is not read here, where
// all else waits.
func (d *draft) refold(ctx context.Context, gaugeID, by string, beforehand *refold.Late, added ...newFact) error {
	var extra []gauge.Fact
	for _, f := range d.facts {
		if f.Gauge != nil && f.Gauge.Gauge == gaugeID {
			extra = append(extra, f)
		}
	}
	before := len(extra)
	for i, n := range added {
		extra = append(extra, gauge.Fact{Seq: d.nextSeq + uint64(i), Gauge: &gauge.GaugeFact{
			Gauge: gaugeID, Time: d.s.o.Now(), Kind: n.kind, By: by, Data: job.Marshal(n.data),
		}})
	}
	all, err := d.s.folded(ctx, gaugeID, beforehand, extra)
	if err != nil {
		return err
	}
	next := *all[gaugeID]
	if next.Damage != nil {
		return next.Damage
	}
	if now := d.healthOf(gaugeID); now != nil { // jobs of this batch are not in the store yet
		next.Use.Jobs, next.Use.Job, next.Use.Seq = now.Use.Jobs, now.Use.Job, now.Use.Seq
	}
	for _, f := range extra[before:] {
		d.add(f)
	}
	d.health[gaugeID] = &next
	d.warnJobs(gaugeID)
	return nil
}
