package station

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/job"
)

// The kinds of facts about a gauge, and the shapes of their data.
const (
	kindChecked  = "checked"
	kindStanding = "standing"
)

// checkedData has everything that the result follows from.
type checkedData struct {
	Occasion    string              `json:"occasion,omitempty"`
	Remark      string              `json:"remark,omitempty"`
	Temperature *check.Temperature  `json:"temperature,omitempty"`
	Ability     gauge.Ability       `json:"ability"`
	Found       []check.StoredPoint `json:"found"`
	Result      check.Result        `json:"result"`
	Left        []check.StoredPoint `json:"left,omitempty"`
	LeftResult  *check.Result       `json:"left_result,omitempty"`
	Zero        bool                `json:"zero_return,omitempty"`
	Partial     string              `json:"partial,omitempty"` // what the plan wanted besides
	Job         uint64              `json:"job,omitempty"`     // after which it was made
	Number      uint64              `json:"number,omitempty"`  // to which the gauge's readings had come
	Begun       uint64              `json:"begun,omitempty"`   // number of its begin in the history
	Past        *pastData           `json:"past,omitempty"`    // it was made before it came in, or elsewhere

	sent []gauge.Fact // its readings that another clock has stamped, while it is recorded
}

type standingData struct {
	Standing Standing `json:"standing"`
	Reason   string   `json:"reason"`
}

func unmarshalGauge[T any](f *gauge.GaugeFact) (data T, err error) {
	if err := json.Unmarshal(f.Data, &data); err != nil {
		return data, fmt.Errorf("gauge %s: fact %q: %w", f.Gauge, f.Kind, err)
	}
	return data, nil
}

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
	var stored gauge.Fact
	err = s.do(ctx, func(d *draft) (err error) {
		if data.Begun, err = d.sessionOf(r, data); err != nil {
			return err
		}
		d.storeTyped(r.Gauge, r.By, data.Found, r.Found)
		d.storeTyped(r.Gauge, r.By, data.Left, r.Left)
		data.Number = d.gauge(r.Gauge).lastNumber
		stored, err = d.gaugeFact(r.Gauge, kindChecked, r.By, data)
		return err
	})
	if err != nil {
		return nil, s.heldBy(ctx, r.Gauge, err)
	}
	return data.record(stored), nil
}

// sessionOf is the begin of the check whose readings these are; 0 where they are typed.
func (d *draft) sessionOf(r CheckRequest, data checkedData) (uint64, error) {
	points := slices.Concat(data.Found, data.Left)
	sent := slices.ContainsFunc(points, func(p check.StoredPoint) bool { return len(p.Seqs) > 0 })
	if !sent && r.Begun == 0 {
		return 0, nil
	}
	h := d.healthOf(r.Gauge)
	if h == nil {
		h = d.s.newHealth(r.Gauge)
	}
	b, err := h.session(r.Gauge, r.Begun, d.s.o.Now())
	if err != nil {
		return 0, err
	}
	if err := ofSession(b, data.sent, d.s.o.Now()); err != nil {
		return 0, err
	}
	return b.Seq, h.takes(b, points)
}

// storeTyped stores the values of a check that were typed in, as readings of the gauge.
func (d *draft) storeTyped(gaugeID, by string, points []check.StoredPoint, wanted []CheckPoint) {
	for i := range points {
		p := &points[i]
		for k, typed := range wanted[i].Typed {
			f := d.reading(gauge.Reading{
				Gauge: gaugeID, Time: d.s.o.Now(), Value: p.Readings[k], Shown: typed.Shown, Unit: typed.Unit,
				Status: gauge.StatusOK, EnteredBy: by,
			})
			p.Seqs = append(p.Seqs, f.Seq)
		}
	}
}

// record is the check that a fact keeps.
func (c checkedData) record(f gauge.Fact) *check.Record {
	r := &check.Record{
		Seq: f.Seq, Time: f.Gauge.Time, By: f.Gauge.By, Occasion: c.Occasion, Remark: c.Remark,
		Result: c.Result, Left: c.LeftResult, Zero: c.Zero, Partial: c.Partial, Job: c.Job, Ability: c.Ability, Points: c.Found, PointsLeft: c.Left,
	}
	if p := c.Past; p != nil {
		r.Time, r.By, r.Past = p.Time, cmp.Or(p.By, r.By), &check.Past{
			Place: p.Place, Certificate: p.Certificate, Came: f.Gauge.Time, Brought: f.Gauge.By, After: p.After,
		}
	}
	return r
}

func (s *Station) checked(ctx context.Context, h *Health, r CheckRequest) (data checkedData, err error) {
	if strings.TrimSpace(r.By) == "" {
		return data, fmt.Errorf("%w: a check needs the name of who made it", gauge.ErrInput)
	}
	data = checkedData{Occasion: r.Occasion, Remark: r.Remark, Temperature: r.Temperature, Ability: s.ability(r.Gauge)}
	if data.Found, err = s.points(ctx, &data, r.Gauge, r.Found); err != nil {
		return data, err
	}
	data.Partial = lacksOf(h.Plan, r.Found)
	if data.Result, err = data.compared(r.Gauge, data.Found); err != nil {
		return data, err
	}
	if len(r.Left) == 0 {
		return data, nil
	}
	if data.Left, err = s.points(ctx, &data, r.Gauge, r.Left); err != nil {
		return data, err
	}
	left := check.Evaluate(data.input(data.Left))
	data.LeftResult = &left
	return data, nil
}

// compared evaluates the points as found.
func (c checkedData) compared(gaugeID string, points []check.StoredPoint) (check.Result, error) {
	r := check.Evaluate(c.input(points))
	if r.Limit != nil && !r.Known() {
		return r, fmt.Errorf("%w: nothing is known of how well gauge %s repeats: take several readings at each master, or state its resolution in the configuration", gauge.ErrInput, gaugeID)
	}
	return r, nil
}

func (c checkedData) input(points []check.StoredPoint) check.Input {
	in := check.Input{Temperature: c.Temperature, Ability: c.Ability}
	for _, p := range points {
		in.Points = append(in.Points, p.Point)
	}
	return in
}

// points loads the readings of a check, and notes in it those that were sent.
func (s *Station) points(ctx context.Context, data *checkedData, gaugeID string, wanted []CheckPoint) ([]check.StoredPoint, error) {
	if len(wanted) == 0 {
		return nil, fmt.Errorf("%w: a check needs readings at a master", gauge.ErrInput)
	}
	var points []check.StoredPoint
	for _, w := range wanted {
		m, err := check.Usable(s.o.Masters, w.Master, s.o.Now())
		if err != nil {
			return nil, err
		}
		if w.repeats() == 0 {
			return nil, fmt.Errorf("%w: there are no readings at master %s", gauge.ErrInput, m.ID)
		}
		p := check.StoredPoint{Point: check.Point{Master: m, Falling: w.Falling}, Seqs: slices.Clone(w.Readings)}
		for _, seq := range w.Readings {
			f, err := s.o.Store.Reading(ctx, seq)
			if err != nil {
				return nil, fmt.Errorf("%w: reading %d: %w", gauge.ErrNotFound, seq, err)
			}
			if f.Reading.Gauge != gaugeID {
				return nil, fmt.Errorf("%w: reading %d is of %s, not of %s", gauge.ErrInput, seq, f.Reading.Gauge, gaugeID)
			}
			p.Readings = append(p.Readings, f.Reading.Value)
			if f.Reading.Source != "" {
				data.sent = append(data.sent, f)
			}
		}
		for _, typed := range w.Typed {
			value, err := s.readByEye(gaugeID, typed)
			if err != nil {
				return nil, fmt.Errorf("%w: at master %s: %s", gauge.ErrInput, m.ID, strings.TrimPrefix(err.Error(), gauge.ErrInput.Error()+": "))
			}
			p.Readings = append(p.Readings, value)
		}
		points = append(points, p)
	}
	return points, nil
}

// readByEye is the value that somebody read on a gauge without a connection.
func (s *Station) readByEye(gaugeID string, r TypedReading) (gauge.Length, error) {
	if !s.has(gaugeID, gauge.ModeTyped) {
		return 0, fmt.Errorf("%w: gauge %s sends its readings: take them from it, so that its line is checked too", gauge.ErrInput, gaugeID)
	}
	if kind := r.Unit.Kind(); kind != gauge.KindLength {
		return 0, fmt.Errorf("%w: %q needs a unit of length: mm, in or um", gauge.ErrInput, r.Shown)
	}
	value, err := gauge.ParseLength(r.Shown, r.Unit)
	if err != nil {
		return 0, fmt.Errorf("%w: %w", gauge.ErrInput, err)
	}
	return value, nil
}

// lacksOf says what a check lacks of its plan; empty: nothing.
func lacksOf(p *check.Plan, points []CheckPoint) string {
	if p == nil {
		return ""
	}
	var lacking []string
	for _, id := range p.Masters {
		for _, falling := range []bool{false, true} {
			if falling && !p.BothWays {
				continue
			}
			at := slices.IndexFunc(points, func(c CheckPoint) bool { return c.Master == id && c.Falling == falling })
			if at < 0 || points[at].repeats() < p.Repeats {
				way := ""
				if falling {
					way = " from above"
				}
				lacking = append(lacking, fmt.Sprintf("%d readings at %s%s", p.Repeats, id, way))
			}
		}
	}
	return strings.Join(lacking, ", ")
}

// SetStanding says whether a gauge may be used, and why.
func (s *Station) SetStanding(ctx context.Context, gaugeID string, standing Standing, reason, by string) (*Health, error) {
	switch {
	case !slices.Contains(Standings, standing):
		return nil, fmt.Errorf("%w: %q is no standing; it is in service, suspect, out for calibration or retired", gauge.ErrInput, standing)
	case strings.TrimSpace(by) == "":
		return nil, fmt.Errorf("%w: say who changes the standing", gauge.ErrInput)
	case strings.TrimSpace(reason) == "":
		return nil, fmt.Errorf("%w: say why gauge %s is %s", gauge.ErrInput, gaugeID, standing)
	}
	if _, err := s.Health(gaugeID); err != nil {
		return nil, err
	}
	err := s.do(ctx, func(d *draft) error {
		_, err := d.gaugeFact(gaugeID, kindStanding, by, standingData{standing, reason})
		return err
	})
	if err != nil {
		return nil, err
	}
	return s.Health(gaugeID)
}

// gaugeFact adds a fact about a gauge.
func (d *draft) gaugeFact(gaugeID, kind, by string, data any) (gauge.Fact, error) {
	f := gauge.Fact{Seq: d.nextSeq, Gauge: &gauge.GaugeFact{Gauge: gaugeID, Time: d.s.o.Now(), Kind: kind, By: by, Data: job.Marshal(data)}}
	h := d.healthOf(gaugeID)
	if h == nil {
		h = d.s.newHealth(gaugeID)
	}
	next, err := h.with(f)
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
	var l checkList
	if err := s.eachGaugeFact(ctx, gaugeID, nil, l.add); err != nil {
		return nil, err
	}
	uses := h.trend.Uses()
	for _, c := range l.sorted() {
		c.Uses = uint64(uses[c.Seq])
	}
	return l.checks, nil
}

// checksIn are the checks that count among things that happened to gauges.
func checksIn(facts []gauge.Fact) ([]*check.Record, error) {
	var l checkList
	for _, f := range facts {
		if err := l.add(f); err != nil {
			return nil, err
		}
	}
	return slices.DeleteFunc(l.sorted(), func(c *check.Record) bool { return c.Voided != nil }), nil
}

// checkList collects checks and what voids them.
type checkList struct {
	checks []*check.Record
	voided map[uint64]*check.Voided
}

func (l *checkList) add(f gauge.Fact) error {
	switch f.Gauge.Kind {
	case kindChecked:
		data, err := unmarshalGauge[checkedData](f.Gauge)
		if err != nil {
			return err
		}
		l.checks = append(l.checks, data.record(f))
	case kindVoided:
		data, err := unmarshalGauge[voidedData](f.Gauge)
		if err != nil {
			return err
		}
		if l.voided == nil {
			l.voided = map[uint64]*check.Voided{}
		}
		l.voided[data.Check] = &check.Voided{Time: f.Gauge.Time, By: f.Gauge.By, Reason: data.Reason}
	}
	return nil
}

// sorted are the checks in the order of their time.
func (l *checkList) sorted() []*check.Record {
	for _, c := range l.checks {
		c.Voided = l.voided[c.Seq]
	}
	slices.SortStableFunc(l.checks, func(a, b *check.Record) int { return a.Order(b.Place(), b.Time) })
	return l.checks
}

// Masters returns the masters, by id.
func (s *Station) Masters() map[string]check.Master { return s.o.Masters }

// usable says why gauges may not be used in a new job, and what to warn of.
func (s *Station) usable(gauges map[string]string) (warnings []string, err error) {
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
		case h.Standing != InService:
			return nil, fmt.Errorf("%w: %s", gauge.ErrRefused, h.outText(id))
		default:
			due := h.DueNow(id, s.o.Now())
			if due != "" && h.Plan != nil && h.Plan.Blocks {
				return nil, fmt.Errorf("%w: %s: check it first", gauge.ErrRefused, due)
			}
			for _, text := range []string{due, h.dueAfterLast(id)} {
				if text != "" {
					warnings = append(warnings, text)
				}
			}
		}
	}
	return warnings, nil
}
