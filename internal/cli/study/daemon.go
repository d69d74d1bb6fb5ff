package study

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
	"gauged/internal/gauge"
	"gauged/internal/health/study"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// storedInput says which checks of a gauge are studied.
type storedInput struct {
	*studyInput
	master, since string
	record        bool
	by, remark    string
}

// ofChecks are the kinds of study that the daemon makes of the checks that it has.
var ofChecks = []study.Kind{study.BiasKind, study.LinearityKind, study.StabilityKind, study.CapabilityKind}

// studyOfGauge lets the command of a study take a gauge of the daemon.
func studyOfGauge(a *app.App, cmd *cobra.Command, of *studyInput) {
	in := &storedInput{studyInput: of}
	cmd.Use, cmd.Args = string(of.plan.Kind)+" GAUGE | --file FILE.csv", app.Arguments(0, 1)
	cmd.ValidArgsFunction = app.First(a.Names(app.GaugeNames))
	flags := cmd.Flags()
	flags.StringVar(&in.master, "master", "", "with GAUGE: only readings at this master")
	flags.StringVar(&in.since, "since", "", "with GAUGE: only checks from this day or time on (default: since the last adjustment)")
	flags.BoolVar(&in.record, "record", false, "with GAUGE: store the study")
	app.ByFlag(flags, &in.by, "with --record: who makes the study")
	flags.StringVar(&in.remark, "remark", "", "with --record: a remark")
	ofGauge := []string{"master", "since", "record", "by", "remark"}
	either := append([]string{"confidence", "tolerance", "svg"}, ofGauge...)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		var other string
		cmd.LocalNonPersistentFlags().VisitAll(func(f *pflag.Flag) {
			fits := slices.Contains(either, f.Name)
			if len(args) == 0 {
				fits = !slices.Contains(ofGauge, f.Name)
			}
			if f.Changed && f.Name != "file" && !fits {
				other = f.Name
			}
		})
		switch {
		case (len(args) == 0) == (in.file == ""):
			return app.Usagef("name a gauge of the daemon, or with --file a file of readings")
		case len(args) == 1 && strings.HasSuffix(args[0], ".csv"):
			return app.Usagef("%s is not a gauge: write --file %s for a file of readings", args[0], args[0])
		case other != "" && len(args) == 0:
			return app.Usagef("--%s is of a study of the daemon's checks: leave it out, or name a gauge instead of --file", other)
		case other != "":
			return app.Usagef("--%s is of a study of a file: leave it out, or give --file instead of a gauge", other)
		case in.file != "":
			return studyFile(a, in.studyInput)
		}
		request, err := in.request(args[0])
		if err != nil {
			return err
		}
		return a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error { return studyChecks(a, ctx, d, in, request) })(cmd, args)
	}
}

func (in *storedInput) request(gaugeID string) (*pb.StudyInput, error) {
	checks := &pb.StoredChecks{MasterId: in.master}
	if in.since != "" {
		at, err := app.DayOrTime(in.since, time.Local)
		if err != nil {
			return nil, app.Usagef("--since %q is not a day such as 2026-03-01 or a time in RFC 3339", in.since)
		}
		checks.SinceTime = timestamppb.New(at)
	}
	if in.width != "" {
		if _, _, err := app.Size("tolerance", in.width); err != nil {
			return nil, err
		}
	}
	return &pb.StudyInput{
		GaugeId: gaugeID, Kind: wire.StudyKind(in.plan.Kind), Checks: checks,
		Settings: &pb.StudySettings{Confidence: in.plan.Options.Confidence, Seed: in.plan.Options.Seed},
	}, nil
}

// tolerance is that of the flags in the unit of the gauge, which is that of its checks.
func (in *storedInput) tolerance(ctx context.Context, d *app.Daemon, gaugeID string) (string, error) {
	return widthIn(in.width, func() (gauge.Unit, error) {
		answer, err := app.Ask(ctx, d, d.Health.GetHealth, &pb.GetHealthRequest{GaugeId: gaugeID})
		return wire.FromUnit(answer.GetGauge().GetLastCheck().GetFound().GetError().GetUnit()), err
	})
}

// widthIn is the width of a tolerance as decimal text in the unit of the values. One
// without a unit is in it already.
func widthIn(text string, values func() (gauge.Unit, error)) (string, error) {
	digits, symbol := app.SplitUnit(strings.Join(strings.Fields(text), " "))
	if symbol == "" {
		return digits, nil
	}
	unit, err := gauge.ParseUnit(symbol, gauge.KindLength)
	if err != nil {
		return "", app.Usagef("--tolerance: %w", err)
	}
	to, err := values()
	if err != nil || !to.Known() || to == unit {
		return digits, err
	}
	width, err := gauge.ParseLength(digits, unit)
	if err != nil {
		return "", app.Usagef("--tolerance: %w", err)
	}
	return width.TextIn(to), nil
}

// studyChecks has the daemon make the study, and store it when that is asked for.
func studyChecks(a *app.App, ctx context.Context, d *app.Daemon, in *storedInput, request *pb.StudyInput) error {
	var err error
	if request.Settings.Tolerance, err = in.tolerance(ctx, d, request.GetGaugeId()); err != nil {
		return err
	}
	answer, err := app.Ask(ctx, d, d.Studies.RecordStudy, &pb.RecordStudyRequest{
		Input: request, By: a.By(in.by), Remark: in.remark, ValidateOnly: !in.record,
	})
	if err != nil {
		return err
	}
	return showStored(a, in.studyInput, answer.GetStudy(), answer)
}

// showStored writes a study of the daemon: as JSON the message, else as one of a file.
func showStored(a *app.App, in *studyInput, s *pb.Study, answer proto.Message) error {
	figures, err := s.GetResult().GetFigures().MarshalJSON()
	if err != nil {
		return err
	}
	result, err := study.ReadResult(wire.FromStudyKind(s.GetKind()), figures)
	if err != nil {
		return err
	}
	table, err := wire.StudyTable(s)
	if err != nil {
		return err
	}
	if result.Data, err = (study.Plan{Kind: result.Kind}).Read(table, nil); err != nil {
		return err
	}
	in.unit = wire.UnitOf(s.GetUnit())
	if a.Output != app.OutputTable {
		if err := in.saveSVG(result); err != nil {
			return err
		}
		return a.Show(answer, nil)
	}
	if s.GetSeq() > 0 {
		fmt.Fprintf(a.Stdout, "Study %d of gauge %s by %s, %s%s\n\n", s.GetSeq(), s.GetGaugeId(), s.GetBy(), show.TimeText(s.GetTime()), show.Only(s.GetRemark() != "", ": "+s.GetRemark()))
	}
	return showStudy(a, in, result)
}

// StudiesCommand lists the stored studies.
func StudiesCommand(a *app.App) *cobra.Command {
	request, l := &pb.ListStudiesRequest{}, &app.List{}
	var kind string
	cmd := &cobra.Command{
		Use:     "studies",
		Short:   "Show stored studies, oldest first",
		Example: "  gaugectl studies --gauge dial --since 90d",
		Args:    app.Lists("study show"),
	}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
		if request.Kind = wire.StudyKind(study.Kind(kind)); kind != "" && request.Kind == 0 {
			return app.NotOneOf("--kind", kind, study.KindNames())
		}
		return app.ShowList(ctx, a, d, cmd, l, d.Studies.ListStudies, request, func(w io.Writer, answer *pb.ListStudiesResponse) { renderStudies(w, answer.GetStudies()) })
	})
	l.Flags(cmd, true)
	cmd.Flags().StringVar(&kind, "kind", "", "only studies of this kind: "+strings.Join(study.KindNames(), ", "))
	a.Complete(cmd, "kind", app.Fixed(study.KindNames()...))
	cmd.Flags().StringVar(&request.GaugeId, "gauge", "", "only studies of this `GAUGE`")
	a.Complete(cmd, "gauge", a.Names(app.GaugeNames))
	return cmd
}

func studyShowCommand(a *app.App) *cobra.Command {
	in := &studyInput{}
	cmd := &cobra.Command{
		Use:               "show NUMBER",
		Short:             "Show a stored study with figures and charts",
		Example:           "  gaugectl study show 1043 --svg charts",
		Args:              app.Arguments(1, 1),
		ValidArgsFunction: app.First(a.Names(app.StudyNumbers)),
		RunE: func(cmd *cobra.Command, args []string) error {
			seq, err := strconv.ParseUint(args[0], 10, 64)
			if err != nil {
				return app.Usagef("%q is not the number of a study: gaugectl studies lists them", args[0])
			}
			return a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
				answer, err := app.Ask(ctx, d, d.Studies.GetStudy, &pb.GetStudyRequest{StudySeq: seq})
				if err != nil {
					return err
				}
				return showStored(a, in, answer.GetStudy(), answer)
			})(cmd, args)
		},
	}
	in.drawing(cmd.Flags())
	return cmd
}

func renderStudies(w io.Writer, studies []*pb.Study) {
	if len(studies) == 0 {
		fmt.Fprintln(w, show.Say("study.none"))
		return
	}
	percent := func(p *float64) string {
		if p == nil {
			return "-"
		}
		return fmt.Sprintf("%.1f %%", *p)
	}
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "STUDY\tGAUGE\tTIME\tKIND\tREADINGS\tRESULT\t% OF STUDY\t% OF TOLERANCE\tCATEGORIES\tBY\tREMARK")
		for _, s := range studies {
			r := s.GetResult()
			categories := "-"
			if r.DistinctCategories != nil {
				categories = fmt.Sprint(r.GetDistinctCategories())
			}
			fmt.Fprintf(tab, "%d\t%s\t%s\t%s\t%d\t%s\t%s\t%s\t%s\t%s\t%s\n", s.GetSeq(), s.GetGaugeId(), show.TimeText(s.GetTime()), wire.FromStudyKind(s.GetKind()), s.GetReadingCount(),
				show.Named("study.word", string(wire.FromStudyWord(r.GetWord()))), percent(r.PercentStudy), percent(r.PercentTolerance), categories, s.GetBy(), show.OrDash(s.GetRemark()))
		}
	})
}
