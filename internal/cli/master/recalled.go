package master

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/proto"

	"gauged/internal/cli/app"

	pb "gauged/api/gauged/v1"
)

func masterRecalledCommand(a *app.App) *cobra.Command {
	request := &pb.DecideRecallRequest{}
	cmd := &cobra.Command{
		Use:   "recalled GAUGE --reason WHAT",
		Short: "Say what was decided about the jobs before a failed check",
		Long: "Say what was decided about the jobs that were measured before a gauge failed a check.\n" +
			"gaugectl recall GAUGE lists them. Until it is decided, gaugectl status and the list of\n" +
			"what is to be done on the page name the gauge. The decision is stored, with who said it.",
		Example: "  gaugectl master recalled dial --reason 'two gearboxes called back' --by quality",
		Args:    app.Arguments(1, 1),
	}
	cmd.Flags().StringVar(&request.Reason, "reason", "", "what was decided, and why")
	return byGauge(a, cmd, &request.By, "who says so", func(ctx context.Context, d *app.Daemon, args []string) (proto.Message, string, error) {
		request.GaugeId = args[0]
		answer, err := app.Ask(ctx, d, d.Health.DecideRecall, request)
		return answer, fmt.Sprintf("The decision about the past jobs of %s is stored.", args[0]), err
	})
}
