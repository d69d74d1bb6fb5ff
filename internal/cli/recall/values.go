package recall

import (
	"cmp"
	"strconv"
	"strings"

	"gauged/internal/cli/show"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// recallValues are what a line of a recall has of a closing dimension or of a judged
// result.
type recallValues struct {
	was, is                   pb.Outcome
	before, correction, after *pb.Quantity
	allowed                   *pb.Range
	probability               *float64
	word                      pb.ClosingDimension
}

func valuesOfItem(i *pb.RecallItem) recallValues {
	return recallValues{i.GetOutcomeBefore(), i.GetOutcomeAfter(), i.GetMeasured(), i.GetCorrection(), i.GetCorrected(), i.GetAllowed(), i.Probability, i.GetClosingDimension()}
}

func valuesOfResult(r *pb.RecallResult) recallValues {
	return recallValues{r.GetOutcomeBefore(), r.GetOutcomeAfter(), r.GetMeasured(), r.GetCorrection(), r.GetCorrected(), r.GetAllowed(), r.Probability, r.GetClosingDimension()}
}

// unit is that of the values.
func (v recallValues) unit() pb.Unit {
	for _, l := range []*pb.Quantity{v.before, v.after, v.allowed.GetMax(), v.allowed.GetMin()} {
		if l != nil {
			return l.GetUnit()
		}
	}
	return pb.Unit_UNIT_UNSPECIFIED
}

// recallRow is a line as it is shown.
type recallRow struct {
	Job                             uint64
	Serial, Started, Before, After  string
	Measured, Correction, Corrected string
	Limits, Probability             string
	Results                         []recallRow // judged results, by their Names
	Name                            string
}

func newRecallRow(i *pb.RecallItem) recallRow {
	row := valuesOfItem(i).row()
	row.Job, row.Serial, row.Started = i.GetJobId(), i.GetUnitSerial(), show.MomentText(i.GetStartTime())
	if i.GetBeyond() {
		row.Corrected += " >"
	}
	if i.GetChoseOnly() {
		row.After += " (" + show.Say("recall.chose-only") + ")"
	}
	for _, r := range i.GetResults() {
		one := valuesOfResult(r).row()
		one.Name = cmp.Or(r.GetTitle(), r.GetName())
		if r.GetPredicted() {
			one.Name += " (" + show.Say("recall.by-sum") + ")"
		}
		if r.GetWithoutGauge() {
			one.After += " (" + show.Say("recall.without") + ")"
		}
		row.Results = append(row.Results, one)
	}
	return row
}

func (v recallValues) row() recallRow {
	row := recallRow{
		Before: show.OutcomeText(v.was), After: show.OutcomeText(v.is), Measured: v.called(v.before), Correction: v.corrected(), Corrected: v.called(v.after),
		Limits: "-", Probability: "-",
	}
	if v.allowed.GetMin() != nil || v.allowed.GetMax() != nil {
		row.Limits = show.LengthText(v.allowed.GetMin()) + " to " + show.LengthText(v.allowed.GetMax())
		if v.preload() {
			row.Limits = show.PlayRangeText(v.word, v.allowed)
		}
	}
	if v.probability != nil {
		row.Probability = strconv.FormatFloat(*v.probability, 'f', 4, 64)
	}
	return row
}

// preload reports whether the closing dimension is a preload: a negative play, which is written
// without its sign.
func (v recallValues) preload() bool {
	return v.word == pb.ClosingDimension_CLOSING_DIMENSION_PRELOAD
}

// dimension is what a closing dimension is called in a table; empty where nobody said it.
func (v recallValues) dimension() string {
	if v.word == pb.ClosingDimension_CLOSING_DIMENSION_UNSPECIFIED {
		return ""
	}
	return strings.ToLower(strings.TrimPrefix(v.word.String(), "CLOSING_DIMENSION_"))
}

// plain is a value as a decimal number, of a preload as that.
func (v recallValues) plain(l *pb.Quantity) string {
	if v.preload() {
		return turned(l.GetText())
	}
	return l.GetText()
}

// turned is a decimal number with the other sign.
func turned(text string) string {
	switch rest, negative := strings.CutPrefix(text, "-"); {
	case negative:
		return rest
	case strings.Trim(text, "0.") == "":
		return text
	}
	return "-" + text
}

// corrected writes the correction with its sign: what is measured and it are what is corrected.
func (v recallValues) corrected() string {
	text := show.SignedText(v.correction)
	if !v.preload() || v.correction == nil || wire.FromQuantity(v.correction) == 0 {
		return text
	}
	if rest, negative := strings.CutPrefix(text, "-"); negative {
		return "+" + rest
	}
	return "-" + strings.TrimPrefix(text, "+")
}

// called writes a closing dimension; a preload has its word and no sign.
func (v recallValues) called(l *pb.Quantity) string {
	if v.preload() {
		return show.PlayText(v.word, l)
	}
	return show.LengthText(l)
}

// values are the cells from the verdict on.
func (r recallRow) values() string {
	return strings.Join([]string{show.OrDash(r.Before), show.OrDash(r.After), r.Measured, r.Correction, r.Corrected, r.Limits, r.Probability}, "\t")
}
