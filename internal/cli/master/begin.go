package master

import (
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
	app.ByFlag(cmd.Flags(), by, who)
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, args []string) error {
		*by = a.By(*by)
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
		Short: "Begin a check",
		Long: "Begin a check whose readings gaugectl master record names afterwards. Only readings\n" +
			"after this count, within a day. A master whose own calibration is due is refused.\n" +
			"gaugectl master check begins by itself.",
		Example: "  gaugectl master begin dial --at zero --at block-25 --by quality",
		Args:    app.Arguments(1, 1),
	}
	cmd.Flags().StringArrayVar(&request.MasterIds, "at", nil, "`MASTER` of the check, may be repeated (default: those of the plan)")
	return byGauge(a, cmd, &request.By, "who makes the check", func(ctx context.Context, d *app.Daemon, args []string) (proto.Message, string, error) {
		request.GaugeId = args[0]
		answer, err := app.Ask(ctx, d, d.Health.BeginCheck, request)
		return answer, fmt.Sprintf("Check %d begun: readings of %s can now be recorded for it.", answer.GetBegunSeq(), args[0]), err
	})
}

func masterLeaveCommand(a *app.App) *cobra.Command {
	request := &pb.LeaveCheckRequest{}
	cmd := &cobra.Command{
		Use:   "leave GAUGE",
		Short: "Cancel a check",
		Long: "Cancel the check of a gauge that was begun. During a check, the gauge's button feeds\n" +
			"no job.",
		Args: app.Arguments(1, 1),
	}
	return byGauge(a, cmd, &request.By, "who cancels it", func(ctx context.Context, d *app.Daemon, args []string) (proto.Message, string, error) {
		request.GaugeId = args[0]
		answer, err := app.Ask(ctx, d, d.Health.LeaveCheck, request)
		return answer, fmt.Sprintf("No check of %s is under way.", args[0]), err
	})
}
