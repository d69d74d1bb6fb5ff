package main

import (
	"cmp"
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	pb "gauged/api/gauged/v1"
)

func (a *app) masterBeginCommand() *cobra.Command {
	request := &pb.BeginCheckRequest{}
	cmd := &cobra.Command{
		Use:   "begin GAUGE",
		Short: "Begin a check whose readings are recorded by their numbers",
		Long: "Begin a check of a gauge whose readings gaugectl master record names afterwards. Only readings\n" +
			"that come after the begin count, within a day. A master whose own calibration is due is\n" +
			"refused here, before the first reading. gaugectl master check begins by itself.",
		Example:           "  gaugectl master begin dial --at zero --at block-25 --by quality",
		Args:              arguments(1, 1),
		ValidArgsFunction: first(a.names(gaugeNames)),
	}
	cmd.Flags().StringVar(&request.By, "by", "", "who makes the check (default $GAUGECTL_TECHNICIAN)")
	cmd.Flags().StringArrayVar(&request.Masters, "at", nil, "a master at which it is made, may be repeated (default: those of the plan)")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		request.GaugeId, request.By = args[0], cmp.Or(request.By, a.getenv("GAUGECTL_TECHNICIAN"))
		return a.withDaemon(func(ctx context.Context, d *daemon, _ []string) error {
			answer, err := ask(ctx, d, d.health.BeginCheck, request)
			if err != nil {
				return err
			}
			return a.show(answer, func(w io.Writer) {
				fmt.Fprintf(w, "Begun as number %d: readings of %s after it can be recorded as a check.\n", answer.GetBegun(), args[0])
			})
		})(cmd, args)
	}
	return cmd
}

func (a *app) masterLeaveCommand() *cobra.Command {
	request := &pb.LeaveCheckRequest{}
	cmd := &cobra.Command{
		Use:   "leave GAUGE",
		Short: "Give up a check that was begun",
		Long: "Give up the check of a gauge that was begun. While a check is being made, what the gauge's\n" +
			"button sends goes into no job.",
		Args:              arguments(1, 1),
		ValidArgsFunction: first(a.names(gaugeNames)),
	}
	cmd.Flags().StringVar(&request.By, "by", "", "who gives it up (default $GAUGECTL_TECHNICIAN)")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		request.GaugeId, request.By = args[0], cmp.Or(request.By, a.getenv("GAUGECTL_TECHNICIAN"))
		return a.withDaemon(func(ctx context.Context, d *daemon, _ []string) error {
			answer, err := ask(ctx, d, d.health.LeaveCheck, request)
			if err != nil {
				return err
			}
			return a.show(answer, func(w io.Writer) { fmt.Fprintf(w, "No check of %s is being made.\n", args[0]) })
		})(cmd, args)
	}
	return cmd
}
