package server

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"time"

	"google.golang.org/protobuf/proto"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/server/message"
	"gauged/internal/station"
	"gauged/internal/wire"

	gaugedv1 "gauged/api/gauged/v1"
)

// healthService keeps the checks of the gauges.
type healthService struct {
	gaugedv1.UnimplementedHealthServiceServer
	station *station.Station
}

func (s *healthService) ListHealth(ctx context.Context, _ *gaugedv1.ListHealthRequest) (*gaugedv1.ListHealthResponse, error) {
	answer := &gaugedv1.ListHealthResponse{}
	work := s.station.KnownWorkErrors()
	for _, g := range s.station.Gauges() {
		if g.Mode == gauge.ModeSwitch {
			continue
		}
		h, err := s.health(ctx, g.ID)
		if err != nil {
			return nil, err
		}
		if w, known := work[g.ID]; known {
			h.Work = message.WorkError(w, s.unit(g.ID))
		}
		answer.Gauges = append(answer.Gauges, h)
	}
	masters := s.station.Masters()
	for _, id := range slices.Sorted(maps.Keys(masters)) {
		answer.Masters = append(answer.Masters, wire.Master(masters[id], gauge.Millimetre, time.Now()))
	}
	return answer, nil
}

// health returns a gauge as it stands.
func (s *healthService) health(_ context.Context, id string) (*gaugedv1.GaugeHealth, error) {
	h, err := s.station.Health(id)
	if err != nil {
		return nil, err
	}
	m := message.Health(id, h, s.unit(id), time.Now())
	m.ReadingsSinceCheck = s.station.ReadingsSinceCheck(id)
	return m, nil
}

// unit is that in which the lengths of a gauge are shown.
func (s *healthService) unit(id string) gauge.Unit {
	for _, g := range s.station.Gauges() {
		if g.ID == id {
			return g.Unit
		}
	}
	return gauge.UnitUnknown
}

func (s *healthService) BeginCheck(ctx context.Context, r *gaugedv1.BeginCheckRequest) (*gaugedv1.BeginCheckResponse, error) {
	b, err := s.station.BeginCheck(ctx, r.GetGaugeId(), r.GetBy(), r.GetMasters())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.BeginCheckResponse{Begun: b.Seq}, nil
}

func (s *healthService) LeaveCheck(ctx context.Context, r *gaugedv1.LeaveCheckRequest) (*gaugedv1.LeaveCheckResponse, error) {
	left, err := s.station.LeaveCheck(ctx, r.GetGaugeId(), r.GetBegun(), r.GetBy())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.LeaveCheckResponse{Left: uint32(left)}, nil
}

func (s *healthService) RecordCheck(ctx context.Context, r *gaugedv1.RecordCheckRequest) (*gaugedv1.RecordCheckResponse, error) {
	request := station.CheckRequest{
		Gauge: r.GetGaugeId(), By: r.GetBy(), Occasion: r.GetOccasion(), Remark: r.GetRemark(),
		Found: checkPoints(r.GetFound()), Left: checkPoints(r.GetLeft()), Begun: r.GetBegun(),
	}
	var err error
	if request.Temperature, err = wire.FromTemperature(r.GetTemperature(), r.GetTemperatureTolerance()); err != nil {
		return nil, err
	}
	c, err := s.station.RecordCheck(ctx, request)
	if err != nil {
		return nil, err
	}
	h, err := s.health(ctx, r.GetGaugeId())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.RecordCheckResponse{Check: wire.Check(c, s.unit(r.GetGaugeId())), Gauge: h}, nil
}

func checkPoints(points []*gaugedv1.CheckPoint) (all []station.CheckPoint) {
	for _, p := range points {
		point := station.CheckPoint{Master: p.GetMaster(), Readings: p.GetReadingSeqs(), Falling: p.GetFalling()}
		for _, t := range p.GetTyped() {
			point.Typed = append(point.Typed, typedReading(t))
		}
		all = append(all, point)
	}
	return all
}

func typedReading(t *gaugedv1.TypedReading) station.TypedReading {
	return station.TypedReading{Shown: t.GetShown(), Unit: wire.FromUnit(t.GetUnit())}
}

func (s *healthService) RecordZeroReturn(ctx context.Context, r *gaugedv1.RecordZeroReturnRequest) (*gaugedv1.RecordZeroReturnResponse, error) {
	c, err := s.station.RecordZeroReturn(ctx, station.ZeroRequest{
		Gauge: r.GetGaugeId(), Job: r.GetJobId(), Reading: r.GetReadingSeq(), Typed: typedReading(r.GetTyped()), By: r.GetBy(), Remark: r.GetRemark(),
	})
	if err != nil {
		return nil, err
	}
	h, err := s.health(ctx, r.GetGaugeId())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.RecordZeroReturnResponse{Check: wire.Check(c, s.unit(r.GetGaugeId())), Gauge: h}, nil
}

func (s *healthService) ImportChecks(ctx context.Context, r *gaugedv1.ImportChecksRequest) (*gaugedv1.ImportChecksResponse, error) {
	checks, problems := wire.FromPastChecks(r.GetChecks())
	request := health.ImportRequest{Gauge: r.GetGaugeId(), By: r.GetBy(), Checks: checks, DryRun: r.GetDryRun() || len(problems) > 0}
	records, more, err := s.station.ImportChecks(ctx, request)
	if err != nil {
		return nil, err
	}
	answer := &gaugedv1.ImportChecksResponse{}
	for _, p := range append(problems, more...) {
		answer.Problems = append(answer.Problems, &gaugedv1.ImportProblem{Check: uint32(p.Check), Text: p.Text})
	}
	if len(answer.Problems) == 0 {
		for _, c := range records {
			answer.Checks = append(answer.Checks, wire.Check(c, s.unit(r.GetGaugeId())))
		}
	}
	answer.Gauge, err = s.health(ctx, r.GetGaugeId())
	return answer, err
}

func (s *healthService) VoidCheck(ctx context.Context, r *gaugedv1.VoidCheckRequest) (*gaugedv1.VoidCheckResponse, error) {
	if _, err := s.station.VoidCheck(ctx, station.VoidRequest{Gauge: r.GetGaugeId(), Check: r.GetCheckSeq(), Reason: r.GetReason(), By: r.GetBy()}); err != nil {
		return nil, err
	}
	h, err := s.health(ctx, r.GetGaugeId())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.VoidCheckResponse{Gauge: h}, nil
}

func (s *healthService) ListChecks(ctx context.Context, r *gaugedv1.ListChecksRequest) (*gaugedv1.ListChecksResponse, error) {
	checks, err := s.station.AllChecks(ctx, r.GetGaugeId())
	if err != nil {
		return nil, err
	}
	h, err := s.station.Health(r.GetGaugeId())
	if err != nil {
		return nil, err
	}
	answer, p := &gaugedv1.ListChecksResponse{}, onPage(r.GetLimit(), usualPage, mostOnPage)
	if after := r.GetAfterSeq(); after == 0 {
		answer.Standings = message.Standings(h.Standings())
		p.used = proto.Size(answer)
	} else {
		last := slices.IndexFunc(checks, func(c *check.Record) bool { return c.Seq == after })
		if last < 0 {
			return nil, fmt.Errorf("%w: %d is no check of gauge %s; begin with the first page", gauge.ErrInput, after, r.GetGaugeId())
		}
		checks = checks[last+1:]
	}
	unit := s.unit(r.GetGaugeId())
	answer.Checks, answer.NextAfterSeq = fill(checks, p,
		func(c *check.Record) *gaugedv1.MasterCheck { return wire.Check(c, unit) }, func(c *check.Record) uint64 { return c.Seq })
	return answer, nil
}

func (s *healthService) FindSigns(ctx context.Context, r *gaugedv1.FindSignsRequest) (*gaugedv1.FindSignsResponse, error) {
	signs, err := s.station.Signs(ctx, r.GetGaugeId())
	if err != nil {
		return nil, err
	}
	answer := &gaugedv1.FindSignsResponse{}
	for _, one := range signs {
		answer.Signs = append(answer.Signs, &gaugedv1.Sign{Kind: string(one.Kind), Found: one.Found, Detail: one.Detail, Refused: one.Refused})
	}
	return answer, nil
}

func (s *healthService) SetStanding(ctx context.Context, r *gaugedv1.SetStandingRequest) (*gaugedv1.SetStandingResponse, error) {
	if _, err := s.station.SetStanding(ctx, r.GetGaugeId(), message.FromStanding(r.GetStanding()), r.GetReason(), r.GetBy()); err != nil {
		return nil, err
	}
	h, err := s.health(ctx, r.GetGaugeId())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.SetStandingResponse{Gauge: h}, nil
}
