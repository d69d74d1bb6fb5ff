package server

import (
	"context"

	"google.golang.org/protobuf/types/known/timestamppb"

	"gauged/internal/station"
	"gauged/internal/wire"

	gaugedv1 "gauged/api/gauged/v1"
)

// infoService tells about the daemon.
type infoService struct {
	gaugedv1.UnimplementedServerServiceServer
	station *station.Station
	info    Info
	open    bool // nobody is asked who they are
}

func (s *infoService) GetServerInfo(ctx context.Context, _ *gaugedv1.GetServerInfoRequest) (*gaugedv1.GetServerInfoResponse, error) {
	answer := &gaugedv1.GetServerInfoResponse{
		Station: s.info.Name, Version: s.info.Version, Contract: string(gaugedv1.File_gauged_v1_server_proto.Package()), StartTime: timestamppb.New(s.info.Started),
		HistoryId: s.station.ID(), LastSeq: s.station.Newest(), Languages: s.info.Languages, StretchId: s.station.Stretch(), AccessOpen: s.open,
		Head: wire.Head(s.station.Head()), StationKey: s.station.PublicKey(),
	}
	answer.HistoryTroubles = wire.Messages(s.station.Troubles())
	if s.info.Size == nil {
		return answer, nil
	}
	schema, bytes, err := s.info.Size(ctx)
	if err != nil {
		return nil, err
	}
	answer.HistorySchema, answer.HistoryBytes = uint32(schema), uint64(bytes)
	return answer, nil
}
