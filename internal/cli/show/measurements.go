package show

import (
	"fmt"
	"io"

	pb "gauged/api/gauged/v1"
	"gauged/internal/wire"
)

func renderMeasurements(w io.Writer, measurements []*pb.Measurement) {
	if len(measurements) == 0 {
		return
	}
	fmt.Fprintln(w, "\nMeasured")
	Columns(w, func(tab io.Writer) {
		for _, m := range measurements {
			fmt.Fprintf(tab, "  %s\t%s\t%s\t%s\n", m.GetName(), MeasuredText(m), CountText(m), SpreadText(m))
			for i, r := range m.GetReadings() {
				fmt.Fprintf(tab, "    %s\t%s\t%s\t%s\n", readingLabel(i, r), ReadingValueText(r), r.GetGaugeId(), discardText(r))
			}
		}
	})
}

// MeasuredText is the value of a measurement, or the mark that was read.
func MeasuredText(m *pb.Measurement) string {
	switch {
	case m.GetMark() != "" && m.GetValue() != nil:
		return m.GetMark() + " = " + LengthText(m.GetValue())
	case m.GetMark() != "":
		return m.GetMark()
	}
	return BetweenText(m.GetValue(), m.GetBetween())
}

// ReadingValueText is a reading as it was shown; the way between two readings says so.
func ReadingValueText(r *pb.TakenReading) string {
	text := ReadingText(r.GetValue())
	if r.GetFromSeq() > 0 {
		text += fmt.Sprintf(", measured from reading %d", r.GetFromSeq())
	}
	return text
}

// counting is the number of readings that were not discarded.
func counting(m *pb.Measurement) int {
	n := 0
	for _, r := range m.GetReadings() {
		if r.GetDiscardReason() == "" {
			n++
		}
	}
	return n
}

// CountText tells how many readings there are of how many.
func CountText(m *pb.Measurement) string {
	return fmt.Sprintf("%d of %s", counting(m), Plural(int(m.GetRepeats()), "reading"))
}

// SpreadText sets the spread against the limit of agreement.
func SpreadText(m *pb.Measurement) string {
	spread, limit := m.GetSpread(), m.GetAgree()
	switch {
	case spread == nil:
		return ""
	case limit == nil:
		return fmt.Sprintf("spread %s, no limit", LengthText(spread))
	case wire.FromQuantity(spread) > wire.FromQuantity(limit):
		return fmt.Sprintf("spread %s is OVER the limit of %s", LengthText(spread), LengthText(limit))
	default:
		return fmt.Sprintf("spread %s, limit %s", LengthText(spread), LengthText(limit))
	}
}

// readingLabel is the number in the history, or the place in the list for a
// reading that was never stored.
func readingLabel(index int, r *pb.TakenReading) string {
	if r.GetSeq() == 0 {
		return fmt.Sprintf("%d.", index+1)
	}
	return fmt.Sprintf("#%d", r.GetSeq())
}

func discardText(r *pb.TakenReading) string {
	if r.GetDiscardReason() == "" {
		return ""
	}
	return "does not count: " + r.GetDiscardReason()
}

// Plural counts a noun.
func Plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
