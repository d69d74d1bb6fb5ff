// Package recall has the command that corrects verdicts of past jobs.
package recall

import (
	"context"
	"errors"
	"io"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/types/known/timestamppb"

	"gauged/internal/cli/app"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// recallTimeout is how long a recall may take when --timeout is not given.
const recallTimeout = 10 * time.Minute

// recallFlags are the flags of recall.
type recallFlags struct {
	off, standard, unit string
	growing, fromWork   bool
	since, found        string
	required            float64
	file, csv, report   string
}

const recallLong = "Show what a wrong gauge did to past verdicts. Every verdict that rests on the gauge is\n" +
	"computed again with the error taken off its readings. Changed verdicts come first,\n" +
	"then those that are now undecided, then the rest by probability.\n" +
	"The history stays as it is: this names units to look at again. The exit code is 4 when\n" +
	"a verdict changes or cannot be decided any more.\n" +
	"\n" +
	"The error is that of the gauge's newest failed check, or else of its last one. Between\n" +
	"two masters it is taken on a straight line. Jobs since the last good check before it\n" +
	"are examined, up to the next good one. --since looks for the failure after that time.\n" +
	"The error is taken as constant. With --growing it grew evenly since the last good\n" +
	"check. With --from-work it is estimated from the jobs, day by day. Its uncertainty\n" +
	"counts in the probability.\n" +
	"\n" +
	"With --file no daemon is needed: the jobs are lines of a CSV file, and --error is\n" +
	"needed. docs/fleet.md explains the columns."

// Command corrects the verdicts of past jobs for a gauge that was found out.
func Command(a *app.App) *cobra.Command {
	var f recallFlags
	cmd := &cobra.Command{
		Use:   "recall GAUGE | --file JOBS.csv",
		Short: "Show the effect of a wrong gauge on past verdicts",
		Long:  recallLong,
		Example: "  gaugectl recall dial --report recall.html\n" +
			"  gaugectl recall dial --error points.csv --since 2026-03-01\n" +
			"  gaugectl recall dial --error 0.03mm --since 2026-03-01 --csv recall.csv\n" +
			"  gaugectl recall dial --from-work\n" +
			"  gaugectl recall --file jobs.csv --error 8um --standard-uncertainty 1um",
		Args: app.Arguments(0, 1),
	}
	f.add(a, cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		request, err := f.request(args, cmd.Flags().Changed("required"))
		if err != nil {
			return err
		}
		if f.places() {
			a.Running = true
			if request.Points, err = readPoints(f.off); err != nil {
				return err
			}
		}
		if f.file != "" {
			return recalledFile(a, request, f)
		}
		return a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
			if !cmd.Flags().Changed("timeout") {
				d.Timeout = recallTimeout
			}
			answer, err := streamRecall(ctx, d, request)
			if err != nil {
				return err
			}
			return recalled(a, f, request.GetGaugeId(), answer)
		})(cmd, args)
	}
	return cmd
}

// add adds the flags to the command.
func (f *recallFlags) add(a *app.App, cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringVar(&f.off, "error", "", "indication less true value, such as 8um, or a CSV file of errors at several readings (default: from the checks)")
	flags.StringVar(&f.standard, "standard-uncertainty", "", "standard uncertainty of the error, such as 1um (default: that of the check, or none with --error)")
	flags.StringVar(&f.unit, "unit", "", "unit of lengths that have none: mm, in or um")
	flags.StringVar(&f.since, "since", "", "jobs since this day, such as 2026-03-01, or time in RFC 3339 (default: the last check that passed before the error was found)")
	flags.BoolVar(&f.growing, "growing", false, "the error grew evenly")
	flags.BoolVar(&f.fromWork, "from-work", false, "estimate the error from the jobs themselves")
	flags.StringVar(&f.file, "file", "", "read the jobs from this CSV `FILE`, without a daemon")
	flags.StringVar(&f.found, "found", "", "with --file: when the error was found; a growing error is full then")
	app.NumberVar(flags, &f.required, "required", 0.95, "with --file: probability that a verdict needs, over one half")
	flags.StringVar(&f.csv, "csv", "", "also write the list to this `FILE`, as CSV")
	flags.StringVar(&f.report, "report", "", "write a report to this `FILE`, such as recall.html; - shows it as text instead of the list")
	cmd.ValidArgsFunction = app.First(a.Names(app.GaugeNames))
	a.Complete(cmd, "unit", app.Fixed(gauge.Symbols(gauge.KindLength)...))
}

// request checks the flags.
func (f *recallFlags) request(args []string, required bool) (*pb.RecallRequest, error) {
	r := &pb.RecallRequest{Growing: f.growing, FromWork: f.fromWork}
	if len(args) > 0 {
		r.GaugeId = args[0]
	}
	switch {
	case len(args) == 0 && f.file == "":
		return nil, app.Usagef("name the gauge, or with --file a file of jobs")
	case f.growing && f.fromWork:
		return nil, app.Usagef("--growing and --from-work exclude each other: leave out one of them")
	case f.fromWork && (f.off != "" || f.standard != ""):
		return nil, app.Usagef("--from-work estimates the error: leave out --error and --standard-uncertainty, or --from-work")
	case f.file == "" && (f.found != "" || required):
		return nil, app.Usagef("--found and --required are for --file: the daemon knows them")
	case f.file != "" && f.fromWork:
		return nil, app.Usagef("--from-work needs a daemon's history: give the error with --error")
	case f.file != "" && f.off == "":
		return nil, app.Usagef("a file of jobs does not contain the error: give it with --error, such as 8um")
	case f.report != "" && f.report != "-" && filepath.Ext(f.report) != ".html":
		return nil, app.Usagef("--report %q: a report is a file such as recall.html, or - for text", f.report)
	case !(f.required > 0.5 && f.required < 1):
		return nil, app.Usagef("--required %v is not a probability over 0.5 and under 1", f.required)
	case uncertainty.Rounded(f.required).Float() != f.required:
		return nil, app.Usagef("--required %v: a probability is given with four decimals at most", f.required)
	}
	if err := f.size(r); err != nil {
		return nil, err
	}
	if f.since != "" {
		where := time.Local
		if f.file != "" {
			where = time.UTC
		}
		at, err := app.DayOrTime(f.since, where)
		if err != nil {
			return nil, app.Usagef("--since %q is not a day such as 2026-03-01 or a time in RFC 3339", f.since)
		}
		r.SinceTime = timestamppb.New(at)
	}
	return r, nil
}

// places says that the error is a file of errors at several readings.
func (f *recallFlags) places() bool { return strings.HasSuffix(f.off, ".csv") }

// size reads the error where it is one.
func (f *recallFlags) size(r *pb.RecallRequest) error {
	switch {
	case !f.places():
		return f.lengths(r)
	case f.standard != "" || f.unit != "":
		return app.Usagef("a file of errors has their unit and uncertainty in its columns: leave out --unit and --standard-uncertainty")
	}
	return nil
}

// lengths reads the error and its uncertainty, which have their unit with them or
// share --unit.
func (f *recallFlags) lengths(r *pb.RecallRequest) error {
	u, err := app.ParseUnitFlag(f.unit)
	if err != nil {
		return err
	}
	off, unit, err := lengthFlag("error", f.off, u)
	if err != nil {
		return err
	}
	standard, standardUnit, err := lengthFlag("standard-uncertainty", f.standard, u)
	switch {
	case err != nil:
		return err
	case off == "" && standard == "" && f.unit != "":
		return app.Usagef("--unit is that of --error, which is not given")
	case off != "" && standard != "" && unit != standardUnit:
		return app.Usagef("give --error and --standard-uncertainty in the same unit")
	}
	r.Error, r.StandardUncertainty = off, standard
	if r.Unit = wire.Unit(unit); off == "" {
		r.Unit = wire.Unit(standardUnit)
	}
	return nil
}

// lengthFlag reads a length with its unit, or in the unit that is given; u is that of
// both lengths, where it is known.
func lengthFlag(flag, text string, u gauge.Unit) (digits string, unit gauge.Unit, err error) {
	if text == "" {
		return "", u, nil
	}
	digits, unit, _, err = app.ExactSize(flag, text, u)
	if err == nil && u.Known() && unit != u {
		return "", u, app.Usagef("--%s is in %v, --unit says %v", flag, unit, u)
	}
	return digits, unit, err
}

// streamRecall puts the parts of an answer together.
func streamRecall(ctx context.Context, d *app.Daemon, request *pb.RecallRequest) (*pb.RecallResponse, error) {
	ctx, cancel := context.WithTimeout(ctx, d.Timeout)
	defer cancel()
	stream, err := d.Health.Recall(ctx, request)
	if err != nil {
		return nil, d.Explain(err)
	}
	var answer *pb.RecallResponse
	for {
		message, err := stream.Recv()
		switch {
		case errors.Is(err, io.EOF) && answer != nil:
			return answer, nil
		case err != nil:
			return nil, d.Explain(err)
		case answer == nil:
			answer = message
		default:
			answer.Items = append(answer.Items, message.GetItems()...)
		}
	}
}

// recalledFile corrects the jobs of a file.
func recalledFile(a *app.App, request *pb.RecallRequest, f recallFlags) error {
	a.Running = true
	answer, err := recallFile(f.file, request, f)
	if err != nil {
		return err
	}
	return recalled(a, f, request.GetGaugeId(), answer)
}

// recalled writes an answer in the forms that are asked for.
func recalled(a *app.App, f recallFlags, gaugeID string, answer *pb.RecallResponse) error {
	if f.csv != "" {
		if err := writeRecall(f.csv, answer); err != nil {
			return err
		}
	}
	report := newRecallReport(gaugeID, answer, time.Now())
	if f.report != "" && f.report != "-" {
		if err := report.write(f.report); err != nil {
			return err
		}
	}
	table := func(w io.Writer) { renderRecall(w, report, answer) }
	if f.report == "-" {
		table = report.text
	}
	err := error(nil)
	if a.Output == app.OutputCSV {
		err = writeRecords(a.Stdout, answer)
	} else {
		err = a.Show(answer, table)
	}
	if err != nil {
		return err
	}
	if answer.GetTurnedCount() > 0 || answer.GetUndecidedCount() > 0 {
		return app.ErrAnswerIsNo
	}
	return nil
}
