package main

import (
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"strconv"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/types/known/timestamppb"

	"gauged/internal/gauge"
	"gauged/internal/server/message"

	pb "gauged/api/gauged/v1"
)

// recallTimeout is how long a recall may take when --timeout is not given.
const recallTimeout = 10 * time.Minute

func (a *app) recallCommand() *cobra.Command {
	var off, unit, since, file string
	request := &pb.RecallRequest{}
	cmd := &cobra.Command{
		Use:   "recall GAUGE",
		Short: "Show what a gauge that was wrong did to past verdicts",
		Long: "Compute every verdict again that was measured with a gauge, with an error taken off its\n" +
			"readings, and show what changes first: verdicts that turn, then those that cannot be decided\n" +
			"any more, then the rest by the probability that the unit is within its limits. The error is\n" +
			"that of the gauge's last check, and jobs since the last check that passed are looked at,\n" +
			"unless you say otherwise. The verdicts in the history stand: this names units to look at\n" +
			"again. It ends with 4 when a verdict turns.",
		Example: "  gaugectl recall dial\n  gaugectl recall dial --error 0.03 --unit mm --since 2026-03-01 --csv recall.csv",
		Args:    arguments(1, 1),
	}
	flags := cmd.Flags()
	flags.StringVar(&off, "error", "", "indication less true value (default: the mean error of the last check)")
	flags.StringVar(&unit, "unit", "", "unit of the error: mm, in or um")
	flags.StringVar(&since, "since", "", "jobs since this day, such as 2026-03-01, or time in RFC 3339 (default: the last check that passed)")
	flags.BoolVar(&request.Growing, "growing", false, "the error grew steadily; else it was the same all the time")
	flags.StringVar(&file, "csv", "", "write the list to this file too, as CSV")
	cmd.ValidArgsFunction = first(a.names(gaugeNames))
	a.complete(cmd, "unit", fixed(gauge.Symbols(gauge.KindLength)...))
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		request.GaugeId, request.Error = args[0], off
		if (off == "") != (unit == "") {
			return usagef("an error needs its unit: --error 0.03 --unit mm")
		}
		u, err := parseUnitFlag(unit)
		if err != nil {
			return err
		}
		request.Unit = message.Unit(u)
		if since != "" {
			at, err := dayOrTime(since)
			if err != nil {
				return usagef("--since %q is no day such as 2026-03-01 and no time in RFC 3339", since)
			}
			request.Since = timestamppb.New(at)
		}
		return a.withDaemon(func(ctx context.Context, d *daemon, _ []string) error {
			if !cmd.Flags().Changed("timeout") {
				d.timeout = recallTimeout
			}
			return a.recall(ctx, d, request, file)
		})(cmd, args)
	}
	return cmd
}

func dayOrTime(text string) (time.Time, error) {
	if at, err := time.ParseInLocation(time.DateOnly, text, time.Local); err == nil {
		return at, nil
	}
	return time.Parse(time.RFC3339, text)
}

func (a *app) recall(ctx context.Context, d *daemon, request *pb.RecallRequest, file string) error {
	answer, err := ask(ctx, d, d.health.Recall, request)
	if err != nil {
		return err
	}
	if file != "" {
		if err := writeRecall(file, answer); err != nil {
			return err
		}
	}
	if err := a.show(answer, func(w io.Writer) { renderRecall(w, request.GetGaugeId(), answer) }); err != nil {
		return err
	}
	if answer.GetFlipped() > 0 {
		return errNotConforming
	}
	return nil
}

func renderRecall(w io.Writer, gaugeID string, r *pb.RecallResponse) {
	since := "ever"
	if r.GetSince() != nil {
		since = "since " + timeText(r.GetSince())
	}
	fmt.Fprintf(w, "%s measured with %s %s; %s taken off its readings.\n", plural(len(r.GetItems()), "job"), gaugeID, since, signedText(r.GetError()))
	if len(r.GetItems()) == 0 {
		return
	}
	fmt.Fprintf(w, "%s, %d undecided now.\n\n", plural(int(r.GetFlipped()), "verdict")+turns(r.GetFlipped()), r.GetUndecided())
	columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "JOB\tUNIT\tSTARTED\tBEFORE\tNOW\tMEASURED\tCORRECTED\tLIMITS\tPROBABILITY")
		for _, i := range r.GetItems() {
			probability := "-"
			if i.Probability != nil {
				probability = strconv.FormatFloat(i.GetProbability(), 'f', 4, 64)
			}
			fmt.Fprintf(tab, "%d\t%s\t%s\t%s\t%s\t%s\t%s\t%s to %s\t%s\n", i.GetJobId(), i.GetUnitSerial(), timeText(i.GetStarted()),
				recallOutcome(i.GetBefore()), recallOutcome(i.GetAfter()), lengthText(i.GetMeasured()), lengthText(i.GetCorrected()),
				lengthText(i.GetAllowed().GetMin()), lengthText(i.GetAllowed().GetMax()), probability)
		}
	})
}

func turns(n uint32) string {
	if n == 1 {
		return " turns"
	}
	return " turn"
}

func recallOutcome(o pb.Outcome) string { return string(message.FromOutcome(o)) }

// writeRecall writes the list as CSV. Lengths are decimal numbers in the unit of
// their column.
func writeRecall(name string, r *pb.RecallResponse) (err error) {
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	defer func() {
		if closed := f.Close(); err == nil {
			err = closed
		}
	}()
	w := csv.NewWriter(f)
	rows := [][]string{{"job", "unit_serial", "started", "closed", "before", "now", "measured", "corrected", "min", "max", "unit", "probability"}}
	for _, i := range r.GetItems() {
		probability := ""
		if i.Probability != nil {
			probability = strconv.FormatFloat(i.GetProbability(), 'f', 4, 64)
		}
		length := i.GetMeasured()
		if length == nil {
			length = i.GetAllowed().GetMax()
		}
		closed := ""
		if i.GetClosed() != nil {
			closed = i.GetClosed().AsTime().Format(time.RFC3339)
		}
		rows = append(rows, []string{
			strconv.FormatUint(i.GetJobId(), 10), i.GetUnitSerial(), i.GetStarted().AsTime().Format(time.RFC3339), closed,
			recallOutcome(i.GetBefore()), recallOutcome(i.GetAfter()), i.GetMeasured().GetText(), i.GetCorrected().GetText(),
			i.GetAllowed().GetMin().GetText(), i.GetAllowed().GetMax().GetText(), unitSymbol(length.GetUnit()), probability,
		})
	}
	if err := w.WriteAll(rows); err != nil {
		return fmt.Errorf("write the list: %w", err)
	}
	return nil
}
