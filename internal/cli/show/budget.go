package show

import (
	"fmt"
	"io"
	"strings"

	pb "gauged/api/gauged/v1"
	"gauged/internal/evaluate/doubt"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/wire"
)

// RenderBudgets writes the uncertainty of each result as a table.
func RenderBudgets(w io.Writer, e *pb.Evaluation) {
	if len(e.GetBudgets()) == 0 {
		fmt.Fprintln(w, "\nUncertainty\n  Nothing is stated about the gauges. Give their resolution, error or calibration under\n  instruments in the procedure, or in the station's configuration.")
		return
	}
	for _, b := range e.GetBudgets() {
		fmt.Fprintf(w, "\n%s (JCGM 100)\n", Say("sheet.budget", foretoldText(e, b.GetResult())))
		Columns(w, func(tab io.Writer) {
			fmt.Fprintln(tab, "  SOURCE\tDISTRIBUTION\tSTANDARD UNCERTAINTY\tDEGREES OF FREEDOM\tSHARE")
			for _, c := range b.GetContributions() {
				fmt.Fprintf(tab, "  %s\t%s\t%s\t%s\t%.1f %%\n", english().Tell(doubt.Source(c.GetSource())), Named("distribution", string(wire.FromDistribution(c.GetDistribution()))), LengthText(c.GetStandardUncertainty()), freedomText(c.GetDegreesOfFreedom()), 100*c.GetShare())
			}
			fmt.Fprintf(tab, "  %s\t\t%s\t%s\t\n", Say("sheet.combined"), LengthText(b.GetStandardUncertainty()), freedomText(b.GetDegreesOfFreedom()))
			fmt.Fprintf(tab, "  %s\tk = %.2f\t%s\t\t\n", Say("sheet.expanded", levelText(b)), b.GetK(), LengthText(b.GetExpandedUncertainty()))
		})
		if around := b.GetAround(); around != nil {
			fmt.Fprintln(w, "  "+Say("sheet.around", aroundText(e, b.GetResult(), around)))
		}
		if names := b.GetUnstated(); len(names) > 0 {
			fmt.Fprintln(w, "  "+Say("sheet.budget.unstated", strings.Join(names, ", ")))
		}
		if s := b.GetSimulation(); s != nil {
			fmt.Fprintf(w, "  %s%s\n", Say("sheet.simulated", s.GetDraws(), LengthText(s.GetStandardUncertainty()), SignedText(s.GetLow()), SignedText(s.GetHigh())),
				Only(s.GetDecides(), " "+Say("sheet.simulated.counts")))
		}
	}
}

// levelText writes a level of confidence.
func levelText(b *pb.Budget) string { return fmt.Sprintf("%.4g %%", 100*b.GetCoverage()) }

// freedomText writes degrees of freedom; 0 stands for so many that they do not matter.
func freedomText(n float64) string {
	if n == 0 {
		return Say("sheet.infinite")
	}
	return fmt.Sprint(n)
}

// foretoldText names a result as its place calls it: what is foretold of a part is a preload
// where a preload is wanted.
func foretoldText(e *pb.Evaluation, name string) string {
	return english().Tell(doubt.Foretold(name, wordOf(e, name)))
}

// aroundText is what the uncertainty of a result is around.
func aroundText(e *pb.Evaluation, name string, around *pb.Quantity) string {
	if wordOf(e, name) == procedure.WordPreload && strings.Contains(name, doubt.PlayWith) {
		return PlayText(pb.ClosingDimension_CLOSING_DIMENSION_PRELOAD, around)
	}
	return SignedText(around)
}

// wordOf is how the closing dimension of the place is called that a result belongs to.
func wordOf(e *pb.Evaluation, name string) procedure.Word {
	for _, f := range e.GetFits() {
		if f.GetClosingDimension() == pb.ClosingDimension_CLOSING_DIMENSION_PRELOAD && (f.GetPlace() == "" || strings.HasPrefix(name, f.GetPlace()+": ")) {
			return procedure.WordPreload
		}
	}
	return procedure.WordPlay
}
