package show

import (
	"cmp"
	"math"
	"strings"

	"google.golang.org/protobuf/types/known/timestamppb"

	"gauged/internal/evaluate/doubt"
	"gauged/internal/gauge"
	"gauged/internal/wire"
	"gauged/internal/words"

	pb "gauged/api/gauged/v1"
)

// UnitSymbol is the unit as people write it.
func UnitSymbol(u pb.Unit) string {
	return cmp.Or(wire.FromUnit(u).String(), "(unit not known)")
}

// LengthText writes a value with its unit, a plain number without; a dash
// stands for no value.
func LengthText(l *pb.Quantity) string {
	if l == nil {
		return "-"
	}
	if l.GetUnit() == pb.Unit_UNIT_ONE {
		return l.GetText()
	}
	return l.GetText() + " " + UnitSymbol(l.GetUnit())
}

// ReadingText is what a gauge showed, without a plus and zeros in front; the raw text
// stands in gaugectl history readings.
func ReadingText(l *pb.Quantity) string {
	if l == nil {
		return "-"
	}
	u := wire.FromUnit(l.GetUnit())
	return LengthText(&pb.Quantity{Text: gauge.Digits(l.GetText(), u), Unit: l.GetUnit()})
}

// SignedText is lengthText with the sign shown in front of what is not zero.
func SignedText(l *pb.Quantity) string {
	text := LengthText(l)
	if wire.FromQuantity(l) > 0 && !strings.HasPrefix(text, "+") {
		return "+" + text
	}
	return text
}

// wordResult is the word of a closing dimension that is neither play nor preload.
const wordResult = pb.ClosingDimension_CLOSING_DIMENSION_RESULT

// PlayText writes a play with its sign; a negative play is a preload, and the
// word stands for the sign. A plain result has neither word.
func PlayText(word pb.ClosingDimension, l *pb.Quantity) string {
	switch {
	case l == nil || word == wordResult:
		return LengthText(l)
	case wire.FromQuantity(l) < 0:
		return "preload " + strings.TrimPrefix(LengthText(l), "-")
	default:
		return "play " + SignedText(l)
	}
}

// PlayRangeText writes limits of the closing dimension as it is called. Two preloads go
// from the lighter to the heavier, so that the least preload is the greatest play.
func PlayRangeText(word pb.ClosingDimension, r *pb.Range) string {
	low, high := r.GetMin(), r.GetMax()
	if low == nil && high == nil {
		return "no limit"
	}
	switch preload := word == pb.ClosingDimension_CLOSING_DIMENSION_PRELOAD; {
	case word == wordResult:
		return RangeText(r)
	case preload && high == nil:
		return "preload " + Say("sheet.at-most", negativeText(low))
	case preload && low == nil:
		return "preload " + Say("sheet.at-least", negativeText(high))
	case high == nil:
		return "play " + Say("sheet.at-least", LengthText(low))
	case low == nil:
		return "play " + Say("sheet.at-most", LengthText(high))
	case wire.FromQuantity(high) < 0, preload && wire.FromQuantity(high) == 0:
		return "preload " + negativeText(high) + " to " + negativeText(low)
	case wire.FromQuantity(low) < 0:
		return PlayText(word, low) + " to " + PlayText(word, high)
	}
	return PlayText(word, low) + " to " + SignedText(high)
}

// negativeText is LengthText with the other sign.
func negativeText(l *pb.Quantity) string {
	text := LengthText(l)
	switch size, negative := strings.CutPrefix(text, "-"); {
	case negative:
		return size
	case wire.FromQuantity(l) == 0:
		return text
	}
	return "-" + text
}

// BetweenText writes an interval, or the value itself.
func BetweenText(l *pb.Quantity, between *pb.Range) string {
	if between == nil {
		return LengthText(l)
	}
	return Say("sheet.between", LengthText(between.GetMin()), LengthText(between.GetMax()))
}

// playBetweenText writes an interval of plays, or the play itself.
func playBetweenText(word pb.ClosingDimension, l *pb.Quantity, between *pb.Range) string {
	if between == nil {
		return PlayText(word, l)
	}
	return Say("sheet.between", PlayText(word, between.GetMin()), PlayText(word, between.GetMax()))
}

// ProbabilityText writes a probability in percent, rounded as in every other text; a
// dash stands for none.
func ProbabilityText(p *float64) string {
	if p == nil {
		return "-"
	}
	return english().Chance(int(math.Round(*p * 1e4)))
}

// RangeText writes a closed interval of lengths.
func RangeText(r *pb.Range) string {
	low, high := r.GetMin(), r.GetMax()
	switch {
	case low == nil && high == nil:
		return "-"
	case low == nil:
		return Say("sheet.at-most", LengthText(high))
	case high == nil:
		return Say("sheet.at-least", LengthText(low))
	default:
		return Say("sheet.from-to", LengthText(low), LengthText(high))
	}
}

// StandingText says whether a gauge may be used.
func StandingText(s pb.Standing) string { return Named("standing", word(s.String(), "STANDING_")) }

// TimeText writes a time as the clocks here show it, with its distance from UTC; a day is
// shown as that day.
func TimeText(t *timestamppb.Timestamp) string {
	if t == nil {
		return "-"
	}
	return words.Exact(t.AsTime())
}

// MomentText writes a time as TimeText does, to the second and as the page shows it.
func MomentText(t *timestamppb.Timestamp) string { return english().Moment(t.AsTime()) }

// word turns the name of an enum value into words: OUTCOME_FIT_PART with the
// prefix OUTCOME_ is "fit part".
func word(name, prefix string) string {
	return strings.ToLower(strings.ReplaceAll(strings.TrimPrefix(name, prefix), "_", " "))
}

// StageText names a stage of a job.
func StageText(s pb.JobStage) string { return word(s.String(), "JOB_STAGE_") }

// OutcomeText names an outcome.
func OutcomeText(o pb.Outcome) string { return Named("outcome", string(wire.FromOutcome(o))) }

// ResultText names a result of an evaluation; a name that the shop gave stays.
func ResultText(name string) string { return english().Tell(doubt.Result(name)) }

// CheckText names the verdict of a check.
func CheckText(v pb.CheckVerdict) string { return Named("check", word(v.String(), "CHECK_VERDICT_")) }

// VerdictText names the outcome of a verdict, or says that the one before is taken back.
func VerdictText(o pb.Outcome) string {
	return Only(o == pb.Outcome_OUTCOME_MEASURING, "taken back, ") + OutcomeText(o)
}

// StateText names the state of a gauge.
func StateText(s pb.GaugeState) string { return Named("state", word(s.String(), "GAUGE_STATE_")) }

func shortHash(hash string) string { return hash[:min(len(hash), 12)] }

// OrDash returns a text, or a dash where it is empty.
func OrDash(text string) string { return cmp.Or(text, "-") }

// StatusText names what a gauge reported besides the digits, if it matters.
func StatusText(s pb.ReadingStatus) string {
	if s == pb.ReadingStatus_READING_STATUS_LOW_BATTERY {
		return Say("gauge.battery")
	}
	return ""
}

// DayText writes the day of a time as the clocks here show it.
func DayText(t *timestamppb.Timestamp) string {
	if t == nil {
		return "-"
	}
	return english().Day(t.AsTime())
}
