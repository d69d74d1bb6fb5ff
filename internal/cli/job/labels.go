package job

import (
	"context"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"

	pb "gauged/api/gauged/v1"
)

// labelFlag adds the flag of labels to a command.
func labelFlag(a *app.App, cmd *cobra.Command, labels *[]string, usage string) {
	cmd.Flags().StringArrayVar(labels, "label", nil, usage)
	a.Complete(cmd, "label", app.Fixed("order=", "customer="))
}

// labelled are the labels that are written NAME=TEXT; where they are from is said of a mistake.
func labelled(where string, pairs []string) (map[string]string, error) {
	labels := make(map[string]string, len(pairs))
	for _, pair := range pairs {
		name, text, ok := strings.Cut(pair, "=")
		if !ok || name == "" {
			return nil, app.Usagef("%s%q: write NAME=TEXT, such as order=A-1042", where, pair)
		}
		if other, twice := labels[name]; twice {
			return nil, app.Usagef("%s%q: %s is %s already", where, pair, name, other)
		}
		labels[name] = text
	}
	return labels, nil
}

func jobLabelCommand(a *app.App, f *jobFlags) *cobra.Command {
	request := &pb.SetJobLabelsRequest{}
	cmd := onJob(a, "label JOB NAME=TEXT...", "Say what order or customer a job is for, or put it right", 2, func(ctx context.Context, d *app.Daemon, id uint64, args []string) (err error) {
		if request.Labels, err = labelled("", args); err != nil {
			return err
		}
		request.JobId, request.By = id, f.by()
		answer, err := app.Ask(ctx, d, d.Jobs.SetJobLabels, request)
		if err != nil {
			return err
		}
		return stepDone(a, answer, "Job %d has %s.", id, labelsOr(answer.GetJob(), "no label"))
	})
	cmd.Args = app.Arguments(2, 21)
	cmd.Long = "Say what a job is for, also of a closed job: order=A-1042, customer=Miller, or a name of\n" +
		"your own in small letters. NAME= takes a label away; what is not named stays as it is.\n" +
		"What was said before stays in the history. `jobs --label order=A-1042` finds the jobs."
	cmd.Flags().StringVar(&request.Reason, "reason", "", "why; needed where something else was said before")
	return cmd
}

// labelsOr lists the labels of a job, or says that it has none.
func labelsOr(j *pb.Job, none string) string {
	if len(j.GetLabels()) == 0 {
		return none
	}
	return show.LabelsText(j.GetLabels())
}

// renderLabels writes them into the head of a job, where it has some.
func renderLabels(tab io.Writer, j *pb.Job) {
	if len(j.GetLabels()) > 0 {
		_, _ = io.WriteString(tab, "  labels\t"+show.LabelsText(j.GetLabels())+"\n")
	}
}
