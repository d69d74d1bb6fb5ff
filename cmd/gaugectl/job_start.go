package main

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	pb "gauged/api/gauged/v1"
)

// startFlags say which unit a new job is for and which gauges measure it.
type startFlags struct {
	serial string
	gauges []string
}

func (s *startFlags) flags(a *app, cmd *cobra.Command) {
	cmd.Flags().StringVar(&s.serial, "unit-serial", "", "serial number of the unit")
	cmd.Flags().StringArrayVar(&s.gauges, "gauge", nil, "MEASUREMENT=GAUGE, may be repeated; *=GAUGE is for all that are\nnot named; a measurement without a gauge is typed in")
	a.complete(cmd, "gauge", a.names(gaugeForAll))
}

// request returns the request that the flags make; a missing one is a mistake
// of usage.
func (s *startFlags) request(procedure, technician string) (*pb.StartJobRequest, error) {
	if s.serial == "" {
		return nil, usagef("say which unit it is: --unit-serial SERIAL")
	}
	if technician == "" {
		return nil, usagef("say who works on it: --technician NAME, or set GAUGECTL_TECHNICIAN")
	}
	gauges, err := gaugeChoices(s.gauges)
	if err != nil {
		return nil, err
	}
	return &pb.StartJobRequest{ProcedureId: procedure, UnitSerial: s.serial, Technician: technician, Gauges: gauges}, nil
}

func (a *app) jobStartCommand(f *jobFlags) *cobra.Command {
	var s startFlags
	cmd := &cobra.Command{
		Use:               "start PROCEDURE",
		Short:             "Open a job on a unit",
		Args:              arguments(1, 1),
		ValidArgsFunction: first(a.names(procedureNames)),
		RunE: a.withDaemon(func(ctx context.Context, d *daemon, args []string) error {
			request, err := s.request(args[0], f.by())
			if err != nil {
				return err
			}
			answer, err := ask(ctx, d, d.jobs.StartJob, request)
			if err != nil {
				return err
			}
			return a.show(answer, func(w io.Writer) {
				fmt.Fprintf(w, "Job %d is open on unit %s.\n\n", answer.GetJob().GetId(), answer.GetJob().GetUnitSerial())
				renderCautions(w, answer.GetJob().GetProcedure())
				fmt.Fprintln(w)
				renderJobAnswer(w, answer.GetJob())
			})
		}),
	}
	s.flags(a, cmd)
	return cmd
}
