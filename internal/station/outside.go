package station

import (
	"time"

	"gauged/internal/gauge"
)

// lookForSilence is how often gauges that are fed from outside are looked at.
const lookForSilence = time.Second

// oldestFromOutside is how old a reading may be, by the clock of its sender, when
// it arrives here and is meant for a job: a link that was down brings what was
// measured on another unit, and clocks differ by a few seconds.
const oldestFromOutside = 30 * time.Second

// aheadFromOutside is by how much a reading may be dated in the future, by the
// clock of its sender, and still be meant for a job.
const aheadFromOutside = 30 * time.Second

// stale says why a reading that another clock has stamped is not of now.
func (d *draft) stale(r *gauge.Reading, most time.Duration) gauge.Message {
	if age := d.s.o.Now().Sub(r.Time); age > most {
		return gauge.Say("because.too-old", gauge.Span("age", age), gauge.Text("source", r.Source))
	}
	return future(r, d.s.o.Now())
}

// future says why a reading is not of now that another clock has dated later than
// this one by more than clocks differ; our own clock may have been set back.
func future(r *gauge.Reading, now time.Time) gauge.Message {
	if ahead := r.Time.Sub(now); r.Source != "" && ahead > aheadFromOutside {
		return gauge.Say("because.in-the-future", gauge.Span("ahead", ahead), gauge.Text("source", r.Source))
	}
	return gauge.Message{}
}

// freshFromOutside returns the newest reading of a gauge that is fed from
// outside, unless it came too long ago.
func (d *draft) freshFromOutside(g *GaugeStatus) (gauge.Fact, error) {
	if age := d.s.o.Now().Sub(g.arrived).Abs(); g.Fresh > 0 && age > g.Fresh {
		if g.arrived.IsZero() {
			return gauge.Fact{}, gauge.Refused("refusal.gauge.nothing-since-start", gauge.Text("gauge", g.ID))
		}
		return gauge.Fact{}, gauge.Refused("refusal.gauge.sender-quiet", gauge.Text("gauge", g.ID), gauge.Span("age", age))
	}
	if why := d.stale(g.Last.Reading, g.Fresh+oldestFromOutside); g.Fresh > 0 && !why.IsZero() {
		return gauge.Fact{}, gauge.Refused("refusal.gauge.not-of-now", gauge.Text("gauge", g.ID), gauge.Nested("why", why))
	}
	return g.Last, nil
}

// outsideLive makes a gauge that is fed from outside live at its reading.
func (d *draft) outsideLive(in Ingested) {
	g := d.gauge(in.Gauge)
	g.arrived = d.s.o.Now()
	if g.State != gauge.StateLive {
		d.report(Report{State: &gauge.StateChange{Gauge: in.Gauge, Time: g.arrived, State: gauge.StateLive}})
	}
}

// fallsSilent reports whether nothing has come from a gauge for too long.
func (g *GaugeStatus) fallsSilent(now time.Time) bool {
	return g.Outside && g.Fresh > 0 && g.State == gauge.StateLive && now.Sub(g.arrived).Abs() > g.Fresh
}

// outsideSilent makes gauges silent from which nothing has come for too long.
func (d *draft) outsideSilent() error {
	now := d.s.o.Now()
	for _, id := range d.s.order {
		if g := d.gauge(id); g.fallsSilent(now) {
			reason := gauge.Say("because.line.sender-quiet", gauge.Span("limit", g.Fresh))
			d.report(Report{State: &gauge.StateChange{Gauge: id, Time: now, State: gauge.StateSilent, Reason: reason}})
		}
	}
	return nil
}

// silence returns the request that makes gauges silent, when one is due.
func (s *Station) silence() []*request {
	s.mu.RLock()
	defer s.mu.RUnlock()
	now := s.o.Now()
	for _, g := range s.gauges {
		if g.fallsSilent(now) {
			return []*request{{decide: (*draft).outsideSilent}}
		}
	}
	return nil
}
