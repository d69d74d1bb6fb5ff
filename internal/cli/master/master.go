// Package master has the commands that compare gauges with masters.
package master

import (
	"context"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/proto"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// Command is the group of commands that compare gauges with masters.
func Command(a *app.App) *cobra.Command {
	return a.Group("master", "Check gauges against masters",
		masterCheckCommand(a), masterBeginCommand(a), masterLeaveCommand(a), masterRecordCommand(a), masterVoidCommand(a), masterImportCommand(a), masterSheetCommand(a), masterDCCCommand(a), masterZeroCommand(a), masterSignsCommand(a), masterStandingCommand(a), masterRecalledCommand(a))
}

func masterSignsCommand(a *app.App) *cobra.Command {
	return &cobra.Command{
		Use:   "signs GAUGE",
		Short: "Look for signs of a fault in a gauge's readings",
		Long: "Look for signs of a fault in a gauge's newest readings, in its checks and zero\n" +
			"returns, and in the jobs that it measured.\n" +
			"These are looked for: lost resolution, low battery, lost frames, stuck spindle, missed\n" +
			"counts, a preset left on, zero far off. Reversed direction, wrong unit, noise and\n" +
			"hysteresis are looked for too.\n" +
			"\n" +
			"What cannot be judged is shown with the reason. A healthy gauge shows a certain sign\n" +
			"once in a thousand looks or less. docs/fleet.md says how often a fault is found. The\n" +
			"exit code is 4 when a sign is found.",
		Args:              app.Arguments(1, 1),
		ValidArgsFunction: app.First(a.Names(app.GaugeNames)),
		RunE: a.WithDaemon(func(ctx context.Context, d *app.Daemon, args []string) error {
			answer, err := app.Ask(ctx, d, d.Health.FindSigns, &pb.FindSignsRequest{GaugeId: args[0]})
			if err != nil {
				return err
			}
			if err := a.Show(answer, func(w io.Writer) { renderSigns(w, answer.GetSigns()) }); err != nil {
				return err
			}
			for _, s := range answer.GetSigns() {
				if s.GetFound() {
					return app.NotPassedf("gauge %s shows signs of a fault: look at it, and check it against a master", args[0])
				}
			}
			return nil
		}),
	}
}

func renderSigns(w io.Writer, signs []*pb.Sign) {
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "SIGN\tRESULT\tDETAILS")
		for _, s := range signs {
			result, detail := show.Say("gauge.sign.none"), show.Told(s.GetDetail())
			switch {
			case s.GetFound():
				result = "FOUND"
			case s.GetRefused() != nil:
				result, detail = show.Say("gauge.sign.unknown"), show.Told(s.GetRefused())
			}
			fmt.Fprintf(tab, "%s\t%s\t%s\n", wire.FromSignKind(s.GetKind()), result, show.OrDash(detail))
		}
	})
}

// checkFlags are what is said of a check besides its readings.
type checkFlags struct {
	by, occasion, remark, temperature, tolerance string
	meant                                        bool
}

func (f *checkFlags) add(a *app.App, cmd *cobra.Command) {
	flags := cmd.Flags()
	app.ByFlag(flags, &f.by, "who makes the check")
	flags.StringVar(&f.occasion, "occasion", "", "reason for the check, such as periodic, before a job, after a drop")
	flags.StringVar(&f.remark, "remark", "", "a remark")
	flags.StringVar(&f.temperature, "temperature", "", "temperature of gauge and master in degrees Celsius (default: nothing is corrected)")
	flags.StringVar(&f.tolerance, "temperature-tolerance", "", "uncertainty of the temperature, in kelvin either way")
	flags.BoolVar(&f.meant, "meant", false, "readings that are far off their master are meant")
	cmd.ValidArgsFunction = app.First(a.Names(app.GaugeNames))
}

func (f *checkFlags) request(a *app.App, gaugeID string) *pb.RecordCheckRequest {
	return &pb.RecordCheckRequest{
		GaugeId: gaugeID, By: a.By(f.by), Occasion: f.occasion, Remark: f.remark,
		Temperature: f.temperature, TemperatureTolerance: f.tolerance, FarOffConfirmed: f.meant,
	}
}

func masterRecordCommand(a *app.App) *cobra.Command {
	var f checkFlags
	var at, falling, left []string
	var begun uint64
	cmd := &cobra.Command{
		Use:   "record GAUGE --at MASTER=READING[,READING...]",
		Short: "Record a check from stored readings",
		Long: "Record a check of a gauge against masters from readings in the history, by their\n" +
			"numbers. gaugectl history readings shows the numbers. Only readings after gaugectl\n" +
			"master begin count, each in one check.\n" +
			"\n" +
			"The result is pass, fail, or undecided when the limit is within the uncertainty. A\n" +
			"gauge that fails is suspect, and jobs refuse it until a check passes. The exit code is\n" +
			"4 when the check does not pass.",
		Example: "  gaugectl master record dial --at zero=1041,1042 --at block-25=1043,1044 --temperature 21.5",
		Args:    app.Arguments(1, 1),
	}
	f.add(a, cmd)
	cmd.Flags().StringArrayVar(&at, "at", nil, "`MASTER=READING[,READING...]`, by the numbers of the readings; may be repeated")
	cmd.Flags().StringArrayVar(&falling, "falling", nil, "as --at, for a value that was approached from above")
	cmd.Flags().StringArrayVar(&left, "left", nil, "as --at, after an adjustment")
	cmd.Flags().Uint64Var(&begun, "begun", 0, "number that gaugectl master begin gave (default: the gauge's last)")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		request := f.request(a, args[0])
		request.BegunSeq = begun
		for _, group := range []struct {
			texts   []string
			falling bool
			to      *[]*pb.CheckPoint
		}{{at, false, &request.Found}, {falling, true, &request.Found}, {left, false, &request.Left}} {
			points, err := checkPoints(group.texts, group.falling)
			if err != nil {
				return err
			}
			*group.to = append(*group.to, points...)
		}
		if len(request.Found) == 0 {
			return app.Usagef("name the readings at each master: --at MASTER=READING[,READING...]")
		}
		return a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error { return recordCheck(a, ctx, d, request) })(cmd, args)
	}
	return cmd
}

// checkPoints reads several of MASTER=READING[,READING...].
func checkPoints(texts []string, falling bool) (points []*pb.CheckPoint, err error) {
	for _, text := range texts {
		p, err := checkPoint(text)
		if err != nil {
			return nil, err
		}
		p.Falling = falling
		points = append(points, p)
	}
	return points, nil
}

// checkPoint reads MASTER=READING[,READING...].
func checkPoint(text string) (*pb.CheckPoint, error) {
	id, list, ok := strings.Cut(text, "=")
	if !ok || id == "" || list == "" {
		return nil, app.Usagef("%q is not MASTER=READING[,READING...], such as block-25=1043,1044", text)
	}
	p := &pb.CheckPoint{MasterId: id}
	for one := range strings.SplitSeq(list, ",") {
		seq, err := strconv.ParseUint(one, 10, 64)
		if err != nil || seq == 0 {
			return nil, app.Usagef("%q in %q is not the number of a reading in the history", one, text)
		}
		p.ReadingSeqs = append(p.ReadingSeqs, seq)
	}
	return p, nil
}

func recordCheck(a *app.App, ctx context.Context, d *app.Daemon, request *pb.RecordCheckRequest) error {
	answer, err := app.Ask(ctx, d, d.Health.RecordCheck, request)
	if err != nil {
		return err
	}
	if err := a.Show(answer, func(w io.Writer) { renderCheck(w, answer.GetCheck(), answer.GetGauge()) }); err != nil {
		return err
	}
	return notPassed("check", request.GetGaugeId(), lastResult(answer.GetCheck()).GetVerdict())
}

func masterStandingCommand(a *app.App) *cobra.Command {
	request := &pb.SetStandingRequest{}
	cmd := &cobra.Command{
		Use:   "standing GAUGE in-service|suspect|out-for-calibration|retired",
		Short: "Set whether a gauge may be used",
		Args:  app.Arguments(2, 2),
	}
	cmd.Flags().StringVar(&request.Reason, "reason", "", "why")
	return byGauge(a, cmd, &request.By, "who says so", func(ctx context.Context, d *app.Daemon, args []string) (proto.Message, string, error) {
		standing, ok := pb.Standing_value["STANDING_"+strings.ToUpper(strings.ReplaceAll(args[1], "-", "_"))]
		if !ok || standing == 0 {
			return nil, "", app.NotOneOf("the standing", args[1], []string{"in-service", "suspect", "out-for-calibration", "retired"})
		}
		request.GaugeId, request.Standing = args[0], pb.Standing(standing)
		answer, err := app.Ask(ctx, d, d.Health.SetStanding, request)
		return answer, fmt.Sprintf("%s is %s.%s", answer.GetGauge().GetGaugeId(), show.StandingText(answer.GetGauge().GetStanding()), nextText(answer.GetGauge())), err
	})
}
