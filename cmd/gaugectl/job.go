package main

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"

	pb "gauged/api/gauged/v1"
)

// jobFlags are what the commands of the job group share.
type jobFlags struct {
	technician string
	getenv     func(string) string
}

// by is who does it; empty leaves it to the daemon.
func (f *jobFlags) by() string { return cmp.Or(f.technician, f.getenv("GAUGECTL_TECHNICIAN")) }

func (a *app) jobCommand() *cobra.Command {
	f := &jobFlags{getenv: a.getenv}
	cmd := a.group("job", "Run a job: measure, fit the part, prove it",
		a.jobRunCommand(f), a.jobListCommand(), a.jobShowCommand(), a.jobWatchCommand(),
		a.jobStartCommand(f), a.jobCaptureCommand(f), a.jobEnterCommand(f), a.jobDiscardCommand(f),
		a.jobChooseCommand(f), a.jobFitCommand(f), a.jobRoundCommand(f), a.jobVerifyCommand(f), a.jobAcknowledgeCommand(f), a.jobCloseCommand(f))
	cmd.Long = "Run a job on one unit: measure, fit the recommended part, measure the result.\n" +
		"`job run` leads through all of it; the other commands are its single steps."
	cmd.PersistentFlags().StringVar(&f.technician, "technician", "", "who does it (default $GAUGECTL_TECHNICIAN)")
	return cmd
}

func (a *app) jobListCommand() *cobra.Command {
	request := &pb.ListJobsRequest{}
	cmd := &cobra.Command{
		Use:   "list",
		Short: "Show jobs, the newest first",
		Args:  arguments(0, 0),
		RunE: a.withDaemon(func(ctx context.Context, d *daemon, _ []string) error {
			answer, err := jobList(ctx, d, request)
			if err != nil {
				return err
			}
			return a.show(answer, func(w io.Writer) { renderJobs(w, answer.GetJobs()) })
		}),
	}
	cmd.Flags().BoolVar(&request.OpenOnly, "open", false, "only jobs that are not closed")
	cmd.Flags().StringVar(&request.UnitSerial, "unit-serial", "", "only jobs on this unit")
	cmd.Flags().Uint32Var(&request.Limit, "limit", 0, "at most so many (default 100)")
	return cmd
}

func (a *app) jobShowCommand() *cobra.Command {
	return a.onJob("show JOB", "Show a job as it stands", 1, func(ctx context.Context, d *daemon, id uint64, _ []string) error {
		answer, err := ask(ctx, d, d.jobs.GetJob, &pb.GetJobRequest{JobId: id})
		if err != nil {
			return err
		}
		return a.show(answer, func(w io.Writer) { renderJob(w, answer.GetJob()) })
	})
}

func (a *app) jobWatchCommand() *cobra.Command {
	cmd := a.onJob("watch JOB", "Show a job again after each change, until it is closed", 1, func(ctx context.Context, d *daemon, id uint64, _ []string) error {
		return endOfWatch(ctx, a.watchJob(ctx, d, id))
	})
	cmd.Long = cmd.Short + ".\n\nWith --output json every change is one object on one line."
	return cmd
}

func (a *app) watchJob(ctx context.Context, d *daemon, id uint64) error {
	var shown uint64
	return follower[pb.WatchJobResponse]{
		open: func(ctx context.Context) (grpc.ServerStreamingClient[pb.WatchJobResponse], error) {
			return d.jobs.WatchJob(ctx, &pb.WatchJobRequest{JobId: id})
		},
		each: func(m *pb.WatchJobResponse) error {
			j := m.GetJob()
			if a.output == outputJSON {
				if err := writeJSON(a.stdout, m, false); err != nil {
					return err
				}
			} else if j.GetLastSeq() != shown || j.GetNotice() != "" {
				fmt.Fprintf(a.stdout, "-- job %d, entry %d --\n", j.GetId(), j.GetLastSeq())
				renderJobAnswer(a.stdout, j)
			}
			shown = j.GetLastSeq()
			if j.GetStage() == pb.JobStage_JOB_STAGE_CLOSED {
				return errEnough
			}
			return nil
		},
		lost: func(err error) { fmt.Fprintf(a.stderr, "gaugectl: %s; trying again\n", lossText(d, err)) },
		back: func() { fmt.Fprintln(a.stderr, "gaugectl: the daemon is back") },
	}.follow(ctx, d)
}

// onJob returns a command whose first argument is the number of a job.
// At most maxArgs arguments are taken; do gets those after the number.
func (a *app) onJob(use, short string, maxArgs int, do func(ctx context.Context, d *daemon, id uint64, args []string) error) *cobra.Command {
	return &cobra.Command{
		Use:               use,
		Short:             short,
		Args:              arguments(1, maxArgs),
		ValidArgsFunction: first(a.names(openJobs)),
		RunE: a.withDaemon(func(ctx context.Context, d *daemon, args []string) error {
			id, err := jobNumber(args[0])
			if err != nil {
				return err
			}
			return do(ctx, d, id, args[1:])
		}),
	}
}

func jobNumber(text string) (uint64, error) {
	id, err := strconv.ParseUint(text, 10, 64)
	if err != nil || id == 0 {
		return 0, usagef("%q is not the number of a job: gaugectl job list shows them", text)
	}
	return id, nil
}

// gaugeChoices reads MEASUREMENT=GAUGE pairs.
func gaugeChoices(pairs []string) (map[string]string, error) {
	chosen := make(map[string]string, len(pairs))
	for _, pair := range pairs {
		measurement, gauge, ok := strings.Cut(pair, "=")
		if !ok || measurement == "" || gauge == "" {
			return nil, usagef("--gauge %q: write MEASUREMENT=GAUGE, or *=GAUGE for all measurements", pair)
		}
		if other, twice := chosen[measurement]; twice {
			return nil, usagef("--gauge %q: %s has the gauge %s already", pair, measurement, other)
		}
		chosen[measurement] = gauge
	}
	return chosen, nil
}
