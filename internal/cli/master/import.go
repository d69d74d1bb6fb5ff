package master

import (
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
	"gauged/internal/gauge"
	"gauged/internal/table"

	pb "gauged/api/gauged/v1"
)

const importLong = "Import checks that were made before or elsewhere. The CSV file has one line of column\n" +
	"names, and one error on each line. Lines with the same time are one check.\n" +
	"\n" +
	"Columns that are needed:\n" +
	"  time         when: 2025-03-31T14:00:00+01:00, 2025-03-31 14:00 or 2025-03-31, these in UTC\n" +
	"  master       name of the master, or of the place of the scale\n" +
	"  value        its true value; for a master of the configuration the one stated there\n" +
	"  error        shown less true\n" +
	"  uncertainty  expanded uncertainty of the error\n" +
	"  k            its coverage factor, from 1 to 10\n" +
	"\n" +
	"Optional columns:\n" +
	"  place        where, such as the laboratory\n" +
	"  certificate  number of the certificate\n" +
	"  by           who made it, instead of --by\n" +
	"  occasion     reason for the check\n" +
	"  remark       a remark\n" +
	"  way          rising, or falling where the value was approached from above\n" +
	"  state        found, or left after an adjustment\n" +
	"  unit         unit of all lengths of the line, instead of --unit\n" +
	"\n" +
	"Trend, charts, advice and standing are computed again with the imported checks. The\n" +
	"limit is the gauge's maximum permissible error. With --dry-run nothing is stored.\n" +
	"Every problem is reported at once with its line, and then nothing is stored. One\n" +
	"import takes at most 2000 checks with 10000 errors; cut a longer file into parts."

func masterImportCommand(a *app.App) *cobra.Command {
	var by, unit string
	var dry, meant bool
	cmd := &cobra.Command{
		Use:               "import GAUGE CHECKS.csv",
		Short:             "Import past checks and results of a laboratory",
		Long:              importLong,
		Example:           "  gaugectl master import dial laboratory.csv --unit mm --by quality --dry-run",
		Args:              app.Arguments(2, 2),
		ValidArgsFunction: app.First(a.Names(app.GaugeNames)),
	}
	flags := cmd.Flags()
	app.ByFlag(flags, &by, "who imports them")
	flags.StringVar(&unit, "unit", "", "unit of lengths on lines that have none")
	flags.BoolVar(&dry, "dry-run", false, "show the results, and store nothing")
	flags.BoolVar(&meant, "meant", false, "errors that are far off are meant")
	a.Complete(cmd, "unit", app.Fixed(gauge.Symbols(gauge.KindLength)...))
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		u := gauge.UnitUnknown
		if unit != "" {
			var err error
			if u, err = gauge.ParseUnit(unit, gauge.KindLength); err != nil {
				return app.Usagef("--unit: %w", err)
			}
		}
		a.Running = true
		past, err := readPastChecks(args[1], u)
		if err != nil {
			return err
		}
		return a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
			request := &pb.ImportChecksRequest{GaugeId: args[0], By: a.By(by), ValidateOnly: dry, FarOffConfirmed: meant}
			return importChecks(a, ctx, d, past, request)
		})(cmd, args)
	}
	return cmd
}

// importChecks brings the checks of a table in, or says everything that is wrong: what
// cannot be read, and what the daemon says of the rest.
func importChecks(a *app.App, ctx context.Context, d *app.Daemon, past *pastTable, request *pb.ImportChecksRequest) error {
	var sent []*pastCheck
	for _, c := range past.checks {
		if !c.broken {
			sent = append(sent, c)
			request.Checks = append(request.Checks, c.check)
		}
	}
	request.ValidateOnly = request.GetValidateOnly() || past.wrong != nil
	problems := table.NewProblems(past.name)
	if err := table.AddTo(problems, past.wrong); err != nil {
		return err
	}
	answer := &pb.ImportChecksResponse{}
	if len(request.GetChecks()) > 0 {
		var err error
		if answer, err = app.Ask(ctx, d, d.Health.ImportChecks, request); err != nil {
			return err
		}
	}
	for _, p := range answer.GetProblems() {
		at := sent[p.GetCheckIndex()].place(p)
		at.Err = errors.New(show.Told(p.GetMessage()))
		problems.Add(at)
	}
	if err := problems.Err(); err != nil {
		return fmt.Errorf("nothing was stored:\n%w", err)
	}
	return a.Show(answer, func(w io.Writer) {
		renderChecks(w, answer.GetChecks())
		if request.GetValidateOnly() {
			fmt.Fprintln(w, "Nothing was stored: this was a dry run.")
			return
		}
		g := answer.GetGauge()
		fmt.Fprintf(w, "%s has %s now and is %s.\n", g.GetGaugeId(), show.Counted(g.GetCheckCount(), "check"), show.StandingText(g.GetStanding()))
	})
}

// renderOrigins says where checks of the past are from.
func renderOrigins(w io.Writer, checks []*pb.MasterCheck) {
	for _, c := range checks {
		p := c.GetPast()
		if p == nil {
			continue
		}
		from := "earlier records"
		if p.GetPlace() != "" {
			from = p.GetPlace()
		}
		if p.GetCertificate() != "" {
			from += ", certificate " + p.GetCertificate()
		}
		fmt.Fprintf(w, "The check of %s comes from %s; %s imported it on %s.\n", show.TimeText(c.GetTime()), from, p.GetImportedBy(), show.TimeText(p.GetImportTime()))
	}
}
