package show

import (
	"fmt"
	"io"
	"strings"

	pb "gauged/api/gauged/v1"
)

// RenderReadingRow writes a reading as one row of a list.
func RenderReadingRow(w io.Writer, r *pb.Reading) {
	note := StatusText(r.GetStatus())
	if r.GetBy() != "" {
		note = join(note, "typed in by "+r.GetBy())
	}
	if r.GetSource() != "" {
		note = join(note, fmt.Sprintf("from %s, number %d there", r.GetSource(), r.GetSourceSeq()))
	}
	RenderRow(w, r.GetSeq(), TimeText(r.GetTime()), r.GetGaugeId(), LengthText(r.GetValue()), note)
}

// The columns of a list of readings, states or rejected frames. They have
// fixed widths, because such a list may have no end.
const rowColumns = "%8v  %-29s  %-14s  %14s  %s"

// RenderHead writes the titles of the columns.
func RenderHead(w io.Writer, value string) {
	fmt.Fprintf(w, rowColumns+"\n", "SEQ", "TIME", "GAUGE", value, "NOTE")
}

// RenderRow writes one row of a list without an end.
func RenderRow(w io.Writer, seq uint64, time, gauge, value, note string) {
	fmt.Fprintln(w, strings.TrimRight(fmt.Sprintf(rowColumns, seq, time, gauge, value, note), " "))
}

func join(a, b string) string {
	if a == "" {
		return b
	}
	return a + ", " + b
}
