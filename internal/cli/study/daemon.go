package study

import (
	"context"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
	"gauged/internal/health/study"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// storedInput is a study of what the daemon has of a gauge.
type storedInput struct {
	studyInput
	gauge, kind, master, since, tolerance string
	record                                bool
	by, remark                            string
}

// studyOfGauge adds the study of stored checks to the group of studies.
func studyOfGauge(a *app.App, cmd *cobra.Command) {
	in := &storedInput{studyInput: studyInput{plan: study.Plan{Options: study.Options{Seed: 1}}}}
	flags := cmd.Flags()
	flags.StringVar(&in.gauge, "gauge", "", "study the daemon's checks of this `GAUGE`")
	flags.StringVar(&in.kind, "kind", "", "with --gauge: bias, linearity, stability or capability")
	flags.StringVar(&in.master, "master", "", "with --gauge: only readings at this master")
	flags.StringVar(&in.since, "since", "", "with --gauge: only checks from this day or time on (default: since the last adjustment)")
	flags.StringVar(&in.tolerance, "tolerance", "", "with --gauge: `WIDTH` of the tolerance")
	flags.BoolVar(&in.record, "record", false, "with --gauge: store the study")
	app.ByFlag(flags, &in.by, "with --record: who makes the study")
	flags.StringVar(&in.remark, "remark", "", "with --record: a remark")
	in.common(flags)
	a.Complete(cmd, "gauge", a.Names(app.GaugeNames))
	a.Complete(cmd, "kind", app.Fixed("bias", "linearity", "stability", "capability"))
	sub := cmd.RunE
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if in.gauge == "" || len(args) > 0 {
			return sub(cmd, args)
		}
		request, err := in.request()
		if err != nil {
			return err
		}
		return a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error { return studyChecks(a, ctx, d, in, request) })(cmd, args)
	}
}

func (in *storedInput) request() (*pb.StudyInput, error) {
	kind := study.Kind(in.kind)
	if wire.StudyKind(kind) == pb.StudyKind_STUDY_KIND_UNSPECIFIED {
		return nil, app.NotOneOf("--kind", in.kind, []string{"bias", "linearity", "stability", "capability"})
	}
	checks := &pb.StoredChecks{MasterId: in.master}
	if in.since != "" {
		at, err := app.DayOrTime(in.since, time.Local)
		if err != nil {
			return nil, app.Usagef("--since %q is no day such as 2026-03-01 and no time in RFC 3339", in.since)
		}
		checks.SinceTime = timestamppb.New(at)
	}
	return &pb.StudyInput{
		GaugeId: in.gauge, Kind: wire.StudyKind(kind), Checks: checks,
		Settings: &pb.StudySettings{Tolerance: strings.TrimSpace(in.tolerance), Confidence: in.plan.Options.Confidence, Seed: in.plan.Options.Seed},
	}, nil
}

// studyChecks has the daemon make the study, and store it when that is asked for.
func studyChecks(a *app.App, ctx context.Context, d *app.Daemon, in *storedInput, request *pb.StudyInput) error {
	if !in.record {
		answer, err := app.Ask(ctx, d, d.Studies.EvaluateStudy, &pb.EvaluateStudyRequest{Input: request})
		if err != nil {
			return err
		}
		return showStored(a, &in.studyInput, answer.GetStudy(), answer)
	}
	answer, err := app.Ask(ctx, d, d.Studies.RecordStudy, &pb.RecordStudyRequest{Input: request, By: a.By(in.by), Remark: in.remark})
	if err != nil {
		return err
	}
	return showStored(a, &in.studyInput, answer.GetStudy(), answer)
}

// showStored writes a study of the daemon: as JSON the message, else as one of a file.
func showStored(a *app.App, in *studyInput, s *pb.Study, answer proto.Message) error {
	result, err := study.ReadResult(wire.FromStudyKind(s.GetKind()), []byte(s.GetResult().GetFigures()))
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

func studyListCommand(a *app.App) *cobra.Command {
	request, l := &pb.ListStudiesRequest{}, &app.List{}
	var kind string
	cmd := &cobra.Command{
		Use:     "list",
		Short:   "Show stored studies, oldest first",
		Example: "  gaugectl study list --gauge dial --since 90d",
		Args:    app.Arguments(0, 0),
	}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
		if request.Kind = wire.StudyKind(study.Kind(kind)); kind != "" && request.Kind == 0 {
			return app.NotOneOf("--kind", kind, kindNames())
		}
		return app.ShowList(ctx, a, d, cmd, l, d.Studies.ListStudies, request, func(w io.Writer, answer *pb.ListStudiesResponse) { renderStudies(w, answer.GetStudies()) })
	})
	l.Flags(cmd, true)
	cmd.Flags().StringVar(&kind, "kind", "", "only studies of this kind: "+strings.Join(kindNames(), ", "))
	a.Complete(cmd, "kind", app.Fixed(kindNames()...))
	cmd.Flags().StringVar(&request.GaugeId, "gauge", "", "only studies of this `GAUGE`")
	a.Complete(cmd, "gauge", a.Names(app.GaugeNames))
	return cmd
}

func studyShowCommand(a *app.App) *cobra.Command {
	in := &studyInput{}
	cmd := &cobra.Command{
		Use:     "show NUMBER",
		Short:   "Show a stored study with figures and charts",
		Example: "  gaugectl study show 1043 --svg charts",
		Args:    app.Arguments(1, 1),
		RunE: func(cmd *cobra.Command, args []string) error {
			seq, err := strconv.ParseUint(args[0], 10, 64)
			if err != nil {
				return app.Usagef("%q is not the number of a study: gaugectl study list shows them", args[0])
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
		fmt.Fprintln(w, "No study is stored.")
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
			fmt.Fprintf(tab, "%d\t%s\t%s\t%s\t%d\t%s\t%s\t%s\t%s\t%s\t%s\n", s.GetSeq(), s.GetGaugeId(), show.TimeText(s.GetTime()), wire.FromStudyKind(s.GetKind()), s.GetCount(),
				wire.FromStudyWord(r.GetWord()), percent(r.PercentStudy), percent(r.PercentTolerance), categories, s.GetBy(), show.OrDash(s.GetRemark()))
		}
	})
}
