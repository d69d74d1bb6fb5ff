package main

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"gauged/internal/gauge"

	pb "gauged/api/gauged/v1"
)

func (a *app) masterCheckCommand() *cobra.Command {
	var f checkFlags
	var table checkTable
	var at []string
	cmd := &cobra.Command{
		Use:   "check GAUGE | --file CHECKS.csv",
		Short: "Lead through a check of a gauge against masters",
		Long: "Lead through a check of a gauge: the masters and the number of readings are those of\n" +
			"the gauge's plan in the station's configuration, or of --at. A gauge with a data button\n" +
			"is read at each press; of one that sends by itself the newest reading is taken at each\n" +
			"Enter; what a gauge without a connection shows is typed in with its unit. At the end the\n" +
			"check is recorded, as gaugectl master record does it.\n\n" +
			"With --file the checks of a CSV table are evaluated in the same way, without a daemon, and\n" +
			"nothing is stored. It has a line of column names and one reading in each line. Needed are\n" +
			"  master       name of the master\n" +
			"  value        its value at 20 degrees Celsius\n" +
			"  reading      what the gauge showed\n" +
			"and known are also\n" +
			"  check        which check it belongs to; without it all lines are one\n" +
			"  way          rising, or falling where the value was approached from above\n" +
			"  state        found, or left after an adjustment\n" +
			"  uncertainty  expanded uncertainty of the master, with the next column\n" +
			"  k            its coverage factor\n" +
			"  expansion    of the master, in 1e-6/K\n" +
			"  unit         unit of all lengths of the line, instead of --unit\n" +
			"It ends with 1 when a check does not pass.",
		Example: "  gaugectl master check dial --by quality\n  gaugectl master check dial --at zero --at block-25:5\n" +
			"  gaugectl master check --file checks.csv --unit mm --mpe 0.004 --resolution 0.001",
		Args: arguments(0, 1),
	}
	f.add(a, cmd)
	table.flags(a, cmd)
	cmd.Flags().StringArrayVar(&at, "at", nil, "MASTER or MASTER:READINGS instead of the plan, may be repeated")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		switch {
		case (len(args) == 0) == (table.file == ""):
			return usagef("name a gauge of the daemon, or with --file a table of readings")
		case table.file != "":
			return a.checkFile(table, f)
		}
		points, err := askedPoints(at)
		if err != nil {
			return err
		}
		return a.withDaemon(func(ctx context.Context, d *daemon, _ []string) error {
			request := f.request(a, args[0])
			if err = a.lead(ctx, d, request, points); err != nil {
				return errors.Join(err, a.leave(ctx, d, request))
			}
			return a.recordCheck(ctx, d, request)
		})(cmd, args)
	}
	return cmd
}

// wantedPoint is a master at which so many readings are wanted.
type wantedPoint struct {
	master  string
	repeats int
	falling bool
}

func askedPoints(texts []string) (points []wantedPoint, err error) {
	for _, text := range texts {
		id, count, given := strings.Cut(text, ":")
		p := wantedPoint{master: id, repeats: 1}
		if given {
			if p.repeats, err = strconv.Atoi(count); err != nil || p.repeats < 1 || p.repeats > 100 {
				return nil, usagef("%q: %q is not a number of readings from 1 to 100", text, count)
			}
		}
		points = append(points, p)
	}
	return points, nil
}

// planned are the points of the gauge's plan.
func planned(p *pb.CheckPlan) (points []wantedPoint) {
	for _, falling := range []bool{false, true} {
		if falling && !p.GetBothWays() {
			continue
		}
		for _, id := range p.GetMasters() {
			points = append(points, wantedPoint{id, int(p.GetRepeats()), falling})
		}
	}
	return points
}

// lead begins the check of a request and takes its readings.
func (a *app) lead(ctx context.Context, d *daemon, request *pb.RecordCheckRequest, points []wantedPoint) error {
	gaugeID := request.GetGaugeId()
	health, err := ask(ctx, d, d.health.ListHealth, &pb.ListHealthRequest{})
	if err != nil {
		return err
	}
	if len(points) == 0 {
		for _, g := range health.GetGauges() {
			if g.GetGaugeId() == gaugeID {
				points = planned(g.GetPlan())
			}
		}
	}
	if len(points) == 0 {
		return usagef("gauge %s has no plan of checks that names masters: say at which with --at", gaugeID)
	}
	begin := &pb.BeginCheckRequest{GaugeId: gaugeID, By: request.GetBy()}
	for _, p := range points {
		begin.Masters = append(begin.Masters, p.master)
	}
	begun, err := ask(ctx, d, d.health.BeginCheck, begin)
	if err != nil {
		return err
	}
	request.Begun = begun.GetBegun()
	taker, stop, err := a.taker(ctx, d, gaugeID)
	if err != nil {
		return err
	}
	defer stop()
	titles := map[string]string{}
	for _, m := range health.GetMasters() {
		titles[m.GetId()] = lengthText(m.GetValue())
	}
	for _, p := range points {
		point := &pb.CheckPoint{Master: p.master, Falling: p.falling}
		for i := range p.repeats {
			way := ""
			if p.falling {
				way = ", from above"
			}
			fmt.Fprintf(a.stderr, "%s (%s)%s: reading %d of %d\n", p.master, titles[p.master], way, i+1, p.repeats)
			if err := taker.into(ctx, point); err != nil {
				return err
			}
		}
		request.Found = append(request.Found, point)
	}
	return nil
}

// leave gives a check up that was begun and not led to its end, so that the gauge's
// button feeds jobs again.
func (a *app) leave(ctx context.Context, d *daemon, request *pb.RecordCheckRequest) error {
	if request.GetBegun() == 0 {
		return nil
	}
	_, err := ask(context.WithoutCancel(ctx), d, d.health.LeaveCheck, &pb.LeaveCheckRequest{GaugeId: request.GetGaugeId(), Begun: request.GetBegun(), By: request.GetBy()})
	return err
}

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

// into takes one reading into a point, and shows it.
func (t *checkTaker) into(ctx context.Context, p *pb.CheckPoint) error {
	if t.mode == modeTyped {
		typed, err := t.takeTyped(ctx)
		p.Typed = append(p.Typed, typed)
		return err
	}
	r, err := t.take(ctx)
	if err != nil {
		return err
	}
	p.ReadingSeqs = append(p.ReadingSeqs, r.GetSeq())
	fmt.Fprintf(t.app.stderr, "  %s\n", readingText(r.GetValue()))
	return nil
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
		case line, open := <-t.lines:
			switch r := t.newest; {
			case t.said != nil && strings.TrimSpace(line) != "":
				if err := t.said(strings.TrimSpace(line)); err != nil {
					return nil, err
				}
			case !open && t.mode != modeButton && t.wanted == 0:
				return nil, errInputEnded
			case !open:
				t.lines = nil
			case r != nil:
				t.newest = nil
				return r, nil
			default:
				t.wanted++
			}
		}
	}
}
