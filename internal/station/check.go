package station

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/master"
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
	Temperature *master.Temperature `json:"temperature,omitempty"`
	Ability     gauge.Ability       `json:"ability"`
	Found       []pointData         `json:"found"`
	Result      master.Result       `json:"result"`
	Left        []pointData         `json:"left,omitempty"`
	LeftResult  *master.Result      `json:"left_result,omitempty"`
}

type pointData struct {
	master.Point
	Seqs []uint64 `json:"seqs"` // the readings in the history
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
// in the history.
type CheckRequest struct {
	Gauge       string
	By          string
	Occasion    string // such as periodic, before a job, after a drop
	Remark      string
	Temperature *master.Temperature
	Found       []CheckPoint
	Left        []CheckPoint // after an adjustment; empty: it was not adjusted
}

// CheckPoint is readings at one master.
type CheckPoint struct {
	Master   string
	Readings []uint64 // their numbers in the history
	Falling  bool
}

// RecordCheck evaluates and stores a check. A gauge whose check fails is suspect
// until one passes.
func (s *Station) RecordCheck(ctx context.Context, r CheckRequest) (*CheckRecord, error) {
	h, err := s.Health(r.Gauge)
	if err != nil {
		return nil, err
	}
	data, err := s.checked(ctx, h, r)
	if err != nil {
		return nil, err
	}
	var seq uint64
	err = s.do(ctx, func(d *draft) error {
		f, err := d.gaugeFact(r.Gauge, kindChecked, r.By, data)
		seq = f.Seq
		return err
	})
	if err != nil {
		return nil, err
	}
	if h, err = s.Health(r.Gauge); err != nil {
		return nil, err
	}
	if h.Last.Seq != seq { // another check was recorded meanwhile
		return &CheckRecord{Seq: seq, By: r.By, Occasion: data.Occasion, Result: data.Result, Left: data.LeftResult, Remark: data.Remark}, nil
	}
	return h.Last, nil
}

func (s *Station) checked(ctx context.Context, h *Health, r CheckRequest) (data checkedData, err error) {
	if strings.TrimSpace(r.By) == "" {
		return data, fmt.Errorf("%w: a check needs the name of who made it", ErrInput)
	}
	data = checkedData{Occasion: r.Occasion, Remark: r.Remark, Temperature: r.Temperature, Ability: s.ability(r.Gauge)}
	if data.Found, err = s.points(ctx, r.Gauge, r.Found); err != nil {
		return data, err
	}
	if err := h.Plan.demands(r.Found); err != nil {
		return data, err
	}
	data.Result = master.Evaluate(data.input(data.Found))
	if data.Result.Limit != nil && data.Result.Worst.Standard == 0 {
		return data, fmt.Errorf("%w: nothing is known of how well gauge %s repeats: take several readings at each master, or state its resolution in the configuration", ErrInput, r.Gauge)
	}
	if len(r.Left) == 0 {
		return data, nil
	}
	if data.Left, err = s.points(ctx, r.Gauge, r.Left); err != nil {
		return data, err
	}
	left := master.Evaluate(data.input(data.Left))
	data.LeftResult = &left
	return data, nil
}

func (c checkedData) input(points []pointData) master.Input {
	in := master.Input{Temperature: c.Temperature, Ability: c.Ability}
	for _, p := range points {
		in.Points = append(in.Points, p.Point)
	}
	return in
}

// points loads the readings of a check.
func (s *Station) points(ctx context.Context, gaugeID string, wanted []CheckPoint) ([]pointData, error) {
	if len(wanted) == 0 {
		return nil, fmt.Errorf("%w: a check needs readings at a master", ErrInput)
	}
	var points []pointData
	for _, w := range wanted {
		m, err := s.master(w.Master)
		if err != nil {
			return nil, err
		}
		if len(w.Readings) == 0 {
			return nil, fmt.Errorf("%w: there are no readings at master %s", ErrInput, m.ID)
		}
		p := pointData{Point: master.Point{Master: m, Falling: w.Falling}, Seqs: w.Readings}
		for _, seq := range w.Readings {
			f, err := s.o.Store.Reading(ctx, seq)
			if err != nil {
				return nil, fmt.Errorf("%w: reading %d: %w", ErrNotFound, seq, err)
			}
			if f.Reading.Gauge != gaugeID {
				return nil, fmt.Errorf("%w: reading %d is of %s, not of %s", ErrInput, seq, f.Reading.Gauge, gaugeID)
			}
			p.Readings = append(p.Readings, f.Reading.Value)
		}
		points = append(points, p)
	}
	return points, nil
}

// demands says what a check lacks of its plan.
func (p *Plan) demands(points []CheckPoint) error {
	if p == nil {
		return nil
	}
	for _, id := range p.Masters {
		for _, falling := range []bool{false, true} {
			if falling && !p.BothWays {
				continue
			}
			at := slices.IndexFunc(points, func(c CheckPoint) bool { return c.Master == id && c.Falling == falling })
			if at < 0 || len(points[at].Readings) < p.Repeats {
				way := ""
				if falling {
					way = ", from above,"
				}
				return fmt.Errorf("%w: the plan wants %d readings at master %s%s in a check", ErrInput, p.Repeats, id, way)
			}
		}
	}
	return nil
}

// SetStanding says whether a gauge may be used, and why.
func (s *Station) SetStanding(ctx context.Context, gaugeID string, standing Standing, reason, by string) (*Health, error) {
	switch {
	case !slices.Contains(Standings, standing):
		return nil, fmt.Errorf("%w: %q is no standing; it is in service, suspect, out for calibration or retired", ErrInput, standing)
	case strings.TrimSpace(by) == "":
		return nil, fmt.Errorf("%w: say who changes the standing", ErrInput)
	case strings.TrimSpace(reason) == "":
		return nil, fmt.Errorf("%w: say why gauge %s is %s", ErrInput, gaugeID, standing)
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
	f := gauge.Fact{Seq: d.nextSeq, Gauge: &gauge.GaugeFact{Gauge: gaugeID, Time: d.s.o.Now(), Kind: kind, By: by, Data: marshal(data)}}
	h, ok := d.health[gaugeID]
	if !ok {
		if h = d.s.health[gaugeID]; h == nil {
			h = d.s.newHealth(gaugeID)
		}
	}
	next, err := h.with(f)
	if err != nil {
		return f, err
	}
	d.health[gaugeID] = next
	return d.add(f), nil
}

// Checks returns the stored checks of a gauge, oldest first.
func (s *Station) Checks(ctx context.Context, gaugeID string) ([]*CheckRecord, error) {
	if _, err := s.Health(gaugeID); err != nil {
		return nil, err
	}
	var records []*CheckRecord
	const page = 10_000
	for after := uint64(0); ; {
		facts, err := s.o.Store.GaugeFacts(ctx, gaugeID, after, page)
		if err != nil {
			return nil, err
		}
		for _, f := range facts {
			after = f.Seq
			if f.Gauge.Kind != kindChecked {
				continue
			}
			data, err := unmarshalGauge[checkedData](f.Gauge)
			if err != nil {
				return nil, err
			}
			records = append(records, &CheckRecord{
				Seq: f.Seq, Time: f.Gauge.Time, By: f.Gauge.By, Occasion: data.Occasion, Result: data.Result, Left: data.LeftResult, Remark: data.Remark,
				points: data.Found, left: data.Left,
			})
		}
		if len(facts) < page {
			return records, nil
		}
	}
}

// Masters returns the masters, by id.
func (s *Station) Masters() map[string]master.Master { return s.o.Masters }

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
			why := ""
			if h.Why != "" {
				why = ": " + h.Why
			}
			return nil, fmt.Errorf("%w: gauge %s is %s%s", ErrRefused, id, h.Standing, why)
		case h.Overdue(s.o.Now()):
			text := fmt.Sprintf("the check of gauge %s was due on %s", id, h.Due().Format("2006-01-02"))
			if h.Last == nil {
				text = fmt.Sprintf("gauge %s was never checked against a master", id)
			}
			if h.Plan.Blocks {
				return nil, fmt.Errorf("%w: %s: check it first", ErrRefused, text)
			}
			warnings = append(warnings, text)
		}
	}
	return warnings, nil
}
