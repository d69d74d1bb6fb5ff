package job

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"

	pb "gauged/api/gauged/v1"
)

// startFlags say which unit a new job is for and which gauges measure it.
type startFlags struct {
	serial    string
	confirmed bool
	gauges    []string
	labels    []string
}

func (s *startFlags) flags(a *app.App, cmd *cobra.Command) {
	cmd.Flags().StringVar(&s.serial, "unit-serial", "", "serial number of the unit")
	cmd.Flags().BoolVar(&s.confirmed, "new-unit", false, "the serial number is meant, although it looks like that of another unit")
	cmd.Flags().StringArrayVar(&s.gauges, "gauge", nil, "`MEASUREMENT=GAUGE`, may be repeated; *=GAUGE is for all that are\nnot named; a measurement without a gauge is typed in")
	labelFlag(a, cmd, &s.labels, "`NAME=TEXT`, may be repeated: what the job is for, such as order=A-1042 or\ncustomer=Miller")
	a.Complete(cmd, "gauge", a.Names(app.GaugeForAll))
}

// request returns the request that the flags make; a missing one is a mistake
// of usage.
func (s *startFlags) request(procedure, technician string) (*pb.StartJobRequest, error) {
	if s.serial == "" {
		return nil, app.Usagef("say which unit it is: --unit-serial SERIAL")
	}
	if technician == "" {
		return nil, app.Usagef("say who works on it: --by NAME, or set GAUGECTL_BY")
	}
	gauges, err := gaugeChoices(s.gauges)
	if err != nil {
		return nil, err
	}
	labels, err := labelled("--label ", s.labels)
	if err != nil {
		return nil, err
	}
	return &pb.StartJobRequest{Labels: labels, ProcedureId: procedure, UnitSerial: s.serial, By: technician, GaugeIds: gauges, UnitSerialConfirmed: s.confirmed}, nil
}

func jobStartCommand(a *app.App, f *jobFlags) *cobra.Command {
	var s startFlags
	cmd := &cobra.Command{
		Use:               "start PROCEDURE",
		Short:             "Start a job on a unit",
		Args:              app.Arguments(1, 1),
		ValidArgsFunction: app.First(a.Names(app.ProcedureNames)),
		RunE: a.WithDaemon(func(ctx context.Context, d *app.Daemon, args []string) error {
			request, err := s.request(args[0], f.begins())
			if err != nil {
				return err
			}
			answer, err := app.Ask(ctx, d, d.Jobs.StartJob, request)
			if err != nil {
				return err
			}
			return a.Show(answer, func(w io.Writer) {
				fmt.Fprintf(w, "Job %d is open on unit %s.\n\n", answer.GetJob().GetId(), answer.GetJob().GetUnitSerial())
				show.RenderCautions(w, answer.GetJob().GetProcedure())
				fmt.Fprintln(w)
				renderJobAnswer(w, answer.GetJob(), answer.GetJob().GetWarnings())
			})
		}),
	}
	s.flags(a, cmd)
	return cmd
}
