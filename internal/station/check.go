package station

import (
	"context"
	"slices"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/job"
)

// CheckRequest records a check of a gauge against masters, from readings that are
// in the history and came after the check was begun.
type CheckRequest struct {
	Gauge       string
	Begun       uint64 // number of its begin; 0: the one begun last, and none where all readings are typed
	By          string
	Occasion    string // such as periodic, before a job, after a drop
	Remark      string
	Temperature *check.Temperature
	Found       []CheckPoint
	Left        []CheckPoint // after an adjustment; empty: it was not adjusted
	Confirmed   bool         // readings that are far off their master are meant
}

// CheckPoint is readings at one master: of a gauge without a connection typed
// ones, of any other those of the history.
type CheckPoint struct {
	Master   string
	Readings []uint64 // their numbers in the history
	Typed    []TypedReading
	Falling  bool
}

func (p CheckPoint) repeats() int { return len(p.Readings) + len(p.Typed) }

// TypedReading is what somebody read on a gauge without a connection.
type TypedReading struct {
	Shown string
	Unit  gauge.Unit
}

// RecordCheck evaluates and stores a check. A gauge whose check fails is suspect
// until one passes.
func (s *Station) RecordCheck(ctx context.Context, r CheckRequest) (*check.Record, error) {
	h, err := s.Health(r.Gauge)
	if err != nil {
		return nil, err
	}
	data, err := s.checked(ctx, h, r)
	if err != nil {
		return nil, err
	}
	var c *check.Record
	err = s.do(ctx, func(d *draft) (err error) {
		data := data
		if data.Begun, err = d.sessionOf(r, data); err != nil {
			return err
		}
		data.Found = d.storeTyped(r.Gauge, r.By, data.Found, r.Found)
		data.Left = d.storeTyped(r.Gauge, r.By, data.Left, r.Left)
		data.Number = d.gauge(r.Gauge).lastNumber
		stored, err := d.gaugeFact(r.Gauge, health.KindChecked, r.By, data.CheckedData)
		c = data.Record(stored)
		return err
	})
	if err != nil {
		return nil, s.heldBy(ctx, r.Gauge, err)
	}
	return c, nil
}

// sessionOf is the begin of the check whose readings these are; 0 where they are typed.
func (d *draft) sessionOf(r CheckRequest, data checked) (uint64, error) {
	points := slices.Concat(data.Found, data.Left)
	sent := slices.ContainsFunc(points, func(p check.StoredPoint) bool { return len(p.Seqs) > 0 })
	if !sent && r.Begun == 0 {
		return 0, nil
	}
	h := d.healthOf(r.Gauge)
	if h == nil {
		h = d.s.newHealth(r.Gauge)
	}
	b, err := h.Session(r.Gauge, r.Begun, d.s.o.Now())
	if err != nil {
		return 0, err
	}
	if err := ofSession(b, data.sent, d.s.o.Now()); err != nil {
		return 0, err
	}
	return b.Seq, h.Takes(b, points)
}

// storeTyped stores the values of a check that were typed in, as readings of the gauge.
func (d *draft) storeTyped(gaugeID, by string, points []check.StoredPoint, wanted []CheckPoint) []check.StoredPoint {
	points = slices.Clone(points)
	for i := range points {
		p := &points[i]
		for k, typed := range wanted[i].Typed {
			p.Seqs = append(slices.Clip(p.Seqs), d.typed(gaugeID, p.Readings[k], typed, by).Seq)
		}
	}
	return points
}

// checked is a check while it is recorded.
type checked struct {
	health.CheckedData
	sent []gauge.Fact // its readings that another clock has stamped
}

func (s *Station) checked(ctx context.Context, h *health.Gauge, r CheckRequest) (data checked, err error) {
	if strings.TrimSpace(r.By) == "" {
		return data, gauge.WrongInput("refusal.check.who")
	}
	data.CheckedData = health.CheckedData{Occasion: r.Occasion, Remark: r.Remark, Temperature: r.Temperature, Ability: s.ability(r.Gauge), Plate: s.plate(r.Gauge)}
	if data.Found, err = s.points(ctx, &data, r, r.Found); err != nil {
		return data, err
	}
	data.Partial = h.Plan.Lacks(func(master string, falling bool) int {
		at := slices.IndexFunc(r.Found, func(p CheckPoint) bool { return p.Master == master && p.Falling == falling })
		if at < 0 {
			return 0
		}
		return r.Found[at].repeats()
	})
	if data.Result, err = compared(data.CheckedData, r.Gauge, data.Found); err != nil {
		return data, err
	}
	if len(r.Left) == 0 {
		return data, nil
	}
	if data.Left, err = s.points(ctx, &data, r, r.Left); err != nil {
		return data, err
	}
	left := check.Evaluate(input(data.CheckedData, data.Left))
	data.LeftResult = &left
	return data, nil
}

// compared evaluates the points as found.
func compared(c health.CheckedData, gaugeID string, points []check.StoredPoint) (check.Result, error) {
	r := check.Evaluate(input(c, points))
	if r.Limit != nil && !r.Known() {
		return r, gauge.WrongInput("refusal.check.scatter-unknown", gauge.Text("gauge", gaugeID))
	}
	return r, nil
}

func input(c health.CheckedData, points []check.StoredPoint) check.Input {
	in := check.Input{Temperature: c.Temperature, Ability: c.Ability}
	for _, p := range points {
		in.Points = append(in.Points, p.Point)
	}
	return in
}

// points loads the readings of a check, and notes in it those that were sent. Those that
// are far off their master are asked back, unless they are meant.
func (s *Station) points(ctx context.Context, data *checked, r CheckRequest, wanted []CheckPoint) ([]check.StoredPoint, error) {
	if len(wanted) == 0 {
		return nil, gauge.WrongInput("refusal.check.empty")
	}
	var points []check.StoredPoint
	for _, w := range wanted {
		m, err := check.Usable(s.Masters(), w.Master, s.o.Now())
		if err != nil {
			return nil, err
		}
		if w.repeats() == 0 {
			return nil, gauge.WrongInput("refusal.check.no-readings", gauge.Text("master", m.ID))
		}
		p := check.StoredPoint{Point: check.Point{Master: m, Falling: w.Falling}, Seqs: slices.Clone(w.Readings)}
		for _, seq := range w.Readings {
			f, err := s.readingOf(ctx, seq, r.Gauge)
			if err != nil {
				return nil, err
			}
			p.Readings = append(p.Readings, f.Reading.Value)
			if f.Reading.Source != "" {
				data.sent = append(data.sent, f)
			}
		}
		for _, typed := range w.Typed {
			value, err := s.readByEye(r.Gauge, typed)
			if err != nil {
				return nil, gauge.WrongInput("refusal.check.at-master", gauge.Text("master", m.ID), gauge.Because("why", err))
			}
			p.Readings = append(p.Readings, value)
		}
		if err := p.AskBack(); err != nil && !r.Confirmed {
			return nil, err
		}
		points = append(points, p)
	}
	return points, nil
}

// readingOf is a stored reading of a gauge by its number.
func (s *Station) readingOf(ctx context.Context, seq uint64, gaugeID string) (gauge.Fact, error) {
	found, err := s.o.Store.Readings(ctx, "", max(seq, 1)-1, 1)
	if err != nil {
		return gauge.Fact{}, err
	}
	if len(found) == 0 || found[0].Seq != seq {
		return gauge.Fact{}, gauge.NotFound("refusal.reading.missing", gauge.Count("reading", seq))
	}
	if of := found[0].Reading.Gauge; of != gaugeID {
		return gauge.Fact{}, gauge.WrongInput("refusal.reading.of-other-gauge", gauge.Count("reading", seq), gauge.Text("of", of), gauge.Text("gauge", gaugeID))
	}
	return found[0], nil
}

// readByEye is the value that somebody read on a gauge without a connection.
func (s *Station) readByEye(gaugeID string, r TypedReading) (gauge.Length, error) {
	if !s.has(gaugeID, gauge.ModeTyped) {
		return 0, gauge.WrongInput("refusal.reading.sent", gauge.Text("gauge", gaugeID))
	}
	if kind := r.Unit.Kind(); kind != gauge.KindLength {
		return 0, gauge.WrongInput("refusal.reading.no-length", gauge.Text("shown", r.Shown))
	}
	value, err := gauge.ParseLength(r.Shown, r.Unit)
	if err != nil {
		return 0, gauge.AsInput(err)
	}
	return value, nil
}

// SetStanding says whether a gauge may be used, and why.
func (s *Station) SetStanding(ctx context.Context, gaugeID string, standing health.Standing, reason, by string) (*health.Gauge, error) {
	switch {
	case !slices.Contains(health.Sayable, standing):
		return nil, gauge.WrongInput("refusal.standing.unknown", gauge.Text("standing", string(standing)))
	case strings.TrimSpace(by) == "":
		return nil, gauge.WrongInput("refusal.standing.who")
	case strings.TrimSpace(reason) == "":
		return nil, gauge.WrongInput("refusal.standing.why", gauge.Text("gauge", gaugeID), gauge.WordOf("standing", "standing", standing))
	}
	if _, err := s.Health(gaugeID); err != nil {
		return nil, err
	}
	err := s.do(ctx, func(d *draft) error {
		_, err := d.gaugeFact(gaugeID, health.KindStanding, by, health.StandingData{Standing: standing, Reason: reason})
		return err
	})
	if err != nil {
		return nil, err
	}
	return s.Health(gaugeID)
}

// DecideRecall stores what was decided about the jobs that a gauge measured before it failed a
// check. Until then the recall is among what is to be done.
func (s *Station) DecideRecall(ctx context.Context, r health.RecallDecision) (*health.Gauge, error) {
	if _, err := s.Health(r.Gauge); err != nil {
		return nil, err
	}
	err := s.do(ctx, func(d *draft) error {
		data, err := r.About(d.healthOf(r.Gauge))
		if err == nil {
			_, err = d.gaugeFact(r.Gauge, health.KindRecalled, r.By, data)
		}
		return err
	})
	if err != nil {
		return nil, err
	}
	return s.Health(r.Gauge)
}

// gaugeFact adds a fact about a gauge.
func (d *draft) gaugeFact(gaugeID, kind, by string, data any) (gauge.Fact, error) {
	f := gauge.Fact{Seq: d.nextSeq, Gauge: &gauge.GaugeFact{Gauge: gaugeID, Time: d.s.o.Now(), Kind: kind, By: by, Data: job.Marshal(data)}}
	h := d.healthOf(gaugeID)
	if h == nil {
		h = d.s.newHealth(gaugeID)
	}
	next, err := h.With(f)
	if err != nil {
		return f, err
	}
	d.health[gaugeID] = next
	f = d.add(f)
	d.warnJobs(gaugeID)
	return f, nil
}

// Checks returns the checks of a gauge that count, oldest first.
func (s *Station) Checks(ctx context.Context, gaugeID string) ([]*check.Record, error) {
	all, err := s.AllChecks(ctx, gaugeID)
	return slices.DeleteFunc(all, func(c *check.Record) bool { return c.Voided != nil }), err
}

// AllChecks returns the checks of a gauge, oldest first, those that were voided too.
func (s *Station) AllChecks(ctx context.Context, gaugeID string) ([]*check.Record, error) {
	h, err := s.Health(gaugeID)
	if err != nil {
		return nil, err
	}
	if h.Damage != nil {
		return nil, h.Damage
	}
	var l health.CheckList
	if err := s.eachGaugeFact(ctx, gaugeID, l.Add); err != nil {
		return nil, err
	}
	uses := h.Uses()
	for _, c := range l.Sorted() {
		c.Uses = uint64(uses[c.Seq])
	}
	return l.Checks, nil
}

// Masters returns the masters, by id; they are not to be changed.
func (s *Station) Masters() map[string]check.Master {
	s.mu.RLock()
	defer s.mu.RUnlock()
	return s.masters
}

// usable says why gauges may not be used in a new job, and what to warn of.
func (s *Station) usable(gauges map[string]string) (warnings []gauge.Message, err error) {
	ids := map[string]bool{}
	for _, id := range gauges {
		ids[id] = true
	}
	s.mu.RLock()
	defer s.mu.RUnlock()
	for _, id := range s.order {
		h := s.health[id]
		switch {
		case !ids[id] || h == nil:
		case h.Standing != health.InService:
			return nil, gauge.Refused("refusal.gauge.out", h.Out(id)...)
		default:
			due := h.DueNow(id, s.o.Now())
			if !due.IsZero() && h.Plan != nil && h.Plan.Blocks {
				return nil, gauge.Refused("refusal.gauge.check-first", gauge.Nested("due", due))
			}
			for _, why := range []gauge.Message{due, h.DueAfterLast(id)} {
				if !why.IsZero() {
					warnings = append(warnings, why)
				}
			}
		}
	}
	return warnings, nil
}
