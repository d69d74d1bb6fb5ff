// Package take takes the readings of a gauge one by one, for checks and studies: at the
// press of its button, at Enter, or typed.
package take

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
	"gauged/internal/gauge"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// New takes the readings of a gauge one by one, until stop is called.
func New(a *app.App, ctx context.Context, d *app.Daemon, gaugeID string) (t *CheckTaker, stop func(), err error) {
	ctx, stop = context.WithCancel(ctx)
	t = &CheckTaker{App: a, Mode: Mode(d, ctx, gaugeID), Lines: app.ReadLines(ctx, a.Stdin)}
	if t.Mode == show.ModeTyped {
		return t, stop, nil
	}
	if t.Readings, err = Follows(d, ctx, gaugeID); err != nil {
		stop()
		return nil, nil, err
	}
	return t, stop, nil
}

// Mode is how a gauge gives readings.
func Mode(d *app.Daemon, ctx context.Context, gaugeID string) pb.GaugeMode {
	answer, err := app.Ask(ctx, d, d.Gauges.ListGauges, &pb.ListGaugesRequest{})
	if err != nil {
		return pb.GaugeMode_GAUGE_MODE_UNSPECIFIED
	}
	for _, g := range answer.GetGauges() {
		if g.GetId() == gaugeID {
			return g.GetMode()
		}
	}
	return pb.GaugeMode_GAUGE_MODE_UNSPECIFIED
}

// Follows hands on the readings of a gauge until ctx ends; it is closed when the
// stream fails.
func Follows(d *app.Daemon, ctx context.Context, gaugeID string) (<-chan *pb.Reading, error) {
	stream, err := d.Gauges.WatchReadings(ctx, &pb.WatchReadingsRequest{GaugeIds: []string{gaugeID}})
	if err != nil {
		return nil, err
	}
	readings := make(chan *pb.Reading)
	go func() {
		defer close(readings)
		for {
			event, err := stream.Recv()
			if err != nil {
				return
			}
			if r := event.GetReading(); r != nil {
				select {
				case readings <- r:
				case <-ctx.Done():
					return
				}
			}
		}
	}()
	return readings, nil
}

// CheckTaker takes one reading after the other: at a press of the gauge's button,
// or at Enter the newest that has not been taken.
type CheckTaker struct {
	App      *app.App
	Mode     pb.GaugeMode
	Lines    <-chan string
	Readings <-chan *pb.Reading
	newest   *pb.Reading
	wanted   int // how often Enter came before a reading that has not been taken
	// said gets a line that is not empty; when it is nil such a line is an Enter too.
	Said func(line string) error
}

// One takes one reading.
func (t *CheckTaker) One(ctx context.Context) (TakenReading, error) {
	if t.Mode == show.ModeTyped {
		typed, err := t.takeTyped(ctx)
		if err != nil {
			return TakenReading{}, err
		}
		return TakenReading{Typed: typed, Value: typedLength(typed)}, nil
	}
	r, err := t.Take(ctx)
	if err != nil {
		return TakenReading{}, err
	}
	return TakenReading{Seq: r.GetSeq(), Value: r.GetValue()}, nil
}

// takeTyped asks for what a gauge without a connection shows.
func (t *CheckTaker) takeTyped(ctx context.Context) (*pb.TypedReading, error) {
	for {
		select {
		case <-ctx.Done():
			return nil, ctx.Err()
		case line, open := <-t.Lines:
			if !open {
				return nil, ErrInputEnded
			}
			if word := strings.TrimSpace(line); t.Said != nil && len(word) == 1 && strings.ContainsAny(word, "dqyDQY") {
				if err := t.Said(word); err != nil {
					return nil, err
				}
			}
			digits, unit, err := app.TypedValue(line, gauge.KindLength)
			if err == nil && strings.Contains(digits, "..") {
				err = fmt.Errorf("%q is an interval: type one value", digits)
			}
			if err == nil {
				return &pb.TypedReading{Shown: digits, Unit: unit}, nil
			}
			fmt.Fprintf(t.App.Stderr, "  not taken: %v\n", err)
		}
	}
}

// ErrInputEnded says that nobody is there any more who could press Enter.
var ErrInputEnded = errors.New("the check was cancelled: the input ended")

// Take waits for the next reading: of the stream, or typed.
func (t *CheckTaker) Take(ctx context.Context) (*pb.Reading, error) {
	for {
		lines := t.Lines
		if t.wanted > 0 { // an Enter waits for its reading: what was typed after it comes after it
			lines = nil
		}
		select {
		case <-ctx.Done():
			return nil, ctx.Err()
		case r, open := <-t.Readings:
			if !open {
				return nil, errors.New("the daemon gives no more readings: begin again")
			}
			if t.newest = r; t.Mode == show.ModeButton || t.wanted > 0 {
				t.newest, t.wanted = nil, max(t.wanted-1, 0)
				return r, nil
			}
		case line, open := <-lines:
			switch r := t.newest; {
			case t.Said != nil && strings.TrimSpace(line) != "":
				if err := t.Said(strings.TrimSpace(line)); err != nil {
					return nil, err
				}
			case !open && t.Mode != show.ModeButton:
				return nil, ErrInputEnded
			case !open:
				t.Lines = nil
			case r != nil:
				t.newest = nil
				return r, nil
			case t.Mode != show.ModeButton:
				t.wanted++
			}
		}
	}
}

// TakenReading is one reading: typed, or of the history.
type TakenReading struct {
	Seq   uint64
	Typed *pb.TypedReading
	Value *pb.Quantity
}

// typedLength is the value of what was typed; nil where it is none.
func typedLength(r *pb.TypedReading) *pb.Quantity {
	value, err := gauge.ParseLength(r.GetShown(), wire.FromUnit(r.GetUnit()))
	if err != nil {
		return nil
	}
	return wire.Quantity(value, r.GetShown(), wire.FromUnit(r.GetUnit()))
}
