package server

import (
	"context"
	"slices"

	"google.golang.org/grpc/codes"

	"gauged/internal/gauge"
	"gauged/internal/server/message"
	"gauged/internal/station"
	"gauged/internal/tail"
	"gauged/internal/wire"

	gaugedv1 "gauged/api/gauged/v1"
)

// gaugeService shows gauges and takes readings from programs.
type gaugeService struct {
	gaugedv1.UnimplementedGaugeServiceServer
	station *station.Station
	intake  *intake
}

func (s *gaugeService) ListGauges(_ context.Context, r *gaugedv1.ListGaugesRequest) (*gaugedv1.ListGaugesResponse, error) {
	p, err := onPage(r, usualPage, mostOnPage)
	if err != nil {
		return nil, err
	}
	id := func(g station.GaugeStatus) string { return g.ID }
	gauges, err := rest(s.station.Gauges(), p, id)
	if err != nil {
		return nil, err
	}
	answer := &gaugedv1.ListGaugesResponse{}
	answer.Gauges, answer.NextPageToken = fill(gauges, p, message.Gauge, id)
	if p.after == "" {
		answer.Troubles = wire.Messages(s.station.Troubles())
	}
	return answer, nil
}

func (s *gaugeService) GetGauge(_ context.Context, r *gaugedv1.GetGaugeRequest) (*gaugedv1.GetGaugeResponse, error) {
	g, err := s.station.Gauge(r.GetGaugeId())
	if err != nil {
		return nil, err
	}
	return &gaugedv1.GetGaugeResponse{Gauge: message.Gauge(g)}, nil
}

// WatchReadings sends readings and states from the history as they are added.
// Each watcher has a cursor of its own: a slow one holds up nobody else.
func (s *gaugeService) WatchReadings(r *gaugedv1.WatchReadingsRequest, stream gaugedv1.GaugeService_WatchReadingsServer) error {
	if err := s.known(r.GetGaugeIds()); err != nil {
		return err
	}
	after, err := beginOf(stream.Context(), s.station, r, r.AfterSeq != nil)
	if err != nil {
		return err
	}
	if err := stream.Send(&gaugedv1.WatchReadingsResponse{Event: &gaugedv1.WatchReadingsResponse_Start{
		Start: &gaugedv1.WatchStart{AfterSeq: after, StretchId: s.station.Stretch()},
	}}); err != nil {
		return err
	}
	cursor := s.station.Watch(after)
	cursor.Skip = r.GetSkipWhenBehind()
	for {
		page, err := cursor.Next(stream.Context())
		if err != nil {
			return err
		}
		if err := sendPage(stream, page, r.GetGaugeIds()); err != nil {
			return err
		}
	}
}

// watching says where a watch begins.
type watching interface {
	GetAfterSeq() uint64
	GetStretchId() string
}

// beginOf is the number of the history after which a watch begins: the one that is asked for,
// else the newest. A number of another history is refused.
func beginOf(ctx context.Context, s *station.Station, r watching, asked bool) (uint64, error) {
	newest, after := s.Newest(), r.GetAfterSeq()
	if !asked {
		return newest, nil
	}
	holds := after <= newest
	if stretch := r.GetStretchId(); holds && stretch != "" {
		var err error
		if holds, err = s.Holds(ctx, stretch, after); err != nil {
			return 0, err
		}
	}
	if !holds {
		return 0, refused(codes.OutOfRange, gauge.Say("refusal.watch.other-history", gauge.Count("newest", newest), gauge.Count("after", after)))
	}
	return after, nil
}

// known refuses gauges that are neither configured nor in the history.
func (s *gaugeService) known(ids []string) error {
	var configured []string
	for _, g := range s.station.Gauges() {
		configured = append(configured, g.ID)
	}
	for _, id := range ids {
		if !s.station.Seen(id) {
			return gauge.NotFound("refusal.gauge.missing", gauge.Text("gauge", id), gauge.Others("others", id, configured))
		}
	}
	return nil
}

func sendPage(stream gaugedv1.GaugeService_WatchReadingsServer, page tail.Page, gauges []string) error {
	if page.GapLast > 0 {
		gap := &gaugedv1.Gap{FirstSeq: page.GapFirst, LastSeq: page.GapLast}
		if err := stream.Send(&gaugedv1.WatchReadingsResponse{Event: &gaugedv1.WatchReadingsResponse_Gap{Gap: gap}}); err != nil {
			return err
		}
	}
	if lag := lagOf(page); lag != nil {
		if err := stream.Send(&gaugedv1.WatchReadingsResponse{Event: &gaugedv1.WatchReadingsResponse_Lag{Lag: lag}}); err != nil {
			return err
		}
	}
	for _, f := range page.Facts {
		event := watchEvent(f, gauges)
		if event == nil {
			continue
		}
		if err := stream.Send(event); err != nil {
			return err
		}
	}
	return nil
}

// lagOf is what a watcher is told before a page that is far behind; nil: nothing.
func lagOf(page tail.Page) *gaugedv1.Lag {
	if page.Newest == 0 {
		return nil
	}
	return &gaugedv1.Lag{AfterSeq: page.Facts[0].Seq - 1, NewestSeq: page.Newest}
}

// watchEvent returns what a watcher of these gauges gets of a fact, nil for nothing.
func watchEvent(f gauge.Fact, gauges []string) *gaugedv1.WatchReadingsResponse {
	watched := func(id string) bool { return len(gauges) == 0 || slices.Contains(gauges, id) }
	switch {
	case f.Reading != nil && watched(f.Reading.Gauge):
		return &gaugedv1.WatchReadingsResponse{Event: &gaugedv1.WatchReadingsResponse_Reading{Reading: message.Reading(f)}}
	case f.State != nil && watched(f.State.Gauge):
		return &gaugedv1.WatchReadingsResponse{Event: &gaugedv1.WatchReadingsResponse_State{State: message.StateChange(f)}}
	}
	return nil
}

// IngestReadings takes readings and acknowledges what is durable.
func (s *gaugeService) IngestReadings(stream gaugedv1.GaugeService_IngestReadingsServer) error {
	return s.intake.take(stream.Context(), func() (batch, error) { return stream.Recv() }, stream.Send, nil)
}
