package history

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"gauged/internal/cli/show"

	pb "gauged/api/gauged/v1"
)

func renderFacts(w io.Writer, facts []*pb.JobFact) {
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "SEQ\tTIME\tWHAT\tBY\tDETAILS")
		for _, f := range facts {
			what, particulars := stepText(f)
			fmt.Fprintf(tab, "%d\t%s\t%s\t%s\t%s\n", f.GetSeq(), show.TimeText(f.GetTime()), what, show.OrDash(f.GetBy()), show.OrDash(particulars))
		}
	})
}

// stepText says in a word what a step of a job was, and in a phrase what there was to it.
func stepText(f *pb.JobFact) (what, particulars string) {
	switch s := f.GetStep().(type) {
	case *pb.JobFact_Started:
		return "started", fmt.Sprintf("unit %s, %sprocedure file %.12s", s.Started.GetUnitSerial(), show.Only(len(s.Started.GetLabels()) > 0, show.LabelsText(s.Started.GetLabels())+", "), s.Started.GetProcedureHash())
	case *pb.JobFact_CautionsRead:
		return "cautions read", ""
	case *pb.JobFact_Taken:
		return "taken", fmt.Sprintf("reading %d into %s%s", s.Taken.GetReadingSeq(), s.Taken.GetMeasurement(),
			show.Only(s.Taken.GetFromSeq() > 0, fmt.Sprintf(", measured from reading %d", s.Taken.GetFromSeq())))
	case *pb.JobFact_Discarded:
		return "discarded", fmt.Sprintf("reading %d: %s", s.Discarded.GetReadingSeq(), s.Discarded.GetReason())
	case *pb.JobFact_Chosen:
		if s.Chosen.GetPart() == "" {
			return "choice withdrawn", at(s.Chosen.GetPlace()) + s.Chosen.GetReason()
		}
		return "chosen", at(s.Chosen.GetPlace()) + s.Chosen.GetPart() + show.Only(s.Chosen.GetReason() != "", ": "+s.Chosen.GetReason())
	case *pb.JobFact_Fitted:
		part := &pb.FittedPart{Part: s.Fitted.GetPart(), Thickness: s.Fitted.GetThickness(), Measured: true}
		if s.Fitted.GetThickness() == nil {
			return "fitted", at(s.Fitted.GetPlace()) + s.Fitted.GetPart() + ", not measured"
		}
		return "fitted", at(s.Fitted.GetPlace()) + show.FittedText(part)
	case *pb.JobFact_Verdict:
		return "verdict", show.VerdictText(s.Verdict.GetOutcome())
	case *pb.JobFact_VerdictSigned:
		return "signed", ""
	case *pb.JobFact_Round:
		return "round", fmt.Sprintf("%d ended: %s", s.Round.GetOver(), show.OutcomeText(s.Round.GetOutcome()))
	case *pb.JobFact_SetAside:
		return "set aside", s.SetAside.GetReason() + show.Only(s.SetAside.GetMeantFor() != "", ", for "+s.SetAside.GetMeantFor())
	case *pb.JobFact_Resumed:
		return "taken up", ""
	case *pb.JobFact_UnitSerialCorrected:
		return "serial corrected", fmt.Sprintf("%s, before %s: %s", s.UnitSerialCorrected.GetUnitSerial(), s.UnitSerialCorrected.GetBefore(), s.UnitSerialCorrected.GetReason())
	case *pb.JobFact_Labelled:
		return "labels", labelsText(s.Labelled)
	case *pb.JobFact_GaugesChanged:
		return "gauges changed", gaugesText(s.GaugesChanged)
	case *pb.JobFact_Closed:
		return "closed", strings.TrimSpace(s.Closed.GetReason())
	}
	return "unknown", "this gaugectl is too old to show it"
}

// at names a place, where there is one to name.
func at(place string) string { return show.Only(place != "", place+": ") }

// labelsText says which labels a job has since, and what those were before that changed.
func labelsText(l *pb.JobLabelled) string {
	var said []string
	before := l.GetBefore()
	for name, text := range l.GetLabels() {
		if was, had := before[name]; had && was != text {
			text += ", before " + was
		} else if had {
			continue
		}
		said = append(said, name+" "+text)
	}
	for name, was := range before {
		if _, has := l.GetLabels()[name]; !has {
			said = append(said, "no "+name+", before "+was)
		}
	}
	slices.Sort(said)
	return strings.Join(said, "; ") + show.Only(l.GetReason() != "", ": "+l.GetReason())
}

// gaugesText says which gauge a measurement has since, and which it had.
func gaugesText(g *pb.GaugesChanged) string {
	var said []string
	for measurement, id := range g.GetGaugeIds() {
		said = append(said, fmt.Sprintf("%s %s, before %s", measurement, cmp.Or(id, "typed in"), cmp.Or(g.GetGaugeIdsBefore()[measurement], "typed in")))
	}
	slices.Sort(said)
	return strings.Join(said, "; ") + ": " + g.GetReason()
}
