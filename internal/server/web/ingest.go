package web

import (
	"errors"
	"io"
	"net/http"

	gaugedv1 "gauged/api/gauged/v1"
)

// ingest takes readings of a program, and answers when they are stored.
func (s *site) ingest(w http.ResponseWriter, r *http.Request) {
	request := &gaugedv1.IngestReadingsRequest{}
	if !posted(w, r, request) {
		return
	}
	answer, err := s.store(r, request)
	if err != nil {
		refuse(w, r, err)
		return
	}
	data, err := form.Marshal(answer)
	if err != nil {
		refuse(w, r, err)
		return
	}
	w.Header().Set("Content-Type", "application/json")
	_, _ = w.Write(data)
}

// store sends readings on and puts together what is answered to them.
func (s *site) store(r *http.Request, request *gaugedv1.IngestReadingsRequest) (*gaugedv1.IngestReadingsResponse, error) {
	conn, err := s.Inside()
	if err != nil {
		return nil, err
	}
	defer conn.Close()
	stream, err := gaugedv1.NewGaugeServiceClient(conn).IngestReadings(r.Context())
	if err != nil {
		return nil, err
	}
	// A stream that has ended says why when it is read.
	if err := stream.Send(request); err == nil {
		err = stream.CloseSend()
		if err != nil {
			return nil, err
		}
	} else if !errors.Is(err, io.EOF) {
		return nil, err
	}
	all := &gaugedv1.IngestReadingsResponse{}
	for {
		part, err := stream.Recv()
		switch {
		case errors.Is(err, io.EOF):
			return all, nil
		case err != nil:
			return nil, err
		}
		all.DurableThroughSeq = part.GetDurableThroughSeq()
		all.SkippedCount += part.GetSkippedCount()
		all.Refused = append(all.Refused, part.GetRefused()...)
	}
}
