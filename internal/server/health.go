package server

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/server/message"
	"gauged/internal/sheet"
	"gauged/internal/station"
	"gauged/internal/wire"

	gaugedv1 "gauged/api/gauged/v1"
)

// healthService keeps the checks of the gauges.
type healthService struct {
	gaugedv1.UnimplementedHealthServiceServer
	station *station.Station
	house   sheet.House
	version string // of the program
}

func (s *healthService) ListHealth(ctx context.Context, r *gaugedv1.ListHealthRequest) (*gaugedv1.ListHealthResponse, error) {
	p, err := onPage(r, usualPage, mostOnPage)
	if err != nil {
		return nil, err
	}
	var all []*gaugedv1.GaugeHealth
	for _, id := range s.measuring() {
		h, err := s.health(ctx, id)
		if err != nil {
			return nil, err
		}
		all = append(all, h)
	}
	if all, err = rest(all, p, (*gaugedv1.GaugeHealth).GetGaugeId); err != nil {
		return nil, err
	}
	answer := &gaugedv1.ListHealthResponse{}
	answer.Gauges, answer.NextPageToken = fill(all, p, itself[*gaugedv1.GaugeHealth], (*gaugedv1.GaugeHealth).GetGaugeId)
	return answer, nil
}

func (s *healthService) GetHealth(ctx context.Context, r *gaugedv1.GetHealthRequest) (*gaugedv1.GetHealthResponse, error) {
	h, err := s.health(ctx, r.GetGaugeId())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.GetHealthResponse{Gauge: h}, nil
}

func (s *healthService) ListMasters(_ context.Context, r *gaugedv1.ListMastersRequest) (*gaugedv1.ListMastersResponse, error) {
	p, err := onPage(r, usualPage, mostOnPage)
	if err != nil {
		return nil, err
	}
	masters := slices.SortedFunc(maps.Values(s.station.Masters()), func(a, b check.Master) int { return strings.Compare(a.ID, b.ID) })
	id := func(m check.Master) string { return m.ID }
	if masters, err = rest(masters, p, id); err != nil {
		return nil, err
	}
	answer := &gaugedv1.ListMastersResponse{}
	answer.Masters, answer.NextPageToken = fill(masters, p,
		func(m check.Master) *gaugedv1.Master { return wire.Master(m, m.Unit, s.station.Now()) }, id)
	return answer, nil
}

// measuring are the gauges that measure, in the order of the configuration.
func (s *healthService) measuring() (ids []string) {
	for _, g := range s.station.Gauges() {
		if g.Mode != gauge.ModeSwitch {
			ids = append(ids, g.ID)
		}
	}
	return ids
}

func itself[M any](m M) M { return m }

// health returns a gauge as it stands; in a call for trial as it would stand.
func (s *healthService) health(ctx context.Context, id string) (*gaugedv1.GaugeHealth, error) {
	h, readings, err := s.station.HealthIn(ctx, id)
	if err != nil {
		return nil, err
	}
	m := message.Health(id, h, s.unit(id), s.station.Now())
	m.ReadingsSinceCheck = readings
	if w, known := s.station.KnownWorkErrors()[id]; known {
		m.Work = message.WorkError(w, s.unit(id))
	}
	return m, nil
}

// unit is that in which the lengths of a gauge are shown.
func (s *healthService) unit(id string) gauge.Unit { return message.UnitOf(s.station, id) }

func (s *healthService) BeginCheck(ctx context.Context, r *gaugedv1.BeginCheckRequest) (*gaugedv1.BeginCheckResponse, error) {
	b, err := s.station.BeginCheck(ctx, r.GetGaugeId(), r.GetBy(), r.GetMasterIds(), health.BegunData{})
	if err != nil {
		return nil, err
	}
	return &gaugedv1.BeginCheckResponse{BegunSeq: b.Seq}, nil
}

func (s *healthService) LeaveCheck(ctx context.Context, r *gaugedv1.LeaveCheckRequest) (*gaugedv1.LeaveCheckResponse, error) {
	left, err := s.station.LeaveCheck(ctx, r.GetGaugeId(), r.GetBegunSeq(), r.GetBy())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.LeaveCheckResponse{Count: uint32(left)}, nil
}

func (s *healthService) RecordCheck(ctx context.Context, r *gaugedv1.RecordCheckRequest) (*gaugedv1.RecordCheckResponse, error) {
	request := station.CheckRequest{
		Gauge: r.GetGaugeId(), By: r.GetBy(), Occasion: r.GetOccasion(), Remark: r.GetRemark(),
		Found: checkPoints(r.GetFound()), Left: checkPoints(r.GetLeft()), Begun: r.GetBegunSeq(),
		Confirmed: r.GetFarOffConfirmed(),
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
		point := station.CheckPoint{Master: p.GetMasterId(), Readings: p.GetReadingSeqs(), Falling: p.GetFalling()}
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
	checks, unread := wire.FromPastChecks(r.GetChecks())
	records, problems, err := s.station.ImportChecks(ctx, health.ImportRequest{
		Gauge: r.GetGaugeId(), By: r.GetBy(), Checks: checks, Confirmed: r.GetFarOffConfirmed(), Unread: unread,
	})
	if err != nil {
		return nil, err
	}
	answer := &gaugedv1.ImportChecksResponse{}
	for _, p := range problems {
		answer.Problems = append(answer.Problems, wire.ImportProblem(p))
	}
	for _, c := range records {
		answer.Checks = append(answer.Checks, wire.Check(c, s.unit(r.GetGaugeId())))
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
	p, span, err := onTimedPage(r)
	if err != nil {
		return nil, err
	}
	checks, err := s.station.AllChecks(ctx, r.GetGaugeId())
	if err != nil {
		return nil, err
	}
	number := func(c *check.Record) uint64 { return c.Seq }
	if checks, err = rest(checks, p, number); err != nil {
		return nil, err
	}
	verdict := r.GetVerdict()
	checks = slices.DeleteFunc(checks, func(c *check.Record) bool {
		return !span.Has(c.Time) || verdict != gaugedv1.CheckVerdict_CHECK_VERDICT_UNSPECIFIED && verdict != wire.CheckVerdict(c.Result.Verdict)
	})
	unit := s.unit(r.GetGaugeId())
	answer := &gaugedv1.ListChecksResponse{}
	answer.Checks, answer.NextPageToken = fill(checks, p, func(c *check.Record) *gaugedv1.MasterCheck { return wire.Check(c, unit) }, number)
	return answer, nil
}

func (s *healthService) ListStandings(_ context.Context, r *gaugedv1.ListStandingsRequest) (*gaugedv1.ListStandingsResponse, error) {
	p, span, err := onTimedPage(r)
	if err != nil {
		return nil, err
	}
	ids := []string{r.GetGaugeId()}
	if r.GetGaugeId() == "" {
		ids = s.measuring()
	}
	var all []*gaugedv1.StandingChange
	for _, id := range ids {
		h, err := s.station.Health(id)
		if err != nil {
			return nil, err
		}
		for _, c := range h.Standings() {
			if span.Has(c.Time) && c.Seq > p.number() {
				all = append(all, message.StandingChange(id, c))
			}
		}
	}
	slices.SortFunc(all, func(a, b *gaugedv1.StandingChange) int { return cmp.Compare(a.GetSeq(), b.GetSeq()) })
	answer := &gaugedv1.ListStandingsResponse{}
	answer.Changes, answer.NextPageToken = fill(all, p, itself[*gaugedv1.StandingChange], (*gaugedv1.StandingChange).GetSeq)
	answer.HistoryHead = headAfter(s.station, answer.NextPageToken)
	return answer, nil
}

func (s *healthService) FindSigns(ctx context.Context, r *gaugedv1.FindSignsRequest) (*gaugedv1.FindSignsResponse, error) {
	signs, err := s.station.Signs(ctx, r.GetGaugeId())
	if err != nil {
		return nil, err
	}
	answer := &gaugedv1.FindSignsResponse{}
	for _, one := range signs {
		answer.Signs = append(answer.Signs, &gaugedv1.Sign{Kind: wire.SignKind(one.Kind), Found: one.Found, Detail: wire.Message(one.Detail), Refused: wire.Message(one.Refused)})
	}
	return answer, nil
}

func (s *healthService) DecideRecall(ctx context.Context, r *gaugedv1.DecideRecallRequest) (*gaugedv1.DecideRecallResponse, error) {
	if _, err := s.station.DecideRecall(ctx, health.RecallDecision{Gauge: r.GetGaugeId(), Check: r.GetCheckSeq(), Reason: r.GetReason(), By: r.GetBy()}); err != nil {
		return nil, err
	}
	h, err := s.health(ctx, r.GetGaugeId())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.DecideRecallResponse{Gauge: h}, nil
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
