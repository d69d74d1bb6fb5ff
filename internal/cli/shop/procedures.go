package shop

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

func proceduresCommand(a *app.App) *cobra.Command {
	l := &app.List{}
	cmd := &cobra.Command{Use: "procedures", Short: "Show all procedures", Args: app.Lists("procedure show")}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
		return app.ShowList(ctx, a, d, cmd, l, d.Procedures.ListProcedures, &pb.ListProceduresRequest{},
			func(w io.Writer, answer *pb.ListProceduresResponse) { renderProcedures(w, answer.GetProcedures()) })
	})
	l.Flags(cmd, false)
	cmd.AddCommand(reloadCommand(a))
	return cmd
}

func procedureShowCommand(a *app.App) *cobra.Command {
	return &cobra.Command{
		Use:               "show PROCEDURE",
		Short:             "Show a procedure with its parts",
		Args:              app.Arguments(1, 1),
		ValidArgsFunction: app.First(a.Names(app.ProcedureNames)),
		RunE: a.WithDaemon(func(ctx context.Context, d *app.Daemon, args []string) error {
			answer, err := app.Ask(ctx, d, d.Procedures.GetProcedure, &pb.GetProcedureRequest{ProcedureId: args[0]})
			if err != nil {
				return err
			}
			return a.Show(answer, func(w io.Writer) { renderProcedure(w, answer.GetProcedure(), answer.GetPartFamilies()) })
		}),
	}
}

func reloadCommand(a *app.App) *cobra.Command {
	return &cobra.Command{
		Use:   "reload",
		Short: "Read procedures and part families again",
		Long: "Have the daemon read its procedures and part families again. Jobs started afterwards\n" +
			"use the new files; open jobs keep theirs. If any file has a problem, nothing changes.",
		Args: app.Arguments(0, 0),
		RunE: a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
			answer, err := app.Ask(ctx, d, d.Procedures.ReloadProcedures, &pb.ReloadProceduresRequest{})
			if err != nil {
				return err
			}
			return a.Show(answer, func(w io.Writer) { renderReloaded(w, answer.GetChanged()) })
		}),
	}
}

func renderReloaded(w io.Writer, changed []*pb.FileVersion) {
	if len(changed) == 0 {
		fmt.Fprintln(w, "No file has changed.")
	}
	for _, f := range changed {
		fmt.Fprintf(w, "%s %s: version %.12s is in force for jobs that are started from now on.\n", wire.FromFileKind(f.GetKind()), f.GetId(), f.GetHash())
	}
}

func renderProcedures(w io.Writer, procedures []*pb.Procedure) {
	if len(procedures) == 0 {
		fmt.Fprintln(w, show.Say("proc.none"))
		return
	}
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "PROCEDURE\tEDITION\tUNIT\tPARTS\tTITLE")
		for _, p := range procedures {
			fmt.Fprintf(tab, "%s\t%s\t%s\t%s\t%s\n", p.GetId(), show.OrDash(p.GetEdition()), show.UnitSymbol(p.GetUnit()), partsWord(p), p.GetTitle())
		}
	})
}

// partsWord says where the parts of a procedure come from.
func partsWord(p *pb.Procedure) string {
	var words []string
	for _, place := range p.GetPlaces() {
		word := place.GetPartFamilyId()
		if place.GetMadeToSize() {
			word = "made to size"
		}
		if word != "" && !slices.Contains(words, word) {
			words = append(words, word)
		}
	}
	return show.OrDash(strings.Join(words, ", "))
}

func renderProcedure(w io.Writer, p *pb.Procedure, families []*pb.PartFamily) {
	fmt.Fprintln(w, show.ProcedureText(p))
	if p.GetSource() != "" {
		fmt.Fprintln(w, "  from: "+p.GetSource())
	}
	fmt.Fprintln(w)
	show.RenderCautions(w, p)
	for i, step := range p.GetMeasure() {
		fmt.Fprint(w, "\n"+show.StepText(step, i+1, len(p.GetMeasure())))
	}
	for _, place := range p.GetPlaces() {
		renderPlace(w, place)
	}
	for i, step := range p.GetVerify() {
		fmt.Fprint(w, "\nAfter fitting. "+show.StepText(step, i+1, len(p.GetVerify())))
	}
	renderRounds(w, p.GetRounds())
	for _, f := range families {
		renderFamily(w, f)
	}
}

// renderPlace says what is worked out for a place, and what is allowed there.
func renderPlace(w io.Writer, p *pb.Place) {
	name := "Gap"
	if p.GetName() != "" {
		name = "Place " + p.GetName()
	}
	fmt.Fprintf(w, "\n%s = %s\n", name, p.GetFormula())
	if p.GetAllowedPlay() != nil {
		fmt.Fprintf(w, "Allowed is %s.\n", show.PlayRangeText(p.GetClosingDimension(), p.GetAllowedPlay()))
	}
}

func renderFamily(w io.Writer, parts *pb.PartFamily) {
	fmt.Fprintf(w, "\nParts: %s, %s\n", parts.GetId(), parts.GetTitle())
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "  PART\tSTOCK")
		for _, g := range parts.GetGrades() {
			fmt.Fprintf(tab, "  %s\t%s\n", show.GradeText(g), show.StockText(g))
		}
	})
}

// renderRounds says how the next round follows from a proof that does not conform.
func renderRounds(w io.Writer, r *pb.Rounds) {
	if r == nil {
		return
	}
	fmt.Fprintf(w, "\n%s\n%s\n", show.Say("proc.rounds"), show.Say("proc.rounds.most", r.GetMost()))
	for _, f := range r.GetNext() {
		fmt.Fprintf(w, "  %s = %s\n", f.GetMeasurement(), f.GetFormula())
	}
	if len(r.GetNext()) == 0 {
		fmt.Fprintln(w, "  "+show.Say("proc.rounds.usual"))
	}
}
