// Package job has the commands that lead jobs. The session of `job run` owns one goroutine
// that follows the job and one that reads its input line by line.
package job

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"gauged/client"
	"gauged/internal/cli/app"

	pb "gauged/api/gauged/v1"
)

// jobFlags are what the commands of the job group share.
type jobFlags struct {
	who string
	app *app.App
}

// by is who does a step; empty is the technician of the job.
func (f *jobFlags) by() string { return cmp.Or(f.who, f.app.Getenv("GAUGECTL_BY")) }

// begins is who begins a job.
func (f *jobFlags) begins() string { return f.app.By(f.who) }

// Command is the group of commands that lead jobs.
func Command(a *app.App) *cobra.Command {
	f := &jobFlags{app: a}
	cmd := a.Group("job", "Run a job: measure, fit the part, prove it",
		jobRunCommand(a, f), jobShowCommand(a), jobWatchCommand(a), jobSheetCommand(a), jobQIFCommand(a),
		jobStartCommand(a, f), jobCaptureCommand(a, f), jobEnterCommand(a, f), jobDiscardCommand(a, f),
		jobChooseCommand(a, f), jobFitCommand(a, f), jobRoundCommand(a, f), jobVerifyCommand(a, f), jobAcknowledgeCommand(a, f), jobAsideCommand(a, f), jobResumeCommand(a, f), jobSerialCommand(a, f), jobLabelCommand(a, f), jobCloseCommand(a, f))
	cmd.Long = "Run a job on one unit: measure, fit the recommended part, measure the result. `job\n" +
		"run` leads through all of it. The other commands are its single steps."
	cmd.PersistentFlags().StringVar(&f.who, "by", "", "who does it (default: $GAUGECTL_BY, else the job's technician; for a new job your login name)")
	return cmd
}

// JobsCommand lists jobs.
func JobsCommand(a *app.App) *cobra.Command {
	request, l := &pb.ListJobsRequest{}, &app.List{Usual: usualJobs}
	var outcome string
	var labels []string
	cmd := &cobra.Command{Use: "jobs", Short: "Show jobs, the newest first", Args: app.Lists("job show")}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
		var err error
		if request.Labels, err = labelled("--label ", labels); err != nil {
			return err
		}
		if request.Outcome = outcomeNamed(outcome); outcome != "" && request.Outcome == 0 {
			return app.NotOneOf("--outcome", outcome, outcomeNames())
		}
		return app.ShowList(ctx, a, d, cmd, l, d.Jobs.ListJobs, request, func(w io.Writer, answer *pb.ListJobsResponse) { renderJobs(w, answer.GetJobs()) })
	})
	l.Flags(cmd, true)
	cmd.Flags().BoolVar(&request.OpenOnly, "open", false, "only jobs that are not closed")
	cmd.Flags().BoolVar(&request.AsideOnly, "aside", false, "only jobs that are set aside")
	cmd.Flags().StringVar(&request.UnitSerial, "unit-serial", "", "only jobs on this unit, however its serial number is written")
	labelFlag(a, cmd, &labels, "`NAME=TEXT`, such as order=A-1042: only jobs that have it, however its text\nis written; may be repeated")
	cmd.Flags().StringVar(&request.ProcedureId, "procedure", "", "only jobs that follow this procedure")
	cmd.Flags().StringVar(&outcome, "outcome", "", "only jobs that stand there: "+strings.Join(outcomeNames(), ", "))
	cmd.Flags().StringVar(&request.GaugeId, "gauge", "", "only jobs that took a reading of this gauge")
	cmd.Flags().StringVar(&request.By, "by", "", "only jobs that this person started, took up, or signed or closed")
	a.Complete(cmd, "procedure", a.Names(app.ProcedureNames))
	a.Complete(cmd, "outcome", app.Fixed(outcomeNames()...))
	a.Complete(cmd, "gauge", a.Names(app.GaugeNames))
	return cmd
}

// usualJobs is how many jobs are listed when nobody says.
const usualJobs = 100

// outcomeNames are the outcomes as the command line says them.
func outcomeNames() (names []string) {
	for o := pb.Outcome(1); o.String() != fmt.Sprint(int32(o)); o++ {
		if o != pb.Outcome_OUTCOME_ADVISED { // it is one of a single result
			names = append(names, strings.ReplaceAll(strings.ToLower(strings.TrimPrefix(o.String(), "OUTCOME_")), "_", "-"))
		}
	}
	return names
}

func outcomeNamed(name string) pb.Outcome {
	return pb.Outcome(pb.Outcome_value["OUTCOME_"+strings.ToUpper(strings.ReplaceAll(name, "-", "_"))])
}

func jobShowCommand(a *app.App) *cobra.Command {
	return onJob(a, "show JOB", "Show a job", 1, func(ctx context.Context, d *app.Daemon, id uint64, _ []string) error {
		answer, err := app.Ask(ctx, d, d.Jobs.GetJob, &pb.GetJobRequest{JobId: id})
		if err != nil {
			return err
		}
		return a.Show(answer, func(w io.Writer) { renderJob(w, answer.GetJob()) })
	})
}

func jobWatchCommand(a *app.App) *cobra.Command {
	request := &pb.WatchJobsRequest{}
	var after uint64
	cmd := &cobra.Command{
		Use:   "watch [JOB]",
		Short: "Show a job, or every job, after each change",
		Long: "Show a job after each change, until it is closed. Without a job it shows each change of every\n" +
			"job, with its number in the history. --after goes on behind a number, so that none is missed.\n\n" +
			"With --output json every change is one object on one line.",
		Args:              app.Arguments(0, 1),
		ValidArgsFunction: app.First(a.Names(app.OpenJobs)),
	}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, args []string) error {
		if len(args) == 0 {
			if cmd.Flags().Changed("after") {
				request.AfterSeq = &after
			}
			return app.EndOfWatch(ctx, watchJobs(a, ctx, d, request))
		}
		id, err := app.JobNumber(args[0])
		if err != nil {
			return err
		}
		return app.EndOfWatch(ctx, watchJob(a, ctx, d, id))
	})
	cmd.Flags().Uint64Var(&after, "after", 0, "of every job: begin after this number of the history; 0 is the first (default: with what comes next)")
	cmd.Flags().BoolVar(&request.VerdictsOnly, "verdicts", false, "of every job: only verdicts")
	return cmd
}

func watchJob(a *app.App, ctx context.Context, d *app.Daemon, id uint64) error {
	entries := a.NewEntries(&pb.WatchJobResponse{})
	var shown uint64
	warned := map[string]bool{}
	return app.Follow(d, d.WatchJob(ctx, &pb.WatchJobRequest{JobId: id}, client.Outage{
		Lost: func(err error) {
			fmt.Fprintf(a.Stderr, "gaugectl: %s; trying again\n", app.LossText(d, d.Explain(err)))
		},
		Back: func() { fmt.Fprintln(a.Stderr, "gaugectl: the daemon is back") },
	}), func(m *pb.WatchJobResponse) error {
		j := m.GetJob()
		if a.Output != app.OutputTable {
			if err := entries.Write(m, nil); err != nil {
				return err
			}
		} else if j.GetLastSeq() != shown || j.GetNotice() != nil {
			fmt.Fprintf(a.Stdout, "-- job %d, entry %d --\n", j.GetId(), j.GetLastSeq())
			renderJobAnswer(a.Stdout, j, untold(warned, j.GetWarnings()))
		}
		shown = j.GetLastSeq()
		return nil
	})
}

// onJob returns a command whose first argument is the number of a job.
// At most maxArgs arguments are taken; do gets those after the number.
func onJob(a *app.App, use, short string, maxArgs int, do func(ctx context.Context, d *app.Daemon, id uint64, args []string) error) *cobra.Command {
	return &cobra.Command{
		Use:               use,
		Short:             short,
		Args:              app.Arguments(1, maxArgs),
		ValidArgsFunction: app.First(a.Names(app.OpenJobs)),
		RunE: a.WithDaemon(func(ctx context.Context, d *app.Daemon, args []string) error {
			id, err := app.JobNumber(args[0])
			if err != nil {
				return err
			}
			return do(ctx, d, id, args[1:])
		}),
	}
}

// gaugeChoices reads MEASUREMENT=GAUGE pairs.
func gaugeChoices(pairs []string) (map[string]string, error) {
	chosen := make(map[string]string, len(pairs))
	for _, pair := range pairs {
		measurement, gauge, ok := strings.Cut(pair, "=")
		if !ok || measurement == "" || gauge == "" {
			return nil, app.Usagef("--gauge %q: write MEASUREMENT=GAUGE, or *=GAUGE for all measurements", pair)
		}
		if other, twice := chosen[measurement]; twice {
			return nil, app.Usagef("--gauge %q: %s has the gauge %s already", pair, measurement, other)
		}
		chosen[measurement] = gauge
	}
	return chosen, nil
}
