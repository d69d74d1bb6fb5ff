package master

import (
	"cmp"
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/proto"

	"gauged/internal/cli/app"

	pb "gauged/api/gauged/v1"
)

// byGauge makes a command about a gauge, named first, that somebody answers for: by is
// where the name goes and who says what it is the name of. do asks the daemon and
// returns its answer with what is written of it.
func byGauge(a *app.App, cmd *cobra.Command, by *string, who string, do func(ctx context.Context, d *app.Daemon, args []string) (proto.Message, string, error)) *cobra.Command {
	cmd.ValidArgsFunction = app.First(a.Names(app.GaugeNames))
	cmd.Flags().StringVar(by, "by", "", who+" (default $GAUGECTL_TECHNICIAN)")
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, args []string) error {
		*by = cmp.Or(*by, a.Getenv("GAUGECTL_TECHNICIAN"))
		answer, text, err := do(ctx, d, args)
		if err != nil {
			return err
		}
		return a.Show(answer, func(w io.Writer) { fmt.Fprintln(w, text) })
	})
	return cmd
}

func masterBeginCommand(a *app.App) *cobra.Command {
	request := &pb.BeginCheckRequest{}
	cmd := &cobra.Command{
		Use:   "begin GAUGE",
		Short: "Begin a check whose readings are recorded by their numbers",
		Long: "Begin a check of a gauge whose readings gaugectl master record names afterwards. Only readings\n" +
			"that come after the begin count, within a day. A master whose own calibration is due is\n" +
			"refused here, before the first reading. gaugectl master check begins by itself.",
		Example: "  gaugectl master begin dial --at zero --at block-25 --by quality",
		Args:    app.Arguments(1, 1),
	}
	cmd.Flags().StringArrayVar(&request.MasterIds, "at", nil, "a master at which it is made, may be repeated (default: those of the plan)")
	return byGauge(a, cmd, &request.By, "who makes the check", func(ctx context.Context, d *app.Daemon, args []string) (proto.Message, string, error) {
		request.GaugeId = args[0]
		answer, err := app.Ask(ctx, d, d.Health.BeginCheck, request)
		return answer, fmt.Sprintf("Begun as number %d: readings of %s after it can be recorded as a check.", answer.GetBegunSeq(), args[0]), err
	})
}

func masterLeaveCommand(a *app.App) *cobra.Command {
	request := &pb.LeaveCheckRequest{}
	cmd := &cobra.Command{
		Use:   "leave GAUGE",
		Short: "Give up a check that was begun",
		Long: "Give up the check of a gauge that was begun. While a check is being made, what the gauge's\n" +
			"button sends goes into no job.",
		Args: app.Arguments(1, 1),
	}
	return byGauge(a, cmd, &request.By, "who gives it up", func(ctx context.Context, d *app.Daemon, args []string) (proto.Message, string, error) {
		request.GaugeId = args[0]
		answer, err := app.Ask(ctx, d, d.Health.LeaveCheck, request)
		return answer, fmt.Sprintf("No check of %s is being made.", args[0]), err
	})
}
