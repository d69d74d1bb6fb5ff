package forward

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"sync"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/keepalive"
	"google.golang.org/protobuf/proto"

	"gauged/internal/server/message"
	"gauged/internal/tail"
	"gauged/internal/wire"
	"gauged/internal/words"

	gaugedv1 "gauged/api/gauged/v1"
)

type evaluationStream = grpc.BidiStreamingClient[gaugedv1.StreamEvaluationsRequest, gaugedv1.StreamEvaluationsResponse]

// session connects once and forwards until the connection breaks or ctx ends.
// It reports whether any reading was acknowledged.
func (f *Link) session(ctx context.Context) (acknowledged bool, err error) {
	options, err := f.o.Files.Options(f.o.Address)
	if err != nil {
		return false, err
	}
	conn, err := grpc.NewClient(f.target, append(options, grpc.WithNoProxy(),
		grpc.WithKeepaliveParams(keepalive.ClientParameters{Time: 30 * time.Second, Timeout: 10 * time.Second}))...)
	if err != nil {
		return false, err
	}
	defer func() { err = errors.Join(err, conn.Close()) }()
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	stream, through, err := f.open(ctx, conn)
	if err != nil {
		return false, err
	}
	f.window.begin(through)
	f.setConnected(true)
	defer f.setConnected(false)
	f.o.Log.Info("the link to the evaluating daemon is up", "address", f.o.Address, "goes_on_after", through)

	var sending sync.WaitGroup
	sending.Go(func() {
		// A broken stream is explained by the receiver.
		if err := f.send(ctx, stream, f.o.Station.Watch(through)); !errors.Is(err, io.EOF) {
			cancel(err)
		}
	})
	acknowledged, err = f.receive(stream)
	if cause := context.Cause(ctx); cause != nil {
		err = cause
	}
	cancel(nil)
	sending.Wait()
	return acknowledged, err
}

// open begins the stream and learns after which of our numbers to go on.
func (f *Link) open(ctx context.Context, conn *grpc.ClientConn) (evaluationStream, uint64, error) {
	stream, err := gaugedv1.NewEvaluationServiceClient(conn).StreamEvaluations(ctx)
	if err != nil {
		return nil, 0, err
	}
	// When this fails, the answer says why.
	if err := stream.Send(&gaugedv1.StreamEvaluationsRequest{Source: f.o.Station.ID()}); err != nil && !errors.Is(err, io.EOF) {
		return nil, 0, err
	}
	answer, err := stream.Recv()
	if err != nil {
		return nil, 0, err
	}
	if answer.GetAcknowledged() == nil {
		return nil, 0, errors.New("its first answer does not say where to go on")
	}
	through, newest := answer.GetAcknowledged().GetDurableThroughSeq(), f.o.Station.Newest()
	if through > newest {
		return nil, 0, fmt.Errorf("it has readings of this station up to entry %d, but the history here ends at %d: an older copy of the history is in use; put the newest one back, or begin a new one", through, newest)
	}
	return stream, through, nil
}

// maxBatch is the most bytes of a message with readings.
const maxBatch = 1 << 20

// send forwards what the history has and gets.
func (f *Link) send(ctx context.Context, stream evaluationStream, cursor *tail.Cursor) error {
	for {
		page, err := cursor.Next(ctx)
		if err != nil {
			return err
		}
		batch, size := &gaugedv1.StreamEvaluationsRequest{}, 0
		for _, fact := range page.Facts {
			if fact.Reading == nil {
				continue
			}
			m := message.Ingested(fact)
			if size += proto.Size(m); size > maxBatch {
				if err := f.sendBatch(ctx, stream, batch); err != nil {
					return err
				}
				batch, size = &gaugedv1.StreamEvaluationsRequest{}, proto.Size(m)
			}
			batch.Readings = append(batch.Readings, m)
		}
		if err := f.sendBatch(ctx, stream, batch); err != nil {
			return err
		}
		f.window.scan(page.Facts[len(page.Facts)-1].Seq)
	}
}

func (f *Link) sendBatch(ctx context.Context, stream evaluationStream, batch *gaugedv1.StreamEvaluationsRequest) error {
	if len(batch.Readings) == 0 {
		return nil
	}
	numbers := make([]uint64, len(batch.Readings))
	for i, r := range batch.Readings {
		numbers[i] = r.GetSourceSeq()
	}
	if err := f.window.add(ctx, numbers); err != nil {
		return err
	}
	return stream.Send(batch)
}

// receive takes acknowledgements and evaluations until the stream breaks.
func (f *Link) receive(stream evaluationStream) (acknowledged bool, err error) {
	told := map[string]bool{}
	for {
		answer, err := stream.Recv()
		if errors.Is(err, io.EOF) {
			return acknowledged, errors.New("it ended the stream")
		}
		if err != nil {
			return acknowledged, err
		}
		switch event := answer.GetEvent().(type) {
		case *gaugedv1.StreamEvaluationsResponse_Acknowledged:
			if f.window.acknowledge(event.Acknowledged.GetDurableThroughSeq()) {
				acknowledged = true
			}
			f.countRefused(event.Acknowledged.GetRefused(), told)
		case *gaugedv1.StreamEvaluationsResponse_Evaluation:
			f.evaluated(event.Evaluation)
		}
	}
}

// mostReasons bounds how many different refusals a session tells of.
const mostReasons = 20

// countRefused tells of each reason once; all are counted, after what is told of them.
func (f *Link) countRefused(refused []*gaugedv1.RefusedReading, told map[string]bool) {
	for _, r := range refused {
		reason := words.In(words.English).Tell(wire.FromMessage(r.GetReason()))
		if !told[reason] && len(told) < mostReasons {
			told[reason] = true
			f.o.Log.Warn("the evaluating daemon refused a reading; it counts further ones for the same reason",
				"seq", r.GetSourceSeq(), "reason", reason)
		}
	}
	f.mu.Lock()
	f.refused += uint64(len(refused))
	f.mu.Unlock()
}

func (f *Link) evaluated(e *gaugedv1.JobEvaluation) {
	f.mu.Lock()
	f.evaluations++
	f.mu.Unlock()
	var parts []string
	for _, fit := range e.GetEvaluation().GetFits() {
		if part := cmp.Or(fit.GetChoice().GetGrade().GetPart(), fit.GetPack().GetName()); part != "" {
			parts = append(parts, part)
		}
	}
	f.o.Log.Info("a job was evaluated", "job", e.GetJobId(), "outcome", e.GetEvaluation().GetOutcome(), "parts", strings.Join(parts, ", "))
	if f.o.Evaluated != nil {
		f.o.Evaluated(e.GetJobId(), e.GetEvaluation())
	}
}
