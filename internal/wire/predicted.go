package wire

import (
	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"

	gaugedv1 "gauged/api/gauged/v1"
)

// PredictedFits returns what parts would leave, each value in the unit in which the
// procedure shows it.
func PredictedFits(p *procedure.Procedure, fits []evaluate.Foretold) (all []*gaugedv1.PredictedFit) {
	w := writerOf(p)
	for _, f := range fits {
		all = append(all, &gaugedv1.PredictedFit{
			Part: w.fitted(&f.Fitted), Recommended: f.Recommended, ClosingDimension: Contract(closings, f.Word), Play: w.optional(f.Play), Between: w.between(f.Between),
			Worst: w.between(f.Worst), AllowedPlay: w.limits(f.Allowed), Window: w.between(f.Window), Probability: probability(f.Probability),
			DecisionRule: Message(f.DecisionRule), Unstated: f.Unstated, Fits: f.Fits, Unexpected: f.Unexpected, Warnings: findings(f.Warnings), Message: Message(f.Says),
		})
	}
	return all
}
