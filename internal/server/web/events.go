package web

import (
	"context"
	"errors"
	"io"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/grpc-ecosystem/grpc-gateway/v2/runtime"
	"github.com/grpc-ecosystem/grpc-gateway/v2/utilities"
	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/gauge"
)

const (
	silence   = 15 * time.Second // after which a line of nothing says that the stream lives
	slowest   = 30 * time.Second // that one write may take
	reconnect = "retry: 2000\n\n"
)

// event is one of a stream.
type event struct {
	name string // what it is
	seq  uint64 // where to go on behind it, 0: it says nothing of that
	data proto.Message
}

// readings streams readings, states of gauges and gaps.
func (s *site) readings(w http.ResponseWriter, r *http.Request) {
	request := &gaugedv1.WatchReadingsRequest{}
	from, ok := asked(w, r, request)
	if !ok {
		return
	}
	if from != nil {
		request.AfterSeq, request.StretchId = &from.seq, from.stretch
	}
	stream(s, w, r, func(ctx context.Context, conn *grpc.ClientConn) (grpc.ServerStreamingClient[gaugedv1.WatchReadingsResponse], error) {
		return gaugedv1.NewGaugeServiceClient(conn).WatchReadings(ctx, request)
	}, func(m *gaugedv1.WatchReadingsResponse) (event, string) {
		switch {
		case m.GetStart() != nil:
			return event{"start", m.GetStart().GetAfterSeq(), m.GetStart()}, m.GetStart().GetStretchId()
		case m.GetReading() != nil:
			return event{"reading", m.GetReading().GetSeq(), m.GetReading()}, ""
		case m.GetState() != nil:
			return event{"state", m.GetState().GetSeq(), m.GetState()}, ""
		case m.GetLag() != nil:
			return event{"lag", m.GetLag().GetAfterSeq(), m.GetLag()}, ""
		}
		return event{"gap", m.GetGap().GetLastSeq(), m.GetGap()}, ""
	})
}

// jobs streams what changes in jobs, and verdicts.
func (s *site) jobs(w http.ResponseWriter, r *http.Request) {
	request := &gaugedv1.WatchJobsRequest{}
	from, ok := asked(w, r, request)
	if !ok {
		return
	}
	if from != nil {
		request.AfterSeq, request.StretchId = &from.seq, from.stretch
	}
	stream(s, w, r, func(ctx context.Context, conn *grpc.ClientConn) (grpc.ServerStreamingClient[gaugedv1.WatchJobsResponse], error) {
		return gaugedv1.NewJobServiceClient(conn).WatchJobs(ctx, request)
	}, func(m *gaugedv1.WatchJobsResponse) (event, string) {
		if m.GetStart() != nil {
			return event{"start", m.GetStart().GetAfterSeq(), m.GetStart()}, m.GetStart().GetStretchId()
		}
		if m.GetLag() != nil {
			return event{"lag", m.GetLag().GetAfterSeq(), m.GetLag()}, ""
		}
		return event{"change", m.GetChange().GetSeq(), m.GetChange()}, ""
	})
}

// job streams one job as it stands, at each change of it.
func (s *site) job(w http.ResponseWriter, r *http.Request) {
	request := &gaugedv1.WatchJobRequest{}
	if _, ok := asked(w, r, request); !ok {
		return
	}
	var ok bool
	if request.JobId, ok = jobOf(w, r); !ok {
		return
	}
	stream(s, w, r, func(ctx context.Context, conn *grpc.ClientConn) (grpc.ServerStreamingClient[gaugedv1.WatchJobResponse], error) {
		return gaugedv1.NewJobServiceClient(conn).WatchJob(ctx, request)
	}, func(m *gaugedv1.WatchJobResponse) (event, string) { return event{"job", 0, m.GetJob()}, "" })
}

// recall streams the parts of a recall.
func (s *site) recall(w http.ResponseWriter, r *http.Request) {
	request := &gaugedv1.RecallRequest{}
	if !posted(w, r, request) {
		return
	}
	request.GaugeId = r.PathValue("gauge_id")
	stream(s, w, r, func(ctx context.Context, conn *grpc.ClientConn) (grpc.ServerStreamingClient[gaugedv1.RecallResponse], error) {
		return gaugedv1.NewHealthServiceClient(conn).Recall(ctx, request)
	}, func(m *gaugedv1.RecallResponse) (event, string) { return event{"part", 0, m}, "" })
}

// motion takes the reading of a motion and streams how far it is.
func (s *site) motion(w http.ResponseWriter, r *http.Request) {
	request := &gaugedv1.CaptureMotionRequest{}
	if !posted(w, r, request) {
		return
	}
	var ok bool
	if request.JobId, ok = jobOf(w, r); !ok {
		return
	}
	stream(s, w, r, func(ctx context.Context, conn *grpc.ClientConn) (grpc.ServerStreamingClient[gaugedv1.CaptureMotionResponse], error) {
		return gaugedv1.NewJobServiceClient(conn).CaptureMotion(ctx, request)
	}, func(m *gaugedv1.CaptureMotionResponse) (event, string) {
		if m.GetJob() != nil {
			return event{"job", 0, m.GetJob()}, ""
		}
		return event{"progress", 0, m.GetProgress()}, ""
	})
}

// jobOf is the job that a path names.
func jobOf(w http.ResponseWriter, r *http.Request) (uint64, bool) {
	id, err := numberIn(r, "job_id")
	if err != nil {
		refuse(w, r, err)
	}
	return id, err == nil
}

// posted reads the body of a request with the id that it is made under, and answers what is not to be read.
func posted(w http.ResponseWriter, r *http.Request, request proto.Message) bool {
	body, err := io.ReadAll(r.Body)
	if err == nil && len(body) > 0 {
		if wrong := form.Unmarshal(body, request); wrong != nil {
			err = unreadable(wrong.Error())
		}
	}
	if err == nil {
		err = identify(request, r.Header.Get(idempotencyKey))
	}
	if err != nil {
		refuse(w, r, err)
	}
	return err == nil
}

// place is where a stream goes on.
type place struct {
	seq     uint64
	stretch string
}

// asked reads what is to be watched from the query of a request, and where to go on from
// the id of the last event that the watcher had. It answers what is not to be read.
func asked(w http.ResponseWriter, r *http.Request, request proto.Message) (from *place, ok bool) {
	if err := runtime.PopulateQueryParameters(request, r.URL.Query(), utilities.NewDoubleArray(nil)); err != nil {
		refuse(w, r, unreadable(err.Error()))
		return nil, false
	}
	last := r.Header.Get("Last-Event-ID")
	if last == "" {
		return nil, true
	}
	stretch, number, _ := strings.Cut(last, ".")
	seq, err := strconv.ParseUint(number, 10, 64)
	if err != nil {
		refuse(w, r, &httpError{http.StatusBadRequest, gauge.Say("refusal.http.event-id", gauge.Text("id", last))})
		return nil, false
	}
	return &place{seq, stretch}, true
}

// stream sends what is watched until the watcher leaves, or the watch ends: then a last
// event says why. What fails before the first event is answered as of any call.
func stream[M any](s *site, w http.ResponseWriter, r *http.Request, open func(context.Context, *grpc.ClientConn) (grpc.ServerStreamingClient[M], error), as func(*M) (event, string)) {
	conn, leave := s.watchers.take()
	defer leave()
	ctx, cancel := context.WithCancel(r.Context())
	defer cancel()
	watch, err := open(ctx, conn)
	if err != nil {
		refuse(w, r, err)
		return
	}
	first, err := watch.Recv()
	if err != nil {
		refuse(w, r, err)
		return
	}
	w.Header().Set("Content-Type", "text/event-stream")
	out := &sender{w: w, to: http.NewResponseController(w)}
	out.text(reconnect)
	messages, ended := make(chan *M), make(chan error, 1)
	go func() {
		for m, err := first, error(nil); ; m, err = watch.Recv() {
			if err != nil {
				ended <- err
				return
			}
			select {
			case messages <- m:
			case <-ctx.Done():
				return
			}
		}
	}()
	alive := time.NewTicker(silence)
	defer alive.Stop()
	for out.err == nil {
		select {
		case m := <-messages:
			e, stretch := as(m)
			if stretch != "" {
				out.stretch = stretch
			}
			out.event(e)
		case <-alive.C:
			out.text(":\n\n")
		case err := <-ended:
			if !errors.Is(err, io.EOF) && ctx.Err() == nil {
				out.end(r, err)
			}
			return
		case <-ctx.Done():
			return
		}
	}
}
