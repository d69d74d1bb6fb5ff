package main

import (
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
		return fmt.Sprintf("Fit %s.%s", gradeText(e.GetChoice().GetGrade()), gives(e.GetChoice()))
	case pb.Outcome_OUTCOME_NOTHING_FITS:
		return "Nothing fits: no part that can be had gives the allowed play."
	case pb.Outcome_OUTCOME_VERIFY:
		return fmt.Sprintf("Measure the result: %s is fitted.", fittedText(e.GetFitted()))
	case pb.Outcome_OUTCOME_CONFORMS:
		return fmt.Sprintf("Conforms: %s measured.", playText(e.GetVerification().GetMeasured()))
	case pb.Outcome_OUTCOME_DOES_NOT_CONFORM:
		return fmt.Sprintf("Does not conform: %s measured.", playText(e.GetVerification().GetMeasured()))
	default:
		return "Not evaluated."
	}
}

// reasons are the sentences that stand behind the answer.
func reasons(e *pb.Evaluation) []string {
	var lines []string
	switch e.GetOutcome() {
	case pb.Outcome_OUTCOME_MEASURING:
		return missing(e.GetMeasurements())
	case pb.Outcome_OUTCOME_MEASURE_AGAIN:
		return nil // the findings say why
	case pb.Outcome_OUTCOME_NOTHING_FITS:
		lines = nearestLines(e)
	case pb.Outcome_OUTCOME_CONFORMS, pb.Outcome_OUTCOME_DOES_NOT_CONFORM:
		return verificationLines(e)
	case pb.Outcome_OUTCOME_VERIFY:
		lines = missing(e.GetMeasurements())
	}
	if e.GetWhy() != "" {
		lines = append(lines, e.GetWhy())
	}
	if e.GetAllowedPlay() != nil {
		lines = append(lines, "Allowed is "+playRangeText(e.GetAllowedPlay())+".")
	}
	return lines
}

// missing says which measurements want readings.
func missing(measurements []*pb.Measurement) []string {
	var lines []string
	for _, m := range measurements {
		if !m.GetComplete() {
			lines = append(lines, fmt.Sprintf("%s has %s.", m.GetName(), countText(m)))
		}
	}
	return lines
}

func verificationLines(e *pb.Evaluation) []string {
	v := e.GetVerification()
	lines := []string{"Allowed is " + playRangeText(e.GetAllowedPlay()) + "."}
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
		playText(v.GetPredicted()), signedText(v.GetDifference()), agreement))
}

// renderDetail writes the readings, the sums, the window and the grades.
func renderDetail(w io.Writer, e *pb.Evaluation) {
	renderMeasurements(w, e.GetMeasurements())
	renderSums(w, e.GetSums())
	renderWindow(w, e)
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
		if s.GetWorked() != "" && s.GetWorked() != s.GetExpression() {
			fmt.Fprintf(w, "  %s = %s\n", blank, s.GetWorked())
		}
		fmt.Fprintf(w, "  %s = %s\n", blank, lengthText(s.GetValue()))
	}
}

func renderWindow(w io.Writer, e *pb.Evaluation) {
	if e.GetGap() == nil && e.GetWindow() == nil {
		return
	}
	fmt.Fprintln(w, "\nWindow")
	columns(w, func(tab io.Writer) {
		if e.GetGap() != nil {
			fmt.Fprintf(tab, "  gap without the part\t%s\n", lengthText(e.GetGap()))
		}
		if e.GetAllowedPlay() != nil {
			fmt.Fprintf(tab, "  allowed\t%s\n", playRangeText(e.GetAllowedPlay()))
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
