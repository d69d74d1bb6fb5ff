package job

import (
	"context"
	"fmt"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"

	pb "gauged/api/gauged/v1"
)

func jobSheetCommand(a *app.App) *cobra.Command {
	request := &pb.GetJobDocumentRequest{Form: pb.JobDocumentForm_JOB_DOCUMENT_FORM_SHEET_PDF}
	cmd := documentCommand(a, "sheet JOB", "Write the job sheet as PDF", "pdf", request)
	cmd.Long = "Write the job sheet as PDF: what was measured, what followed, what was fitted and proved, with\n" +
		"the head of the history that proves it."
	cmd.Flags().StringVar(&request.Language, "language", "", "language of the sheet, such as de (default: English)")
	return cmd
}

func jobQIFCommand(a *app.App) *cobra.Command {
	cmd := documentCommand(a, "qif JOB", "Write the results of a job as QIF 3.0", "xml", &pb.GetJobDocumentRequest{Form: pb.JobDocumentForm_JOB_DOCUMENT_FORM_QIF})
	cmd.Long = "Write the results of a job for other programs, in XML by QIF 3.0 (ISO 23952). They have the unit,\n" +
		"the gauges, each characteristic with its limits, and the parts that were fitted. Values stand\n" +
		"with their standard uncertainty and with what was decided of them."
	return cmd
}

// documentCommand writes a file of a job.
func documentCommand(a *app.App, use, short, ending string, request *pb.GetJobDocumentRequest) *cobra.Command {
	file := &app.Document{Ending: ending}
	cmd := onJob(a, use, short, 1, func(ctx context.Context, d *app.Daemon, id uint64, _ []string) error {
		file.Example = fmt.Sprintf("job-%d", id)
		if err := file.Named(); err != nil {
			return err
		}
		request.JobId = id
		answer, err := app.Ask(ctx, d, d.Jobs.GetJobDocument, request)
		if err != nil {
			return err
		}
		return file.Write(a, fmt.Sprintf("job %d", id), answer.GetContent())
	})
	file.Flag(cmd)
	return cmd
}
