package client

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"sync"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

	gaugedv1 "gauged/api/gauged/v1"
)

// Sender is who feeds readings.
type Sender struct {
	// Source is the name that the readings are numbered under. It must stay the same, and
	// no other program may use it.
	Source string
	// Refused is told of readings that the daemon did not accept, before they are passed
	// over. It may be nil; it must not call the feed.
	Refused func(*gaugedv1.RefusedReading)
	Outage
}

// Feed is a stream of readings into the station. What it was given is kept until the daemon
// has it durably, and sent again after an outage. What the daemon has is never sent again. It is
// safe for use by several goroutines, though the numbers must rise.
type Feed struct {
	sender Sender
	end    context.CancelFunc
	over   chan struct{} // closed when nothing runs any more

	mu      sync.Mutex
	kept    []*gaugedv1.IngestedReading // rising; the daemon is not known to have them
	bytes   int                         // of kept
	sent    int                         // of kept, on the present connection
	highest uint64                      // that was given
	through uint64                      // everything up to here is durable
	ready   bool                        // the daemon has said where to go on
	err     error                       // that ended the feed
	changed chan struct{}               // closed and replaced when anything above changes
}

// What a feed keeps at most; then Send waits.
const (
	mostKept      = 4096
	mostKeptBytes = 4 << 20
	batchBytes    = 1 << 20 // of one message
	batchReadings = 1000
)

// errOver is that of a feed that was closed.
var errOver = errors.New("the feed is closed")

// Feed opens the stream and waits until the daemon has said where to go on: see Through. It
// ends with ctx, with Close, or when the daemon refuses it, such as because another program
// sends under its name.
func (c *Client) Feed(ctx context.Context, s Sender) (*Feed, error) {
	f := &Feed{sender: s, over: make(chan struct{}), changed: make(chan struct{})}
	running, end := context.WithCancel(ctx)
	f.end = end
	go f.run(running, c)
	if err := f.wait(ctx, func() bool { return f.ready }); err != nil {
		return nil, errors.Join(err, f.Close())
	}
	return f, nil
}

// Through is the number up to which everything is stored durably, but for what was refused. A
// program that was killed goes on behind it.
func (f *Feed) Through() uint64 {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.through
}

// Send gives readings to the feed, which sends them as soon as it can. Their numbers must rise;
// those that the daemon has are passed over, so that a file can be given from its beginning.
// While the feed keeps 4096 readings, or 4 MiB, it waits.
func (f *Feed) Send(ctx context.Context, readings ...*gaugedv1.IngestedReading) error {
	for _, r := range readings {
		room := func() bool { return len(f.kept) < mostKept && f.bytes < mostKeptBytes }
		if err := f.wait(ctx, room); err != nil {
			return err
		}
		if err := f.keep(r); err != nil {
			return err
		}
	}
	return nil
}

func (f *Feed) keep(r *gaugedv1.IngestedReading) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	n := r.GetSourceSeq()
	switch {
	case n <= f.highest:
		return fmt.Errorf("source_seq %d follows %d: the numbers of a sender begin with 1 and rise", n, f.highest)
	case n > f.through:
		f.kept = append(f.kept, r)
		f.bytes += proto.Size(r)
		f.change()
	}
	f.highest = n
	return nil
}

// Flush waits until everything that was given is stored durably, or refused.
func (f *Feed) Flush(ctx context.Context) error {
	return f.wait(ctx, func() bool { return len(f.kept) == 0 })
}

// Close ends the feed. What is not durable then is not sent any more: call Flush before.
func (f *Feed) Close() error {
	f.end()
	<-f.over
	return nil
}

// wait waits until a condition holds that is about what mu guards.
func (f *Feed) wait(ctx context.Context, holds func() bool) error {
	for {
		f.mu.Lock()
		held, changed, err := holds(), f.changed, f.err
		f.mu.Unlock()
		switch {
		case err != nil:
			return err
		case held:
			return nil
		}
		select {
		case <-changed:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

// change wakes who waits; mu is held.
func (f *Feed) change() {
	close(f.changed)
	f.changed = make(chan struct{})
}

// run keeps the stream up.
func (f *Feed) run(ctx context.Context, c *Client) {
	defer close(f.over)
	defer f.end()
	l := c.line(f.sender.Outage)
	for {
		err := l.ended(ctx, f.session(ctx, gaugedv1.NewGaugeServiceClient(c.conn), l))
		if err == nil {
			continue
		}
		if errors.Is(err, context.Canceled) {
			err = errOver
		}
		f.mu.Lock()
		f.err = err
		f.change()
		f.mu.Unlock()
		return
	}
}

type ingestStream = grpc.BidiStreamingClient[gaugedv1.IngestReadingsRequest, gaugedv1.IngestReadingsResponse]

// session opens the stream once and feeds it until it breaks.
func (f *Feed) session(ctx context.Context, gauges gaugedv1.GaugeServiceClient, l *line) error {
	ctx, cancel := context.WithCancel(ctx)
	var sending sync.WaitGroup
	defer sending.Wait()
	defer cancel()
	stream, err := gauges.IngestReadings(ctx)
	if err != nil {
		return err
	}
	_ = stream.Send(&gaugedv1.IngestReadingsRequest{Source: f.sender.Source}) // when it fails, the answer says why
	answer, err := stream.Recv()
	if err != nil {
		return err
	}
	if err := f.goOn(answer.GetDurableThroughSeq()); err != nil {
		return err
	}
	l.answered()
	sending.Go(func() { f.send(ctx, stream) })
	for {
		if answer, err = stream.Recv(); err != nil {
			return err
		}
		if f.sender.Refused != nil {
			for _, r := range answer.GetRefused() {
				f.sender.Refused(r)
			}
		}
		f.mu.Lock()
		f.durable(answer.GetDurableThroughSeq())
		f.mu.Unlock()
	}
}

// goOn begins a connection where the daemon says.
func (f *Feed) goOn(through uint64) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if through < f.through {
		return fmt.Errorf("the daemon has readings of %q up to number %d, and has acknowledged number %d: an older copy of its history was restored; open the feed anew, and send from there", f.sender.Source, through, f.through)
	}
	f.sent, f.ready = 0, true
	f.durable(through)
	return nil
}

// durable forgets what the daemon has; mu is held.
func (f *Feed) durable(through uint64) {
	n := 0
	for n < len(f.kept) && f.kept[n].GetSourceSeq() <= through {
		f.bytes -= proto.Size(f.kept[n])
		n++
	}
	f.kept = slices.Delete(f.kept, 0, n)
	f.sent, f.through = max(0, f.sent-n), max(f.through, through)
	f.change()
}

// send sends what is kept, and what comes, until the stream breaks: the receiver says why.
func (f *Feed) send(ctx context.Context, stream ingestStream) {
	for f.wait(ctx, func() bool { return f.sent < len(f.kept) }) == nil {
		if stream.Send(&gaugedv1.IngestReadingsRequest{Readings: f.batch()}) != nil {
			return
		}
	}
}

// batch is what is sent next as one message.
func (f *Feed) batch() (readings []*gaugedv1.IngestedReading) {
	f.mu.Lock()
	defer f.mu.Unlock()
	for size := 0; f.sent < len(f.kept) && len(readings) < batchReadings; f.sent++ {
		if size += proto.Size(f.kept[f.sent]); size > batchBytes && len(readings) > 0 {
			break
		}
		readings = append(readings, f.kept[f.sent])
	}
	return readings
}
