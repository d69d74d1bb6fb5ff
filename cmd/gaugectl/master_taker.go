package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"gauged/internal/gauge"

	pb "gauged/api/gauged/v1"
)

// taker takes the readings of a gauge one by one, until stop is called.
func (a *app) taker(ctx context.Context, d *daemon, gaugeID string) (t *checkTaker, stop func(), err error) {
	ctx, stop = context.WithCancel(ctx)
	t = &checkTaker{app: a, mode: d.mode(ctx, gaugeID), lines: readLines(ctx, a.stdin)}
	if t.mode == modeTyped {
		return t, stop, nil
	}
	if t.readings, err = d.follows(ctx, gaugeID); err != nil {
		stop()
		return nil, nil, err
	}
	return t, stop, nil
}

// mode is how a gauge gives readings.
func (d *daemon) mode(ctx context.Context, gaugeID string) string {
	answer, err := ask(ctx, d, d.gauges.ListGauges, &pb.ListGaugesRequest{})
	if err != nil {
		return ""
	}
	for _, g := range answer.GetGauges() {
		if g.GetId() == gaugeID {
			return g.GetMode()
		}
	}
	return ""
}

// follows hands on the readings of a gauge until ctx ends; it is closed when the
// stream fails.
func (d *daemon) follows(ctx context.Context, gaugeID string) (<-chan *pb.Reading, error) {
	stream, err := d.gauges.WatchReadings(ctx, &pb.WatchReadingsRequest{GaugeIds: []string{gaugeID}})
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

// checkTaker takes one reading after the other: at a press of the gauge's button,
// or at Enter the newest that has not been taken.
type checkTaker struct {
	app      *app
	mode     string
	lines    <-chan string
	readings <-chan *pb.Reading
	newest   *pb.Reading
	wanted   int // how often Enter came before a reading that has not been taken
	// said gets a line that is not empty; when it is nil such a line is an Enter too.
	said func(line string) error
}

// one takes one reading.
func (t *checkTaker) one(ctx context.Context) (takenReading, error) {
	if t.mode == modeTyped {
		typed, err := t.takeTyped(ctx)
		if err != nil {
			return takenReading{}, err
		}
		return takenReading{typed: typed, value: typedLength(typed)}, nil
	}
	r, err := t.take(ctx)
	if err != nil {
		return takenReading{}, err
	}
	return takenReading{seq: r.GetSeq(), value: r.GetValue()}, nil
}

// takeTyped asks for what a gauge without a connection shows.
func (t *checkTaker) takeTyped(ctx context.Context) (*pb.TypedReading, error) {
	for {
		select {
		case <-ctx.Done():
			return nil, ctx.Err()
		case line, open := <-t.lines:
			if !open {
				return nil, errInputEnded
			}
			if word := strings.TrimSpace(line); t.said != nil && len(word) == 1 && strings.ContainsAny(word, "dqyDQY") {
				if err := t.said(word); err != nil {
					return nil, err
				}
			}
			digits, unit, err := typedValue(line, gauge.KindLength)
			if err == nil && strings.Contains(digits, "..") {
				err = fmt.Errorf("%q is an interval: type one value", digits)
			}
			if err == nil {
				return &pb.TypedReading{Shown: digits, Unit: unit}, nil
			}
			fmt.Fprintf(t.app.stderr, "  not taken: %v\n", err)
		}
	}
}

// errInputEnded says that nobody is there any more who could press Enter.
var errInputEnded = errors.New("the check was given up: the input ended")

func (t *checkTaker) take(ctx context.Context) (*pb.Reading, error) {
	for {
		lines := t.lines
		if t.wanted > 0 { // an Enter waits for its reading: what was typed after it comes after it
			lines = nil
		}
		select {
		case <-ctx.Done():
			return nil, ctx.Err()
		case r, open := <-t.readings:
			if !open {
				return nil, errors.New("the daemon gives no more readings: begin again")
			}
			if t.newest = r; t.mode == modeButton || t.wanted > 0 {
				t.newest, t.wanted = nil, max(t.wanted-1, 0)
				return r, nil
			}
		case line, open := <-lines:
			switch r := t.newest; {
			case t.said != nil && strings.TrimSpace(line) != "":
				if err := t.said(strings.TrimSpace(line)); err != nil {
					return nil, err
				}
			case !open && t.mode != modeButton:
				return nil, errInputEnded
			case !open:
				t.lines = nil
			case r != nil:
				t.newest = nil
				return r, nil
			case t.mode != modeButton:
				t.wanted++
			}
		}
	}
}
