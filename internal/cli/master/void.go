package master

import (
	"context"
	"fmt"
	"io"
	"strconv"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/proto"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"

	pb "gauged/api/gauged/v1"
)

func masterVoidCommand(a *app.App) *cobra.Command {
	request := &pb.VoidCheckRequest{}
	cmd := &cobra.Command{
		Use:   "void GAUGE CHECK --reason WHY",
		Short: "Void a check that was a mistake",
		Long: "Void a check that was a mistake, such as one on the wrong master. CHECK is its number,\n" +
			"SEQ in gaugectl checks GAUGE.\n" +
			"Trend, control charts, advice and standing are computed again without it. It stays in\n" +
			"the history, with who voided it and why. Its readings cannot be used again: read the\n" +
			"gauge anew.",
		Example: "  gaugectl master void dial 1041 --reason 'it was the block of 20 mm' --by quality",
		Args:    app.Arguments(2, 2),
	}
	cmd.Flags().StringVar(&request.Reason, "reason", "", "why")
	return byGauge(a, cmd, &request.By, "who says so", func(ctx context.Context, d *app.Daemon, args []string) (proto.Message, string, error) {
		seq, err := strconv.ParseUint(args[1], 10, 64)
		if err != nil || seq == 0 {
			return nil, "", app.Usagef("%q is not the number of a check: gaugectl checks %s lists them", args[1], args[0])
		}
		request.GaugeId, request.CheckSeq = args[0], seq
		answer, err := app.Ask(ctx, d, d.Health.VoidCheck, request)
		g := answer.GetGauge()
		return answer, fmt.Sprintf("Check %d of %s is voided. %s is %s.", seq, g.GetGaugeId(), g.GetGaugeId(), show.StandingText(g.GetStanding())), err
	})
}

// renderVoided says why checks count no more.
func renderVoided(w io.Writer, checks []*pb.MasterCheck) {
	for _, c := range checks {
		if v := c.GetVoided(); v != nil {
			fmt.Fprintf(w, "Check %d was voided on %s by %s: %s\n", c.GetSeq(), show.TimeText(v.GetTime()), v.GetBy(), v.GetReason())
		}
	}
}

// renderStandings writes every change of the standing.
func renderStandings(w io.Writer, changes []*pb.StandingChange) {
	if len(changes) == 0 {
		return
	}
	fmt.Fprintln(w, "\nStanding")
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "SINCE\tSTANDING\tBY\tWHY")
		for _, c := range changes {
			fmt.Fprintf(tab, "%s\t%s\t%s\t%s\n", show.TimeText(c.GetTime()), show.StandingText(c.GetStanding()), c.GetBy(), show.Told(c.GetReason()))
		}
	})
}
