package recall

import (
	"fmt"
	"io"
	"os"
	"strconv"
	"time"

	"gauged/internal/cli/show"
	"gauged/internal/health/recall"
	"gauged/internal/table"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// renderRecall writes the list as a table.
func renderRecall(w io.Writer, report *recallReport, r *pb.RecallResponse) {
	fmt.Fprintf(w, "%s.\n%s: %s.\n", report.Jobs, show.Say("recall.taken-off"), report.Error)
	fmt.Fprintf(w, "The error: %s, %s.\n", report.Found, report.Model)
	for _, note := range report.Notes {
		fmt.Fprintf(w, "! %s\n", note)
	}
	if len(r.GetItems()) == 0 {
		return
	}
	fmt.Fprintf(w, "%s, %d in doubt now.\n\n", show.Plural(int(r.GetTurnedCount()), "verdict")+changes(r.GetTurnedCount()), r.GetUndecidedCount())
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "JOB\tUNIT\tSTARTED\tBEFORE\tNOW\tMEASURED\tCORRECTION\tCORRECTED\tLIMITS\tPROBABILITY")
		for _, i := range r.GetItems() {
			row := newRecallRow(i)
			fmt.Fprintf(tab, "%d\t%s\t%s\t%s\n", i.GetJobId(), row.Serial, show.TimeText(i.GetStartTime()), row.values())
			for _, r := range row.Results {
				fmt.Fprintf(tab, "\t%s\t\t%s\n", r.Name, r.values())
			}
		}
	})
}

func changes(n uint32) string {
	if n == 1 {
		return " changes"
	}
	return " change"
}

func recallOutcome(o pb.Outcome) string { return string(wire.FromOutcome(o)) }

// writeRecall writes the list as CSV. Lengths are decimal numbers in the unit of
// their column.
func writeRecall(name string, r *pb.RecallResponse) error {
	return writeFile(name, "the list", func(f io.Writer) error { return writeRecords(f, r) })
}

func writeRecords(w io.Writer, r *pb.RecallResponse) error {
	rows := [][]string{{"job", "unit_serial", "result", "dimension", "started", "closed", "before", "now", "measured", "correction", "corrected", "min", "max", "unit", "probability", "beyond", "note"}}
	for _, i := range r.GetItems() {
		rows = append(rows, recallRecords(i)...)
	}
	return table.Write(w, rows)
}

// recallRecords are the lines of a job: one of its closing dimension, and one of each
// judged result whose outcome is another one.
func recallRecords(i *pb.RecallItem) (all [][]string) {
	beyond, closed := "", ""
	if i.GetBeyond() {
		beyond = "yes"
	}
	if i.GetCloseTime() != nil {
		closed = i.GetCloseTime().AsTime().Format(time.RFC3339)
	}
	record := func(result string, v recallValues, note string) {
		probability := ""
		if v.probability != nil {
			probability = strconv.FormatFloat(*v.probability, 'f', 4, 64)
		}
		least, most := v.allowed.GetMin(), v.allowed.GetMax()
		if v.preload() {
			least, most = most, least
		}
		all = append(all, []string{
			strconv.FormatUint(i.GetJobId(), 10), i.GetUnitSerial(), result, v.dimension(), i.GetStartTime().AsTime().Format(time.RFC3339), closed,
			recallOutcome(v.was), recallOutcome(v.is), v.plain(v.before), v.plain(v.correction), v.plain(v.after), v.plain(least), v.plain(most), wire.FromUnit(v.unit()).String(), probability, beyond, note,
		})
	}
	record("", valuesOfItem(i), recall.Note(i.GetChoseOnly(), false, false))
	for _, r := range i.GetResults() {
		record(r.GetName(), valuesOfResult(r), recall.Note(false, r.GetPredicted(), r.GetWithoutGauge()))
	}
	return all
}

// writeFile makes a file of what write writes.
func writeFile(name, what string, write func(io.Writer) error) (err error) {
	f, err := os.Create(name)
	if err != nil {
		return err
	}
	defer func() {
		if closed := f.Close(); err == nil {
			err = closed
		}
	}()
	if err := write(f); err != nil {
		return fmt.Errorf("write %s to %s: %w", what, name, err)
	}
	return nil
}
