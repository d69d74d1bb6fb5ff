package master

import (
	"fmt"
	"io"
	"strings"

	"gauged/internal/cli/show"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// renderAdvice writes how much a gauge was used since its last check, which checks its
// jobs want, and how long until the next one.
func renderAdvice(w io.Writer, g *pb.GaugeHealth) {
	fmt.Fprintf(w, "\nSince its last check: %s, %s.\n", show.Counted(g.GetJobsSinceCheck(), "job"), show.Counted(g.GetReadingsSinceCheck(), "reading"))
	for _, text := range jobChecks(g.GetPlan()) {
		fmt.Fprintln(w, text)
	}
	if len(g.GetAdvice()) > 0 {
		fmt.Fprintln(w, "\nNext interval, by ILAC-G24 / OIML D 10 (a use is a job or a check; docs/drift.md):")
		show.Columns(w, func(tab io.Writer) {
			fmt.Fprintln(tab, "METHOD\tADVICE\tNEXT\tWHY")
			for _, a := range g.GetAdvice() {
				unit, method, change := wire.AdviceWords(a)
				next := "-"
				if a.GetNext() > 0 {
					next = fmt.Sprintf("%.4g %s", a.GetNext(), unit)
				}
				fmt.Fprintf(tab, "%s\t%s\t%s\t%s\n", method, change, next, strings.Join(show.ToldAll(a.GetReasons()), "; "))
			}
		})
	}
	for _, why := range g.GetAdviceRefused() {
		fmt.Fprintf(w, "No advice %s.\n", strings.TrimSuffix(show.Told(why), "."))
	}
}

// jobChecks says which checks of the plan go with jobs.
func jobChecks(p *pb.CheckPlan) (texts []string) {
	act := "gets a warning"
	if p.GetBlocks() {
		act = "does not take the gauge"
	}
	if p.GetBeforeEachJob() {
		texts = append(texts, fmt.Sprintf("Check it before each job. A job without such a check %s.", act))
	}
	if within := p.GetBeforeJobWithin(); within != nil {
		texts = append(texts, fmt.Sprintf("When a job starts, the last check must not be older than %s. Otherwise the job %s.", within.AsDuration(), act))
	}
	if p.GetAfterEachJob() {
		texts = append(texts, "Check it after each job.")
	}
	if p.GetZeroReturnWithin() != nil {
		texts = append(texts, fmt.Sprintf("After a job, a reading within %s of zero counts as its zero return.", show.LengthText(p.GetZeroReturnWithin())))
	}
	return texts
}
