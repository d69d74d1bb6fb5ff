package main

import (
	"cmp"
	"fmt"
	"io"
	"strings"

	pb "gauged/api/gauged/v1"
)

// renderEvaluation writes an evaluation as a technician reads it: first the
// answer, then the reason, then the detail.
func renderEvaluation(w io.Writer, e *pb.Evaluation) {
	renderAnswer(w, e)
	renderDetail(w, e)
}

// renderAnswer writes what to do or what the verdict is, and why.
func renderAnswer(w io.Writer, e *pb.Evaluation) {
	fmt.Fprintln(w, answerText(e))
	for _, line := range reasons(e) {
		fmt.Fprintln(w, "  "+line)
	}
	for _, f := range e.GetFindings() {
		fmt.Fprintln(w, "  ! "+f.GetText())
	}
}

// answerText is the answer in one sentence.
func answerText(e *pb.Evaluation) string {
	switch e.GetOutcome() {
	case pb.Outcome_OUTCOME_MEASURING:
		return "Measuring: not decided yet."
	case pb.Outcome_OUTCOME_MEASURE_AGAIN:
		return "Measure again: these readings cannot be used."
	case pb.Outcome_OUTCOME_FIT_PART:
		return fitText(e)
	case pb.Outcome_OUTCOME_NOTHING_FITS:
		return "Nothing fits: no part that can be had gives the allowed play."
	case pb.Outcome_OUTCOME_VERIFY:
		return fmt.Sprintf("Measure the result. Fitted is %s.", fittedText(e.GetFitted()))
	case pb.Outcome_OUTCOME_CONFORMS:
		return fmt.Sprintf("Conforms: %s measured.", resultText(e))
	case pb.Outcome_OUTCOME_DOES_NOT_CONFORM:
		return fmt.Sprintf("Does not conform: %s measured.", resultText(e))
	default:
		return "Not evaluated."
	}
}

// fitText names the recommended part, or the size to make it to.
func fitText(e *pb.Evaluation) string {
	c, pack := e.GetChoice(), e.GetPack()
	switch {
	case pack != nil:
		return fmt.Sprintf("Fit a pack of %s: %s, together %s thick. It gives %s.",
			plural(len(pack.GetPieces()), "piece"), pack.GetName(), lengthText(pack.GetThickness()), playText(e.GetWord(), pack.GetPlay()))
	case c == nil:
		return fmt.Sprintf("Fit a part made %s thick.", lengthText(e.GetAim()))
	case c.GetPlay() == nil:
		return fmt.Sprintf("Fit %s.", gradeText(c.GetGrade()))
	default:
		return fmt.Sprintf("Fit %s. It gives %s.", gradeText(c.GetGrade()), playText(e.GetWord(), c.GetPlay()))
	}
}

// resultText is the result that was judged: the play after fitting, or the gap
// itself where nothing is fitted.
func resultText(e *pb.Evaluation) string {
	if v := e.GetVerification(); v != nil {
		return playText(e.GetWord(), v.GetMeasured())
	}
	return lengthText(e.GetGap())
}

// reasons are the sentences that stand behind the answer.
func reasons(e *pb.Evaluation) []string {
	var lines []string
	switch e.GetOutcome() {
	case pb.Outcome_OUTCOME_MEASURING:
		return missing(e.GetMeasurements(), false)
	case pb.Outcome_OUTCOME_MEASURE_AGAIN:
		return nil // the findings say why
	case pb.Outcome_OUTCOME_CONFORMS, pb.Outcome_OUTCOME_DOES_NOT_CONFORM:
		return verificationLines(e)
	case pb.Outcome_OUTCOME_VERIFY:
		lines = missing(e.GetMeasurements(), true)
	}
	if e.GetWhy() != "" && e.GetOutcome() == pb.Outcome_OUTCOME_FIT_PART {
		lines = append(lines, "Why: "+e.GetWhy()+".")
	}
	if e.GetAllowedPlay() != nil {
		lines = append(lines, "Allowed is "+playRangeText(e.GetWord(), e.GetAllowedPlay())+".")
	}
	return lines
}

// missing says which measurements want readings, of those before or after fitting.
func missing(measurements []*pb.Measurement, afterFitting bool) []string {
	var lines []string
	for _, m := range measurements {
		if !m.GetComplete() && m.GetAfterFitting() == afterFitting {
			lines = append(lines, fmt.Sprintf("%s has %s.", m.GetName(), countText(m)))
		}
	}
	return lines
}

// verificationLines set the result beside the limits and the prediction.
func verificationLines(e *pb.Evaluation) []string {
	v := e.GetVerification()
	lines := []string{"Allowed is " + playRangeText(e.GetWord(), e.GetAllowedPlay()) + "."}
	if e.GetFitted() != nil {
		lines = append(lines, "Fitted is "+fittedText(e.GetFitted())+".")
	}
	if v.GetPredicted() == nil {
		return lines
	}
	agreement := ""
	if v.Agrees != nil {
		agreement = ", more than the procedure allows"
		if v.GetAgrees() {
			agreement = ", within what the procedure allows"
		}
	}
	return append(lines, fmt.Sprintf("Predicted was %s; the difference is %s%s.",
		playText(e.GetWord(), v.GetPredicted()), signedText(v.GetDifference()), agreement))
}

// renderDetail writes the readings, the sums, the window and the grades.
func renderDetail(w io.Writer, e *pb.Evaluation) {
	renderMeasurements(w, e.GetMeasurements())
	renderSums(w, e.GetSums())
	renderWindow(w, e)
	renderPack(w, e.GetPack())
	renderGrades(w, e)
	renderBasis(w, e)
}

func renderSums(w io.Writer, sums []*pb.Sum) {
	if len(sums) == 0 {
		return
	}
	fmt.Fprintln(w, "\nSums")
	for _, s := range sums {
		fmt.Fprintf(w, "  %s = %s\n", s.GetName(), s.GetExpression())
		blank := strings.Repeat(" ", len(s.GetName()))
		fmt.Fprintf(w, "  %s = %s  (%s)\n", blank, s.GetWorked(), unitSymbol(s.GetValue().GetUnit()))
		fmt.Fprintf(w, "  %s = %s\n", blank, lengthText(s.GetValue()))
	}
}

// gapWord is how the closing dimension of the sums is called.
func gapWord(e *pb.Evaluation) string {
	if e.GetWord() == "result" && e.GetWindow() == nil {
		return "result"
	}
	return "gap without the part"
}

// recommendedName is the part number of the recommended grade, or the name of
// the recommended pack.
func recommendedName(e *pb.Evaluation) string {
	return cmp.Or(e.GetChoice().GetGrade().GetPart(), e.GetPack().GetName())
}

// renderPack lists the pieces of a pack as they lie on each other.
func renderPack(w io.Writer, pack *pb.Pack) {
	if pack == nil {
		return
	}
	fmt.Fprintln(w, "\nPack, as it is stacked; measure the whole pack before it is fitted")
	for i, g := range pack.GetPieces() {
		fmt.Fprintf(w, "  %d. %s\n", i+1, gradeText(g))
	}
	fmt.Fprintf(w, "     together %s thick\n", lengthText(pack.GetThickness()))
}

func renderWindow(w io.Writer, e *pb.Evaluation) {
	if e.GetGap() == nil && e.GetWindow() == nil {
		return
	}
	fmt.Fprintln(w, "\nWindow")
	columns(w, func(tab io.Writer) {
		if e.GetGap() != nil {
			fmt.Fprintf(tab, "  %s\t%s\n", gapWord(e), lengthText(e.GetGap()))
		}
		if e.GetAllowedPlay() != nil {
			fmt.Fprintf(tab, "  allowed\t%s\n", playRangeText(e.GetWord(), e.GetAllowedPlay()))
		}
		if e.GetWindow() != nil {
			fmt.Fprintf(tab, "  part may be\t%s thick\n", rangeText(e.GetWindow()))
		}
		if e.GetAim() != nil {
			fmt.Fprintf(tab, "  aim\t%s thick\n", lengthText(e.GetAim()))
		}
	})
}

// renderBasis says by which rule and from which file versions it was computed.
func renderBasis(w io.Writer, e *pb.Evaluation) {
	if e.GetDecisionRule() == "" && e.GetProcedureHash() == "" {
		return
	}
	fmt.Fprintln(w, "\nBasis")
	if e.GetDecisionRule() != "" {
		fmt.Fprintf(w, "  %s\n", e.GetDecisionRule())
	}
	if e.GetProcedureHash() != "" {
		fmt.Fprintf(w, "  procedure %s, file %s\n", e.GetProcedureId(), shortHash(e.GetProcedureHash()))
	}
	if e.GetPartsHash() != "" {
		fmt.Fprintf(w, "  parts, file %s\n", shortHash(e.GetPartsHash()))
	}
}
