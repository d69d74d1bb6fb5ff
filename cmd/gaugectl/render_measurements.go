package main

import (
	"fmt"
	"io"

	pb "gauged/api/gauged/v1"
)

func renderMeasurements(w io.Writer, measurements []*pb.Measurement) {
	if len(measurements) == 0 {
		return
	}
	fmt.Fprintln(w, "\nMeasured")
	columns(w, func(tab io.Writer) {
		for _, m := range measurements {
			fmt.Fprintf(tab, "  %s\t%s\t%s\t%s\n", m.GetName(), measuredText(m), countText(m), spreadText(m))
			for i, r := range m.GetReadings() {
				fmt.Fprintf(tab, "    %s\t%s\t%s\t%s\n", readingLabel(i, r), readingValueText(r), r.GetGaugeId(), discardText(r))
			}
		}
	})
}

// measuredText is the value of a measurement, or the mark that was read.
func measuredText(m *pb.Measurement) string {
	switch {
	case m.GetMark() != "" && m.GetValue() != nil:
		return m.GetMark() + " = " + lengthText(m.GetValue())
	case m.GetMark() != "":
		return m.GetMark()
	}
	return betweenText(m.GetValue(), m.GetBetween())
}

// readingValueText is a reading as it was shown; the way between two readings says so.
func readingValueText(r *pb.TakenReading) string {
	text := readingText(r.GetValue())
	if r.GetFromSeq() > 0 {
		text += fmt.Sprintf(", the way from reading %d", r.GetFromSeq())
	}
	return text
}

// counting is the number of readings that were not discarded.
func counting(m *pb.Measurement) int {
	n := 0
	for _, r := range m.GetReadings() {
		if r.GetDiscarded() == "" {
			n++
		}
	}
	return n
}

func countText(m *pb.Measurement) string {
	return fmt.Sprintf("%d of %s", counting(m), plural(int(m.GetRepeats()), "reading"))
}

// spreadText sets the spread against the limit of agreement.
func spreadText(m *pb.Measurement) string {
	spread, limit := m.GetSpread(), m.GetAgree()
	switch {
	case spread == nil:
		return ""
	case limit == nil:
		return fmt.Sprintf("spread %s, not limited", lengthText(spread))
	case spread.GetPicometres() > limit.GetPicometres():
		return fmt.Sprintf("spread %s is OVER the limit of %s", lengthText(spread), lengthText(limit))
	default:
		return fmt.Sprintf("spread %s, limit %s", lengthText(spread), lengthText(limit))
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
	if r.GetDiscarded() == "" {
		return ""
	}
	return "does not count: " + r.GetDiscarded()
}

func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
