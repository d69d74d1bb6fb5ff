package server

import (
	"context"
	"errors"
	"io"
	"strings"
	"sync"

	"google.golang.org/grpc/codes"

	"gauged/internal/access"
	"gauged/internal/gauge"
	"gauged/internal/station"
	"gauged/internal/wire"

	gaugedv1 "gauged/api/gauged/v1"
)

// intake takes streams of readings into the station. It is what IngestReadings
// and StreamEvaluations share.
type intake struct {
	station *station.Station
	guard   *access.Guard
	readers *sync.WaitGroup

	mu      sync.Mutex
	streams map[string]*sender // the one stream of each sender
}

// following is what StreamEvaluations does besides: it looks for news at the
// beginning, after each stored batch, and after each change of the station.
type following struct {
	changed func() <-chan struct{}
	stored  func([]station.Ingested)
	send    func(context.Context) error
}

// take stores what recv gives and acknowledges each batch when it is durable,
// until the stream ends. follow may be nil.
func (in *intake) take(ctx context.Context, recv func() (batch, error), acknowledge func(*gaugedv1.IngestReadingsResponse) error, follow *following) error {
	caller, _ := access.From(ctx)
	ahead := in.readAhead(ctx, caller, recv)
	var first incoming
	select {
	case first = <-ahead:
	case <-ctx.Done():
		return ctx.Err()
	}
	switch {
	case errors.Is(first.err, io.EOF):
		return nil
	case first.err != nil:
		return first.err
	case strings.TrimSpace(first.source) == "":
		return gauge.WrongInput("refusal.sender.first-message")
	}
	if err := caller.Feeds(first.source); err != nil {
		return err
	}
	if err := in.ownSender(ctx, caller, first.source); err != nil {
		return err
	}
	ctx, release := in.claim(ctx, first.source)
	defer release()
	through, err := in.station.Resume(ctx, first.source)
	if err != nil {
		return err
	}
	if err := acknowledge(&gaugedv1.IngestReadingsResponse{DurableThroughSeq: through}); err != nil {
		return err
	}
	t := &taking{in, first.source, acknowledge, follow, through}
	switch err := t.run(ctx, first, ahead); {
	case errors.Is(err, io.EOF):
		return nil
	case ctx.Err() != nil:
		return context.Cause(ctx)
	default:
		return err
	}
}

// ownSender refuses who sends as somebody else, and binds a sender to the program that is the
// first to send as it.
func (in *intake) ownSender(ctx context.Context, caller access.Caller, source string) error {
	var gauges []string
	for _, g := range in.station.Gauges() {
		gauges = append(gauges, g.ID)
	}
	if err := in.guard.Feeds(caller, source, gauges); err != nil {
		return err
	}
	if in.station.Register().Bound(caller, source) {
		return nil
	}
	return in.station.ChangeAccess(ctx, access.BindSender(caller, source))
}

// taking is a stream whose sender is known.
type taking struct {
	in          *intake
	source      string
	acknowledge func(*gaugedv1.IngestReadingsResponse) error
	follow      *following
	through     uint64 // the number that was last acknowledged
}

// run returns io.EOF when the sender has ended the stream.
func (t *taking) run(ctx context.Context, first incoming, ahead <-chan incoming) error {
	if len(first.readings) > 0 {
		if err := t.store(ctx, first.readings); err != nil {
			return err
		}
	}
	for {
		changed, err := t.news(ctx)
		if err != nil {
			return err
		}
		select {
		case m := <-ahead:
			readings, end := t.gather(m, ahead)
			if len(readings) > 0 || end == nil {
				if err := t.store(ctx, readings); err != nil {
					return err
				}
			}
			if end != nil {
				return end
			}
		case <-changed:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

// gather adds the messages that wait behind m, so that they share a commit. The
// error, io.EOF at the orderly end, comes after the readings.
func (t *taking) gather(m incoming, ahead <-chan incoming) (readings []station.Ingested, err error) {
	for {
		if m.err != nil {
			return readings, m.err
		}
		if m.source != "" && m.source != t.source {
			return readings, gauge.WrongInput("refusal.sender.renamed", gauge.Text("source", t.source), gauge.Text("other", m.source))
		}
		readings = append(readings, m.readings...)
		if len(readings) >= mostAtOnce {
			return readings, nil
		}
		select {
		case m = <-ahead:
		default:
			return readings, nil
		}
	}
}

// news sends what has changed. The channel was taken before looking, so that
// no change is missed.
func (t *taking) news(ctx context.Context) (<-chan struct{}, error) {
	if t.follow == nil {
		return nil, nil
	}
	changed := t.follow.changed()
	return changed, t.follow.send(ctx)
}

// store stores readings, of a long message a part after the other: what a line sends meanwhile
// waits for one part, not for all.
func (t *taking) store(ctx context.Context, readings []station.Ingested) error {
	for len(readings) > mostAtOnce {
		if err := t.commit(ctx, readings[:mostAtOnce]); err != nil {
			return err
		}
		readings = readings[mostAtOnce:]
	}
	return t.commit(ctx, readings)
}

func (t *taking) commit(ctx context.Context, readings []station.Ingested) error {
	receipt, err := t.in.station.Ingest(ctx, t.source, readings)
	if err != nil {
		return err
	}
	if t.follow != nil {
		t.follow.stored(readings)
	}
	return t.answer(receipt)
}

// mostRefused is how many refusals one answer names, so that it fits into a message.
const mostRefused = 2000

// answer acknowledges. Many refusals are spread over several answers; the last alone
// moves durable_through, so that nothing is acknowledged before it is named.
func (t *taking) answer(receipt station.Receipt) error {
	refused := make([]*gaugedv1.RefusedReading, len(receipt.Refused))
	for i, r := range receipt.Refused {
		refused[i] = &gaugedv1.RefusedReading{SourceSeq: r.SourceSeq, Reason: wire.Message(r.Reason)}
	}
	for len(refused) > mostRefused {
		if err := t.acknowledge(&gaugedv1.IngestReadingsResponse{DurableThroughSeq: t.through, Refused: refused[:mostRefused]}); err != nil {
			return err
		}
		refused = refused[mostRefused:]
	}
	t.through = receipt.Through
	return t.acknowledge(&gaugedv1.IngestReadingsResponse{DurableThroughSeq: receipt.Through, SkippedCount: receipt.Skipped, Refused: refused})
}

// sender is the stream that a source has open.
type sender struct{ end context.CancelCauseFunc }

// claim makes the stream the only one of its source: an older one, which may
// be a connection that broke without a sign, is ended. Otherwise two programs
// under one name would pass over each other's readings without a word.
func (in *intake) claim(ctx context.Context, source string) (context.Context, func()) {
	ctx, end := context.WithCancelCause(ctx)
	mine := &sender{end}
	in.mu.Lock()
	defer in.mu.Unlock()
	if older, ok := in.streams[source]; ok {
		older.end(refused(codes.Aborted, gauge.Say("refusal.sender.taken-over", gauge.Text("source", source))))
	}
	in.streams[source] = mine
	return ctx, func() {
		end(nil)
		in.mu.Lock()
		defer in.mu.Unlock()
		if in.streams[source] == mine {
			delete(in.streams, source)
		}
	}
}
