package main

import (
	"cmp"
	"fmt"
	"strings"

	"google.golang.org/protobuf/types/known/timestamppb"

	"gauged/internal/gauge"
	"gauged/internal/server/message"

	pb "gauged/api/gauged/v1"
)

// unitSymbol is the unit as people write it.
func unitSymbol(u pb.Unit) string {
	return cmp.Or(message.FromUnit(u).String(), "(unit not known)")
}

// lengthText writes a value with its unit, a plain number without; a dash
// stands for no value.
func lengthText(l *pb.Length) string {
	if l == nil {
		return "-"
	}
	if l.GetUnit() == pb.Unit_UNIT_ONE {
		return l.GetText()
	}
	return l.GetText() + " " + unitSymbol(l.GetUnit())
}

// readingText is what a gauge showed, without a plus and zeros in front; the raw text
// stands in gaugectl history readings.
func readingText(l *pb.Length) string {
	if l == nil {
		return "-"
	}
	u := message.FromUnit(l.GetUnit())
	return lengthText(&pb.Length{Text: gauge.Digits(l.GetText(), u), Unit: l.GetUnit()})
}

// signedText is lengthText with the sign shown in front of what is not zero.
func signedText(l *pb.Length) string {
	text := lengthText(l)
	if l.GetPicometres() > 0 && !strings.HasPrefix(text, "+") {
		return "+" + text
	}
	return text
}

// wordResult is the word of a closing dimension that is neither play nor preload.
const wordResult = "result"

// playText writes a play with its sign; a negative play is a preload, and the
// word stands for the sign. A plain result has neither word.
func playText(word string, l *pb.Length) string {
	switch {
	case l == nil || word == wordResult:
		return lengthText(l)
	case l.GetPicometres() < 0:
		return "preload " + strings.TrimPrefix(lengthText(l), "-")
	default:
		return "play " + signedText(l)
	}
}

// playRangeText writes the allowed play. Two preloads are named from the
// lighter to the heavier.
func playRangeText(word string, r *pb.Range) string {
	low, high := r.GetMin(), r.GetMax()
	switch {
	case low == nil && high == nil:
		return "not limited"
	case low == nil:
		return "at most " + playText(word, high)
	case high == nil:
		return "at least " + playText(word, low)
	case word == wordResult:
		return rangeText(r)
	case high.GetPicometres() < 0:
		return playText(word, high) + " to " + strings.TrimPrefix(playText(word, low), "preload ")
	case low.GetPicometres() < 0:
		return playText(word, low) + " to " + playText(word, high)
	default:
		return playText(word, low) + " to " + signedText(high)
	}
}

// betweenText writes an interval, or the value itself.
func betweenText(l *pb.Length, between *pb.Range) string {
	if between == nil {
		return lengthText(l)
	}
	return "between " + lengthText(between.GetMin()) + " and " + lengthText(between.GetMax())
}

// playBetweenText writes an interval of plays, or the play itself.
func playBetweenText(word string, l *pb.Length, between *pb.Range) string {
	if between == nil {
		return playText(word, l)
	}
	return "between " + playText(word, between.GetMin()) + " and " + playText(word, between.GetMax())
}

// probabilityText writes a probability in percent; what is not certain is never
// shown as 100 % or 0 %. A dash stands for none.
func probabilityText(p *float64) string {
	switch {
	case p == nil:
		return "-"
	case *p == 1:
		return "100 %"
	case *p > 0.999:
		return "over 99.9 %"
	case *p == 0:
		return "0 %"
	case *p < 0.001:
		return "under 0.1 %"
	}
	return fmt.Sprintf("%.1f %%", 100**p)
}

// rangeText writes a closed interval of lengths.
func rangeText(r *pb.Range) string {
	low, high := r.GetMin(), r.GetMax()
	switch {
	case low == nil && high == nil:
		return "-"
	case low == nil:
		return "at most " + lengthText(high)
	case high == nil:
		return "at least " + lengthText(low)
	default:
		return lengthText(low) + " to " + lengthText(high)
	}
}

// timeText writes a time after RFC 3339 in UTC, to the millisecond.
func timeText(t *timestamppb.Timestamp) string {
	if t == nil {
		return "-"
	}
	return t.AsTime().UTC().Format("2006-01-02T15:04:05.000Z07:00")
}

// word turns the name of an enum value into words: OUTCOME_FIT_PART with the
// prefix OUTCOME_ is "fit part".
func word(name, prefix string) string {
	return strings.ToLower(strings.ReplaceAll(strings.TrimPrefix(name, prefix), "_", " "))
}

func stageText(s pb.JobStage) string   { return word(s.String(), "JOB_STAGE_") }
func outcomeText(o pb.Outcome) string  { return word(o.String(), "OUTCOME_") }
func stateText(s pb.GaugeState) string { return word(s.String(), "GAUGE_STATE_") }
func shortHash(hash string) string     { return hash[:min(len(hash), 12)] }
func orDash(text string) string        { return cmp.Or(text, "-") }

// statusText names what a gauge reported besides the digits, if it matters.
func statusText(s pb.ReadingStatus) string {
	if s == pb.ReadingStatus_READING_STATUS_LOW_BATTERY {
		return "low battery"
	}
	return ""
}
