package job

import (
	"context"
	"strings"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"

	pb "gauged/api/gauged/v1"
)

func jobAsideCommand(a *app.App, f *jobFlags) *cobra.Command {
	request := &pb.SetJobAsideRequest{}
	cmd := onJob(a, "aside JOB", "Set a job aside: it waits, and its gauges are free", 1, func(ctx context.Context, d *app.Daemon, id uint64, _ []string) error {
		if strings.TrimSpace(request.GetReason()) == "" {
			return app.Usagef("say why it waits: --reason WHY")
		}
		request.JobId, request.By = id, f.by()
		answer, err := app.Ask(ctx, d, d.Jobs.SetJobAside, request)
		if err != nil {
			return err
		}
		return stepDone(a, answer, "Job %d is set aside: %s.", id, answer.GetJob().GetAside().GetReason())
	})
	cmd.Long = "Set a job aside, such as while a ring is ordered, or at the end of a shift. It takes no\n" +
		"reading meanwhile, and its gauges are free for another job. `job resume` goes on where it\n" +
		"was; who does that is its technician from then on. `jobs --aside` lists what waits."
	cmd.Flags().StringVar(&request.Reason, "reason", "", "why it waits")
	cmd.Flags().StringVar(&request.MeantFor, "for", "", "who is to take it up (default: anybody)")
	return cmd
}

func jobResumeCommand(a *app.App, f *jobFlags) *cobra.Command {
	var gauges []string
	request := &pb.ResumeJobRequest{}
	cmd := onJob(a, "resume JOB", "Take up a job that was set aside", 1, func(ctx context.Context, d *app.Daemon, id uint64, _ []string) error {
		var err error
		if request.GaugeIds, err = gaugeChoices(gauges); err != nil {
			return err
		}
		for measurement, gauge := range request.GetGaugeIds() {
			if gauge == typedIn {
				request.GaugeIds[measurement] = ""
			}
		}
		request.JobId, request.By = id, f.begins()
		answer, err := app.Ask(ctx, d, d.Jobs.ResumeJob, request)
		if err != nil {
			return err
		}
		return stepWarned(a, answer, answer.GetJob().GetWarnings(), "%s goes on with job %d on unit %s.", answer.GetJob().GetBy(), id, answer.GetJob().GetUnitSerial())
	})
	cmd.Long = "Take up a job that was set aside. Its gauges are bound again. You are told where one is\n" +
		"bound to another job by now, or may not be used. A measurement can then have another\n" +
		"gauge, or be " + typedIn + " in. What it has read so far is discarded for the reason why the job\n" +
		"was set aside, and is measured again."
	cmd.Flags().StringArrayVar(&gauges, "gauge", nil, "`MEASUREMENT=GAUGE` instead of the one before, may be repeated;\nMEASUREMENT="+typedIn+" has none")
	a.Complete(cmd, "gauge", a.Names(app.GaugeForAll))
	return cmd
}

// typedIn stands for no gauge.
const typedIn = "typed"

func jobSerialCommand(a *app.App, f *jobFlags) *cobra.Command {
	request := &pb.CorrectUnitSerialRequest{}
	cmd := onJob(a, "serial JOB SERIAL", "Put the serial number of a job's unit right", 2, func(ctx context.Context, d *app.Daemon, id uint64, args []string) error {
		if strings.TrimSpace(request.GetReason()) == "" {
			return app.Usagef("say why it was another one: --reason WHY")
		}
		request.JobId, request.UnitSerial, request.By = id, args[0], f.by()
		answer, err := app.Ask(ctx, d, d.Jobs.CorrectUnitSerial, request)
		if err != nil {
			return err
		}
		return stepDone(a, answer, "Job %d is on unit %s; %s was said before.", id, answer.GetJob().GetUnitSerial(), earlierText(answer.GetJob()))
	})
	cmd.Args = app.Arguments(2, 2)
	cmd.Long = "Put the serial number of a job's unit right, also of a closed job. What was said before\n" +
		"stays in the history, and the job is found by both."
	cmd.Flags().StringVar(&request.Reason, "reason", "", "why it was another one")
	return cmd
}

// earlierText lists the serial numbers that were said before.
func earlierText(j *pb.Job) string { return strings.Join(j.GetEarlierUnitSerials(), ", ") }

// asideText says why a job waits, and for whom.
func asideText(a *pb.JobAside) string {
	return a.GetReason() + show.Only(a.GetMeantFor() != "", ", for "+a.GetMeantFor()) + "; by " + show.OrDash(a.GetBy()) + ", " + show.TimeText(a.GetTime())
}
