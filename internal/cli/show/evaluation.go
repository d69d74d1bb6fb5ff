package show

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	pb "gauged/api/gauged/v1"
	"gauged/internal/evaluate"
	"gauged/internal/evaluate/doubt"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/wire"
)

// RenderEvaluation writes an evaluation as a technician reads it: first the
// answer, then the reason, then the detail.
func RenderEvaluation(w io.Writer, e *pb.Evaluation) {
	RenderAnswer(w, e)
	RenderDetail(w, e)
}

// RenderAnswer writes what to do or what the verdict is, and why.
func RenderAnswer(w io.Writer, e *pb.Evaluation) {
	fmt.Fprintln(w, answerText(e))
	for _, line := range reasons(e) {
		fmt.Fprintln(w, "  "+line)
	}
	for _, f := range e.GetFindings() {
		if !evaluate.NoLongerAsked(evaluate.Finding{Code: evaluate.FindingCode(f.GetCode()), Says: wire.FromMessage(f.GetMessage())}, fittedAt(e)) {
			fmt.Fprintln(w, "  ! "+Told(f.GetMessage()))
		}
	}
}

// fittedAt reports whether a place has its part.
func fittedAt(e *pb.Evaluation) func(place string) bool {
	return func(place string) bool {
		return slices.ContainsFunc(e.GetFits(), func(f *pb.Fit) bool { return f.GetPlace() == place && f.GetFitted() != nil })
	}
}

// answerText is the answer in one sentence.
func answerText(e *pb.Evaluation) string {
	switch e.GetOutcome() {
	case pb.Outcome_OUTCOME_MEASURING:
		return OutcomeText(e.GetOutcome()) + ": more readings are needed."
	case pb.Outcome_OUTCOME_MEASURE_AGAIN:
		return OutcomeText(e.GetOutcome()) + ": these readings cannot be used."
	case pb.Outcome_OUTCOME_FIT_PART:
		return fitText(e)
	case pb.Outcome_OUTCOME_NOTHING_FITS:
		return Say("job.nothing") + "."
	case pb.Outcome_OUTCOME_TOO_MANY:
		return OutcomeText(e.GetOutcome()) + " of parts: they cannot all be tried."
	case pb.Outcome_OUTCOME_VERIFY:
		return verifyText(e)
	case pb.Outcome_OUTCOME_CONFORMS, pb.Outcome_OUTCOME_DOES_NOT_CONFORM:
		if result := resultText(e); result != "" {
			return OutcomeText(e.GetOutcome()) + ": " + result
		}
		return OutcomeText(e.GetOutcome()) + "."
	case pb.Outcome_OUTCOME_UNDECIDED:
		return OutcomeText(e.GetOutcome()) + ": " + cmp.Or(resultText(e), "the measured values allow more than one answer.")
	case pb.Outcome_OUTCOME_WRONG_PART:
		return OutcomeText(e.GetOutcome()) + ": another part is needed. Measuring again does not help."
	case pb.Outcome_OUTCOME_CALCULATED:
		return OutcomeText(e.GetOutcome()) + ": " + calculatedText(e) + "."
	default:
		return "Not evaluated."
	}
}

// onlyFit is what follows for the only place; nil where there are several or none.
func onlyFit(e *pb.Evaluation) *pb.Fit {
	if fits := e.GetFits(); len(fits) == 1 {
		return fits[0]
	}
	return nil
}

// proofWord is how what the proof measured is called.
func proofWord(e *pb.Evaluation) pb.ClosingDimension {
	return cmp.Or(onlyFit(e).GetClosingDimension(), wordResult)
}

// calculatedText lists the last results of an evaluation that judges nothing.
func calculatedText(e *pb.Evaluation) string {
	var results []string
	for _, s := range e.GetSums() {
		results = append(results, ResultText(s.GetName())+" = "+BetweenText(s.GetValue(), s.GetBetween()))
	}
	return strings.Join(results, ", ")
}

// verifyText names the part that is fitted at each place, and says what is left to do.
func verifyText(e *pb.Evaluation) string {
	var in []string
	for _, f := range e.GetFits() {
		if f.GetFitted() != nil {
			in = append(in, Only(f.GetPlace() != "", f.GetPlace()+": ")+FittedText(f.GetFitted()))
		}
	}
	fitted := "Fitted: " + strings.Join(in, "; ") + "."
	if !slices.ContainsFunc(e.GetMeasurements(), (*pb.Measurement).GetAfterFitting) {
		return fitted + " Nothing is measured after fitting."
	}
	return Say("outcome.verify") + ". " + fitted
}

// fitText names the recommended part of each place, or the size to make it to.
func fitText(e *pb.Evaluation) string {
	fits := e.GetFits()
	lines := make([]string, len(fits))
	for i, f := range fits {
		lines[i] = Only(f.GetPlace() != "", f.GetPlace()+": ") + fitOneText(f)
		if f.GetFitted() != nil {
			lines[i] = f.GetPlace() + ": Fitted: " + FittedText(f.GetFitted()) + "."
		}
	}
	return strings.Join(lines, "\n")
}

func fitOneText(f *pb.Fit) string {
	c, pack := f.GetChoice(), f.GetPack()
	switch {
	case pack != nil:
		return fmt.Sprintf("Fit a pack of %s: %s, total thickness %s.%s",
			Plural(len(pack.GetPieces()), "piece"), pack.GetName(), LengthText(pack.GetThickness()), GivesText(f.GetClosingDimension(), pack.GetPlay(), nil))
	case c.GetGrade().GetPart() == procedure.NoPart:
		return "Fit no part." + GivesText(f.GetClosingDimension(), c.GetPlay(), c.GetBetween())
	case f.GetKept():
		return Capital(Say("job.asitis")) + "."
	case c != nil:
		return fmt.Sprintf("Fit %s.%s", GradeText(c.GetGrade()), GivesText(f.GetClosingDimension(), c.GetPlay(), c.GetBetween()))
	case f.GetAim() != nil:
		return fmt.Sprintf("Fit a part made %s thick.", LengthText(f.GetAim()))
	case f.GetWaits() != "":
		return Say("job.waits", f.GetWaits())
	default:
		return "No part."
	}
}

// GivesText says what play a part gives, where that is known.
func GivesText(word pb.ClosingDimension, play *pb.Quantity, between *pb.Range) string {
	if play == nil {
		return ""
	}
	return " It gives " + playBetweenText(word, play, between) + "."
}

// resultText is the result that was judged: the play after fitting, the gap
// itself where nothing is fitted, else the results with limits of their own.
func resultText(e *pb.Evaluation) string {
	only := onlyFit(e)
	switch v := e.GetVerification(); {
	case v != nil:
		return playBetweenText(proofWord(e), v.GetMeasured(), v.GetBetween()) + " measured."
	case only.GetGap() != nil && only.GetWindow() == nil:
		return BetweenText(only.GetGap(), only.GetGapBetween()) + " measured."
	}
	var results []string
	missed := e.GetOutcome() == pb.Outcome_OUTCOME_DOES_NOT_CONFORM || e.GetOutcome() == pb.Outcome_OUTCOME_UNDECIDED
	for _, j := range e.GetJudgements() {
		if missed && j.GetOutcome() != e.GetOutcome() {
			continue // what conforms is no reason
		}
		results = append(results, ResultText(j.GetName())+" "+judgedText(j))
	}
	if len(results) == 0 {
		return Sentence(only.GetWhy())
	}
	return strings.Join(results, ", ") + "."
}

// judgedText is a judged value, or the mark that was read.
func judgedText(j *pb.Judgement) string {
	if j.GetValue() == nil {
		return j.GetMark()
	}
	return BetweenText(j.GetValue(), j.GetBetween())
}

// reasons are the sentences that stand behind the answer.
func reasons(e *pb.Evaluation) []string {
	var lines []string
	switch e.GetOutcome() {
	case pb.Outcome_OUTCOME_MEASURING:
		return missing(e.GetMeasurements(), false)
	case pb.Outcome_OUTCOME_MEASURE_AGAIN, pb.Outcome_OUTCOME_WRONG_PART:
		return nil // the findings say why
	case pb.Outcome_OUTCOME_CONFORMS, pb.Outcome_OUTCOME_DOES_NOT_CONFORM, pb.Outcome_OUTCOME_UNDECIDED, pb.Outcome_OUTCOME_CALCULATED:
		return verificationLines(e)
	case pb.Outcome_OUTCOME_VERIFY:
		lines = missing(e.GetMeasurements(), true)
	}
	if why := e.GetTogether().GetWhy(); why != nil {
		lines = append(lines, "Places: "+Sentence(why))
	}
	for _, f := range e.GetFits() {
		place := Only(f.GetPlace() != "", f.GetPlace()+": ")
		if f.GetWhy() != nil && f.GetFitted() == nil && e.GetOutcome() == pb.Outcome_OUTCOME_FIT_PART {
			lines = append(lines, place+"Why: "+Sentence(f.GetWhy()))
		}
		if p := f.GetPredicted(); p != nil {
			inside := Only(p.Probability != nil, ", "+Say("job.inside")+" "+ProbabilityText(p.Probability))
			lines = append(lines, place+"Predicted: "+playBetweenText(f.GetClosingDimension(), p.GetPlay(), p.GetBetween())+inside+".")
		}
		if f.GetAllowedPlay() != nil {
			lines = append(lines, place+"Allowed: "+PlayRangeText(f.GetClosingDimension(), f.GetAllowedPlay())+".")
		}
	}
	return lines
}

// missing says which measurements want readings, of those before or after fitting.
func missing(measurements []*pb.Measurement, afterFitting bool) []string {
	var lines []string
	for _, m := range measurements {
		if !m.GetComplete() && m.GetAfterFitting() == afterFitting {
			lines = append(lines, fmt.Sprintf("%s: %s.", m.GetName(), CountText(m)))
		}
	}
	return lines
}

// verificationLines set the result beside the limits and the prediction.
func verificationLines(e *pb.Evaluation) []string {
	v := e.GetVerification()
	var lines []string
	if allowed := onlyFit(e).GetAllowedPlay(); allowed != nil {
		lines = append(lines, "Allowed: "+PlayRangeText(proofWord(e), allowed)+".")
	}
	for _, f := range e.GetFits() {
		if f.GetFitted() != nil {
			lines = append(lines, Only(f.GetPlace() != "", f.GetPlace()+": ")+"Fitted: "+FittedText(f.GetFitted())+".")
		}
	}
	if v.GetPredicted() == nil {
		return lines
	}
	agreement := ""
	if v.Agrees != nil {
		by := "the procedure allows"
		if v.GetByUncertainty() {
			by = "the uncertainties explain"
		}
		agreement = ", more than " + by
		if v.GetAgrees() {
			agreement = ", within what " + by
		}
	}
	return append(lines, fmt.Sprintf("Predicted: %s. Difference: %s%s.",
		PlayText(proofWord(e), v.GetPredicted()), SignedText(v.GetDifference()), agreement))
}

// RenderDetail writes the readings, the sums, the window and the grades.
func RenderDetail(w io.Writer, e *pb.Evaluation) {
	renderMeasurements(w, e.GetMeasurements())
	renderSums(w, e.GetSums())
	renderJudgements(w, e.GetJudgements())
	for _, f := range e.GetFits() {
		if f.GetPlace() != "" {
			fmt.Fprintf(w, "\nPlace %s%s\n", f.GetPlace(), Only(f.GetTitle() != "", ": "+f.GetTitle()))
		}
		renderWindow(w, f)
		renderPack(w, f.GetClosingDimension(), f.GetPack(), f.GetUnstated())
		renderGrades(w, f)
	}
	renderBasis(w, e)
}

func renderSums(w io.Writer, sums []*pb.Sum) {
	if len(sums) == 0 {
		return
	}
	fmt.Fprintln(w, "\n"+Say("sheet.sums"))
	for _, s := range sums {
		name := ResultText(s.GetName())
		fmt.Fprintf(w, "  %s = %s\n", name, english().Tell(doubt.Expressed(s.GetExpression())))
		blank := strings.Repeat(" ", utf8.RuneCountInString(name))
		unit := Only(s.GetValue().GetUnit() != pb.Unit_UNIT_ONE, "  ("+UnitSymbol(s.GetValue().GetUnit())+")")
		fmt.Fprintf(w, "  %s = %s%s\n", blank, s.GetWorked(), unit)
		fmt.Fprintf(w, "  %s = %s\n", blank, BetweenText(s.GetValue(), s.GetBetween()))
	}
}

// gapWord is how the closing dimension of the sums is called.
func gapWord(e *pb.Fit) string {
	if e.GetClosingDimension() == wordResult && e.GetWindow() == nil {
		return "result"
	}
	return "gap without the part"
}

// RecommendedName is the part number of the grade that is recommended for the only
// place, or the name of the pack; empty where there are several places.
func RecommendedName(e *pb.Evaluation) string {
	only := onlyFit(e)
	return cmp.Or(only.GetChoice().GetGrade().GetPart(), only.GetPack().GetName())
}

// renderPack lists the pieces of a pack as they lie on each other.
func renderPack(w io.Writer, word pb.ClosingDimension, pack *pb.Pack, unstated []string) {
	if pack == nil {
		return
	}
	fmt.Fprintln(w, "\nPack, in the order of stacking. Measure the whole pack before you fit it.")
	for i, g := range pack.GetPieces() {
		fmt.Fprintf(w, "  %d. %s\n", i+1, GradeText(g))
	}
	fmt.Fprintf(w, "     total thickness %s\n", LengthText(pack.GetThickness()))
	if pack.GetWorst() != nil {
		fmt.Fprintf(w, "     %s\n", Say("sheet.worst", worstText(word, pack.GetWorst())))
	}
	if pack.Probability != nil {
		fmt.Fprintf(w, "     %s: %s\n", Say("job.inside"), ProbabilityText(pack.Probability))
		renderUnstated(w, unstated)
	}
}

func renderWindow(w io.Writer, e *pb.Fit) {
	if e.GetGap() == nil && e.GetWindow() == nil && e.GetAim() == nil {
		return
	}
	fmt.Fprintln(w, "\nWindow")
	Columns(w, func(tab io.Writer) {
		if e.GetGap() != nil {
			fmt.Fprintf(tab, "  %s\t%s\n", gapWord(e), BetweenText(e.GetGap(), e.GetGapBetween()))
		}
		if e.GetGapWorst() != nil {
			fmt.Fprintf(tab, "  worst case\t%s\n", RangeText(e.GetGapWorst()))
		}
		if e.GetAllowedPlay() != nil {
			fmt.Fprintf(tab, "  allowed\t%s\n", PlayRangeText(e.GetClosingDimension(), e.GetAllowedPlay()))
		}
		if e.GetWindow() != nil {
			fmt.Fprintf(tab, "  part may be\t%s thick\n", RangeText(e.GetWindow()))
		}
		if e.GetAim() != nil {
			fmt.Fprintf(tab, "  target\t%s thick\n", LengthText(e.GetAim()))
		}
		if e.GetDecisionRule() != nil {
			fmt.Fprintf(tab, "  rule\t%s\n", Told(e.GetDecisionRule()))
		}
	})
}

// renderJudgements sets results beside their limits. The closing dimension alone
// is not repeated.
func renderJudgements(w io.Writer, judgements []*pb.Judgement) {
	if len(judgements) == 0 || len(judgements) == 1 && judgements[0].Probability == nil && judgements[0].GetTitle() == "" && isWord(judgements[0].GetName()) {
		return
	}
	fmt.Fprintln(w, "\n"+Say("sheet.judged"))
	worst := slices.ContainsFunc(judgements, func(j *pb.Judgement) bool { return j.GetWorst() != nil })
	var unstated []string
	Columns(w, func(tab io.Writer) {
		fmt.Fprintf(tab, "  RESULT\tVALUE\t%sALLOWED\tINSIDE\tVERDICT\tRULE\n", Only(worst, "WORST CASE\t"))
		for _, j := range judgements {
			name := ResultText(j.GetName())
			if j.GetTitle() != "" {
				name += ", " + j.GetTitle()
			}
			for _, m := range j.GetUnstated() {
				if !slices.Contains(unstated, m) {
					unstated = append(unstated, m)
				}
			}
			fmt.Fprintf(tab, "  %s\t%s\t%s%s\t%s\t%s\t%s\n", name, judgedText(j), Only(worst, RangeText(j.GetWorst())+"\t"), cmp.Or(j.GetWanted(), RangeText(j.GetAllowed())), ProbabilityText(j.Probability), OutcomeText(j.GetOutcome()), OrDash(Told(j.GetDecisionRule())))
		}
	})
	renderUnstated(w, unstated)
}

// isWord reports whether a result is called by the word of a closing dimension.
func isWord(name string) bool { return slices.Contains([]string{"play", "preload", "result"}, name) }

// renderBasis says by which rule and from which file versions it was computed.
func renderBasis(w io.Writer, e *pb.Evaluation) {
	if e.GetDecisionRule() == nil && e.GetProcedureHash() == "" {
		return
	}
	fmt.Fprintln(w, "\nBasis")
	if e.GetDecisionRule() != nil {
		fmt.Fprintf(w, "  %s\n", Told(e.GetDecisionRule()))
	}
	if e.GetProcedureHash() != "" {
		fmt.Fprintf(w, "  procedure %s, file %s\n", e.GetProcedureId(), shortHash(e.GetProcedureHash()))
	}
	for _, hash := range e.GetPartFamilyHashes() {
		fmt.Fprintf(w, "  parts, file %s\n", shortHash(hash))
	}
}
