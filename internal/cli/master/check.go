package master

import (
	"context"
	"errors"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"

	pb "gauged/api/gauged/v1"
)

const checkLong = "Lead through a check of a gauge against masters. Masters and number of readings are\n" +
	"those of the gauge's plan, or of --at.\n" +
	"A gauge with a data button is read at each press. Of a gauge that sends by itself,\n" +
	"Enter takes the newest reading. For a gauge without a connection, type the value with\n" +
	"its unit. At the end the check is recorded.\n" +
	"\n" +
	"Instead of a reading you can type:\n" +
	"  d  discard the last reading\n" +
	"  y  take a reading that was questioned\n" +
	"  q  leave: cancel the check, or keep it to continue later\n" +
	"\n" +
	"With --file the checks of a CSV file are evaluated without a daemon, and nothing is\n" +
	"stored. The file has one line of column names, and one reading on each line.\n" +
	"\n" +
	"Columns that are needed:\n" +
	"  master       name of the master\n" +
	"  value        its value at 20 degrees Celsius\n" +
	"  reading      what the gauge showed\n" +
	"\n" +
	"Optional columns:\n" +
	"  check        which check it belongs to; without it all lines are one\n" +
	"  way          rising, or falling where the value was approached from above\n" +
	"  state        found, or left after an adjustment\n" +
	"  uncertainty  expanded uncertainty of the master, with the next column\n" +
	"  k            its coverage factor\n" +
	"  expansion    of the master, in 1e-6/K\n" +
	"  unit         unit of all lengths of the line, instead of --unit\n" +
	"\n" +
	"The exit code is 4 when a check does not pass."

func masterCheckCommand(a *app.App) *cobra.Command {
	var f checkFlags
	var table checkTable
	var led ledFlags
	cmd := &cobra.Command{
		Use:   "check GAUGE | --file CHECKS.csv",
		Short: "Lead through a check of a gauge",
		Long:  checkLong,
		Example: "  gaugectl master check dial --by quality\n  gaugectl master check dial --at zero --at block-25:5\n" +
			"  gaugectl master check --file checks.csv --unit mm --mpe 4um --resolution 1um",
		Args: app.Arguments(0, 1),
	}
	f.add(a, cmd)
	table.flags(a, cmd)
	led.add(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		switch {
		case (len(args) == 0) == (table.file == ""):
			return app.Usagef("name a gauge of the daemon, or with --file a table of readings")
		case table.file != "":
			return checkFile(a, table, f)
		}
		points, taken, err := led.points()
		if err != nil {
			return err
		}
		return a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
			request := f.request(a, args[0])
			request.BegunSeq, request.Found = led.begun, taken
			switch err := lead(a, ctx, d, request, points); {
			case errors.Is(err, errKept):
				return nil
			case err != nil:
				return errors.Join(err, leave(a, ctx, d, request))
			}
			return recordCheck(a, ctx, d, request)
		})(cmd, args)
	}
	return cmd
}

// ledFlags say at which masters a check is led, and how far it was before.
type ledFlags struct {
	at, found, fallingFound []string
	begun                   uint64
}

func (l *ledFlags) add(cmd *cobra.Command) {
	cmd.Flags().Uint64Var(&l.begun, "begun", 0, "continue the check of this number, which was left with q")
	cmd.Flags().StringArrayVar(&l.found, "taken", nil, "readings taken before it was left: `MASTER=READING[,READING...]`, may be repeated")
	cmd.Flags().StringArrayVar(&l.fallingFound, "taken-falling", nil, "as --taken, for a value that was approached from above")
	cmd.Flags().StringArrayVar(&l.at, "at", nil, "`MASTER[:READINGS]` instead of the plan, may be repeated")
}

// points are the masters asked for, and what was taken before.
func (l *ledFlags) points() (points []wantedPoint, taken []*pb.CheckPoint, err error) {
	if points, err = askedPoints(l.at); err != nil {
		return nil, nil, err
	}
	if taken, err = checkPoints(l.found, false); err != nil {
		return nil, nil, err
	}
	falling, err := checkPoints(l.fallingFound, true)
	if err != nil {
		return nil, nil, err
	}
	if taken = append(taken, falling...); len(taken) > 0 && l.begun == 0 {
		return nil, nil, app.Usagef("readings that were taken before are of a check that was begun: say which with --begun")
	}
	return points, taken, nil
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
				return nil, app.Usagef("%q: %q is not a number of readings from 1 to 100", text, count)
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
		for _, id := range p.GetMasterIds() {
			points = append(points, wantedPoint{id, int(p.GetRepeats()), falling})
		}
	}
	return points
}

// lead begins the check of a request and takes its readings.
func lead(a *app.App, ctx context.Context, d *app.Daemon, request *pb.RecordCheckRequest, points []wantedPoint) error {
	gaugeID := request.GetGaugeId()
	health, err := app.Ask(ctx, d, d.Health.GetHealth, &pb.GetHealthRequest{GaugeId: gaugeID})
	if err != nil {
		return err
	}
	masters, err := app.All(ctx, d, d.Health.ListMasters, &pb.ListMastersRequest{})
	if err != nil {
		return err
	}
	if len(points) == 0 {
		points = planned(health.GetGauge().GetPlan())
	}
	if len(points) == 0 {
		return app.Usagef("gauge %s has no plan of checks that names masters: say at which with --at", gaugeID)
	}
	if request.GetBegunSeq() > 0 {
		return takeAll(a, ctx, d, request, points, masters.GetMasters()) // it is taken up again
	}
	begin := &pb.BeginCheckRequest{GaugeId: gaugeID, By: request.GetBy()}
	for _, p := range points {
		begin.MasterIds = append(begin.MasterIds, p.master)
	}
	begun, err := app.Ask(ctx, d, d.Health.BeginCheck, begin)
	if err != nil {
		return err
	}
	request.BegunSeq = begun.GetBegunSeq()
	return takeAll(a, ctx, d, request, points, masters.GetMasters())
}

// leave gives a check up that was begun and not led to its end, so that the gauge's
// button feeds jobs again.
func leave(a *app.App, ctx context.Context, d *app.Daemon, request *pb.RecordCheckRequest) error {
	if request.GetBegunSeq() == 0 {
		return nil
	}
	_, err := app.Ask(context.WithoutCancel(ctx), d, d.Health.LeaveCheck, &pb.LeaveCheckRequest{GaugeId: request.GetGaugeId(), BegunSeq: request.GetBegunSeq(), By: request.GetBy()})
	return err
}
