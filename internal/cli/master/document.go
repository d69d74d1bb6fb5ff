package master

import (
	"context"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"

	pb "gauged/api/gauged/v1"
)

func masterSheetCommand(a *app.App) *cobra.Command {
	request := &pb.GetCheckDocumentRequest{Form: pb.CheckDocumentForm_CHECK_DOCUMENT_FORM_SHEET_PDF}
	cmd := documentCommand(a, "sheet GAUGE [CHECK]", "Write the sheet of a check as PDF", "pdf", request)
	cmd.Long = "Write the sheet of a check as PDF. It has the errors as found and as left with their\n" +
		"uncertainty and limits, and the masters with their certificates. It has the decision rule,\n" +
		"every reading, and the head of the history that proves it.\n" +
		"\n" +
		"gaugectl checks GAUGE shows the numbers of the checks. Without one it is the newest check\n" +
		"that counts."
	cmd.Example = "  gaugectl master sheet dial -o check.pdf"
	cmd.Flags().StringVar(&request.Language, "language", "", "language of the sheet, such as de (default: English)")
	return cmd
}

func masterDCCCommand(a *app.App) *cobra.Command {
	request := &pb.GetCheckDocumentRequest{Form: pb.CheckDocumentForm_CHECK_DOCUMENT_FORM_DCC}
	cmd := documentCommand(a, "dcc GAUGE [CHECK]", "Write a check as digital calibration certificate", "xml", request)
	cmd.Long = "Write a check for other programs, in XML by DCC 3.1. Lengths are exact, in millimetres. It\n" +
		"says that it is no accredited calibration.\n" +
		"\n" +
		"The station's file must state name, email and country of the shop. Void and imported checks\n" +
		"are refused."
	cmd.Flags().StringVar(&request.Language, "language", "", "language that binds, such as de (default: English)")
	return cmd
}

// documentCommand writes a file of a check.
func documentCommand(a *app.App, use, short, ending string, request *pb.GetCheckDocumentRequest) *cobra.Command {
	file := &app.Document{Ending: ending, Example: "check"}
	cmd := &cobra.Command{Use: use, Short: short, Args: app.Arguments(1, 2), ValidArgsFunction: app.First(a.Names(app.GaugeNames))}
	file.Flag(cmd)
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if err := file.Named(); err != nil {
			return err
		}
		request.GaugeId = args[0]
		if len(args) > 1 {
			seq, err := strconv.ParseUint(args[1], 10, 64)
			if err != nil || seq == 0 {
				return app.Usagef("%q is not the number of a check: gaugectl checks %s shows them", args[1], args[0])
			}
			request.CheckSeq = seq
		}
		return a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
			answer, err := app.Ask(ctx, d, d.Health.GetCheckDocument, request)
			if err != nil {
				return err
			}
			number, _, _ := strings.Cut(strings.TrimPrefix(answer.GetFileName(), "check-"), ".")
			return file.Write(a, "check "+number+" of "+args[0], answer.GetContent())
		})(cmd, args)
	}
	return cmd
}
