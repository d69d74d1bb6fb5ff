package access

import (
	"context"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"

	pb "gauged/api/gauged/v1"
)

func tokensCommand(a *app.App) *cobra.Command {
	l := &app.List{}
	cmd := &cobra.Command{Use: "tokens", Short: "Show the tokens of programs, without their secrets", Args: app.Arguments(0, 0)}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
		return app.ShowList(ctx, a, d, cmd, l, d.Access.ListTokens, &pb.ListTokensRequest{},
			func(w io.Writer, answer *pb.ListTokensResponse) { renderTokens(w, answer.GetTokens()) })
	})
	l.Flags(cmd, false)
	return cmd
}

func renderTokens(w io.Writer, tokens []*pb.Token) {
	if len(tokens) == 0 {
		fmt.Fprintln(w, "There are no tokens.")
		return
	}
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "TOKEN\tNAME\tROLE\tENDS\tREVOKED\tMADE BY\tSENDER\tGAUGES")
		for _, t := range tokens {
			fmt.Fprintf(tab, "%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", t.GetTokenId(), t.GetName(), roleWord(t.GetRole()), show.TimeText(t.GetExpireTime()),
				show.TimeText(t.GetRevokeTime()), t.GetBy(), t.GetSource(), strings.Join(t.GetGaugeIds(), ", "))
		}
	})
}

func tokenMakeCommand(a *app.App) *cobra.Command {
	var role, source, file, by string
	var gauges []string
	var days int
	cmd := &cobra.Command{
		Use: "make NAME", Short: "Make a token for a program", Args: app.Arguments(1, 1),
		Long: "Make a token for a program, which stands under NAME in what it does. The secret is\n" +
			"shown once, here; with --file it goes into a file that only you can read.",
		Example: "  gaugectl access token make press-1 --role station --gauge dial --file press-1.token\n" +
			"  gaugectl access token make prometheus --role reader --days 90",
	}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, args []string) error {
		r, err := roleOf(role)
		if err != nil {
			return err
		}
		if days < 1 {
			return fmt.Errorf("--days %d leaves the token no time: use 1 or more", days)
		}
		var to *os.File
		if file != "" { // before it is made: its secret is shown once
			if to, err = os.OpenFile(file, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600); err != nil {
				return err
			}
			defer func() { _ = to.Close() }()
		}
		answer, err := app.Ask(ctx, d, d.Access.MakeToken, &pb.MakeTokenRequest{
			Name: args[0], Role: r, ExpireTime: timestamppb.New(time.Now().AddDate(0, 0, days)), GaugeIds: gauges, Source: source, By: by,
		})
		if err != nil {
			if to != nil {
				_ = os.Remove(file)
			}
			return err
		}
		if to != nil {
			if _, err := fmt.Fprintln(to, answer.GetSecret()); err != nil {
				return fmt.Errorf("the secret could not be written; revoke the token with \"gaugectl access token revoke %s\": %w", answer.GetToken().GetTokenId(), err)
			}
			answer.Secret = ""
		}
		return a.Show(answer, func(w io.Writer) {
			renderTokens(w, []*pb.Token{answer.GetToken()})
			if sender := answer.GetToken().GetSource(); sender != "" {
				fmt.Fprintf(w, "\nIt feeds readings as the sender %s alone.\n", sender)
			}
			if answer.GetSecret() != "" {
				fmt.Fprintf(w, "\nIts secret, which is shown this once:\n%s\n", answer.GetSecret())
			}
		})
	})
	roleFlag(a, cmd, &role, "what it may do")
	cmd.Flags().IntVar(&days, "days", 365, "for how many days it holds")
	cmd.Flags().StringSliceVar(&gauges, "gauge", nil, "gauge that it may feed, once for each (default: all that are fed from outside)")
	cmd.Flags().StringVar(&source, "sender", "", "sender as which it may feed readings (default: NAME where a gauge is given, else any)")
	cmd.Flags().StringVar(&file, "file", "", "new file for the secret, in place of showing it")
	byFlag(cmd, &by)
	return cmd
}

func tokenRevokeCommand(a *app.App) *cobra.Command {
	return endCommand(a, "revoke TOKEN", "End a token at once", "token %s is revoked", func(ctx context.Context, d *app.Daemon, id, by string) (proto.Message, error) {
		return app.Ask(ctx, d, d.Access.RevokeToken, &pb.RevokeTokenRequest{TokenId: id, By: by})
	})
}
