package job

import (
	"context"
	"errors"
	"strings"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
	"gauged/internal/gauge"

	pb "gauged/api/gauged/v1"
)

// optional returns the only argument, or empty.
func optional(args []string) string {
	if len(args) == 0 {
		return ""
	}
	return args[0]
}

// chosenText names the part that was settled on, by place where there are several.
func chosenText(j *pb.Job) string {
	var texts []string
	for _, c := range j.GetChosenParts() {
		texts = append(texts, show.Only(c.GetPlace() != "", c.GetPlace()+": ")+c.GetPart())
	}
	return strings.Join(texts, ", ")
}

// chosenAt is the part that was settled on for a place; empty before.
func chosenAt(j *pb.Job, place string) string {
	for _, c := range j.GetChosenParts() {
		if c.GetPlace() == place {
			return c.GetPart()
		}
	}
	return ""
}

// foretoldText says what the parts that were settled on would leave, before they
// are fitted.
func foretoldText(j *pb.Job) string {
	text := ""
	for _, f := range j.GetEvaluation().GetFits() {
		chosen := chosenAt(j, f.GetPlace())
		for _, c := range f.GetCandidates() {
			if c.GetGrade().GetPart() != chosen {
				continue
			}
			if gives := show.GivesText(f.GetClosingDimension(), c.GetPlay(), c.GetBetween()); gives != "" {
				text += show.Only(f.GetPlace() != "", " "+f.GetPlace()+":") + gives
			}
			if c.Probability != nil {
				text += " Probability inside: " + show.ProbabilityText(c.Probability) + "."
			}
			if !c.GetFits() {
				text += " That is outside the limits."
			}
		}
	}
	return text
}

// allFittedText names what was fitted, by place where there are several.
func allFittedText(e *pb.Evaluation) string {
	var texts []string
	for _, f := range e.GetFits() {
		if f.GetFitted() != nil {
			texts = append(texts, show.Only(f.GetPlace() != "", f.GetPlace()+": ")+show.FittedText(f.GetFitted()))
		}
	}
	return strings.Join(texts, "; ")
}

func jobChooseCommand(a *app.App, f *jobFlags) *cobra.Command {
	request := &pb.ChoosePartRequest{}
	cmd := onJob(a, "choose JOB [PART]", "Choose the recommended part, or another with a reason", 2, func(ctx context.Context, d *app.Daemon, id uint64, args []string) error {
		request.JobId, request.By, request.Part = id, f.by(), optional(args)
		answer, err := app.Ask(ctx, d, d.Jobs.ChoosePart, request)
		if err != nil {
			return err
		}
		return stepDone(a, answer, "Chosen: %s.%s", chosenText(answer.GetJob()), foretoldText(answer.GetJob()))
	})
	cmd.Flags().StringVar(&request.Place, "place", "", "the place, where there are several (default: the recommended part of each)")
	cmd.Flags().StringVar(&request.Reason, "reason", "", "why it is not the recommended part")
	return cmd
}

func jobFitCommand(a *app.App, f *jobFlags) *cobra.Command {
	request := &pb.RecordFittedPartRequest{}
	var thickness string
	var yes bool
	cmd := onJob(a, "fit JOB [PART]", "Record the part that was fitted, and its thickness", 2, func(ctx context.Context, d *app.Daemon, id uint64, args []string) error {
		if thickness != "" {
			digits, unit, err := app.TypedValue(thickness, gauge.KindLength)
			if err != nil {
				return app.Usagef("--thickness: %w", err)
			}
			request.Thickness, request.Unit = digits, unit
		}
		request.JobId, request.By, request.Part = id, f.by(), optional(args)
		if !yes {
			if err := confirm(a, ctx, d, request); err != nil {
				return err
			}
		}
		answer, err := app.Ask(ctx, d, d.Jobs.RecordFittedPart, request)
		if err != nil {
			return err
		}
		return stepDone(a, answer, "Fitted: %s.", allFittedText(answer.GetJob().GetEvaluation()))
	})
	cmd.Flags().StringVar(&request.Place, "place", "", "the place, where there are several (default: the chosen part of each)")
	cmd.Long = "Record the part that was really fitted, and its measured thickness.\n\n" +
		"Without PART it is the chosen part. Measure the part: the size on it is not always the\n" +
		"size it has. A pack is named by its parts with a plus between them. Measurements after\n" +
		"fitting begin again.\n\n" +
		"You are asked first when the part is not the recommended one, does not fit, or is not as\n" +
		"thick as stated. You see what it would leave, and how probably that is inside."
	cmd.Flags().BoolVar(&yes, "yes", false, "record it without asking")
	cmd.Flags().StringVar(&thickness, "thickness", "", "measured thickness with its unit, such as 1.52mm")
	return cmd
}

func jobAcknowledgeCommand(a *app.App, f *jobFlags) *cobra.Command {
	return onJob(a, "acknowledge JOB", "Record that the cautions were read", 1, func(ctx context.Context, d *app.Daemon, id uint64, _ []string) error {
		answer, err := app.Ask(ctx, d, d.Jobs.AcknowledgeCautions, &pb.AcknowledgeCautionsRequest{JobId: id, By: f.by()})
		if err != nil {
			return err
		}
		return stepDone(a, answer, "%s has read the cautions of job %d.", answer.GetJob().GetCautionsAcknowledgedBy(), id)
	})
}

func jobVerifyCommand(a *app.App, f *jobFlags) *cobra.Command {
	cmd := onJob(a, "verify JOB", "Sign the verdict", 1, func(ctx context.Context, d *app.Daemon, id uint64, _ []string) error {
		answer, err := app.Ask(ctx, d, d.Jobs.VerifyJob, &pb.VerifyJobRequest{JobId: id, By: f.by()})
		if err != nil {
			return err
		}
		shown := stepDone(a, answer, "The verdict on unit %s is signed.", answer.GetJob().GetUnitSerial())
		return errors.Join(shown, app.VerdictError(answer.GetJob().GetEvaluation()))
	})
	cmd.Long = cmd.Short + ".\n\nThe exit code is 4 when the unit does not conform or is undecided."
	return cmd
}

func jobRoundCommand(a *app.App, f *jobFlags) *cobra.Command {
	cmd := onJob(a, "round JOB", "Begin the next round after a failed proof", 1, func(ctx context.Context, d *app.Daemon, id uint64, _ []string) error {
		answer, err := app.Ask(ctx, d, d.Jobs.BeginRound, &pb.BeginRoundRequest{JobId: id, By: f.by()})
		if err != nil {
			return err
		}
		return stepDone(a, answer, "Round %d of job %d begins.", answer.GetJob().GetRound(), id)
	})
	cmd.Long = cmd.Short + ".\n\nThe fitted parts and what was measured after fitting go into the sum, and give the next\n" +
		"part. The earlier round stays on the sheet. To measure again, discard a reading that was\n" +
		"carried over."
	return cmd
}

func jobCloseCommand(a *app.App, f *jobFlags) *cobra.Command {
	request := &pb.CloseJobRequest{}
	cmd := onJob(a, "close JOB", "Close a job; without a verdict it needs a reason", 1, func(ctx context.Context, d *app.Daemon, id uint64, _ []string) error {
		request.JobId, request.By = id, f.by()
		answer, err := app.Ask(ctx, d, d.Jobs.CloseJob, request)
		if err != nil {
			return err
		}
		return stepDone(a, answer, "Job %d is closed.", id)
	})
	cmd.Flags().StringVar(&request.Reason, "reason", "", "why it is closed without a verdict")
	return cmd
}
