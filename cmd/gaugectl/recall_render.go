package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"strconv"
	"time"

	"gauged/internal/server/message"

	pb "gauged/api/gauged/v1"
)

// renderRecall writes the list as a table.
func renderRecall(w io.Writer, report *recallReport, r *pb.RecallResponse) {
	fmt.Fprintf(w, "%s; %s taken off its readings.\n", report.Jobs, report.Error)
	fmt.Fprintf(w, "The error: %s, %s.\n", report.Found, report.Model)
	for _, note := range report.Notes {
		fmt.Fprintf(w, "! %s\n", note)
	}
	if len(r.GetItems()) == 0 {
		return
	}
	fmt.Fprintf(w, "%s, %d undecided now.\n\n", plural(int(r.GetFlipped()), "verdict")+turns(r.GetFlipped()), r.GetUndecided())
	columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "JOB\tUNIT\tSTARTED\tBEFORE\tNOW\tMEASURED\tCORRECTED\tLIMITS\tPROBABILITY")
		for _, i := range r.GetItems() {
			row := newRecallRow(i)
			fmt.Fprintf(tab, "%d\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", i.GetJobId(), row.Serial, timeText(i.GetStarted()),
				row.Before, row.After, row.Measured, row.Corrected, row.Limits, row.Probability)
		}
	})
}

func turns(n uint32) string {
	if n == 1 {
		return " turns"
	}
	return " turn"
}

func recallOutcome(o pb.Outcome) string { return string(message.FromOutcome(o)) }

// writeRecall writes the list as CSV. Lengths are decimal numbers in the unit of
// their column.
func writeRecall(name string, r *pb.RecallResponse) error {
	return writeFile(name, "the list", func(f io.Writer) error {
		w := csv.NewWriter(f)
		rows := [][]string{{"job", "unit_serial", "started", "closed", "before", "now", "measured", "corrected", "min", "max", "unit", "probability", "beyond"}}
		for _, i := range r.GetItems() {
			rows = append(rows, recallRecord(i))
		}
		return w.WriteAll(rows)
	})
}

func recallRecord(i *pb.RecallItem) []string {
	probability := ""
	if i.Probability != nil {
		probability = strconv.FormatFloat(i.GetProbability(), 'f', 4, 64)
	}
	length := i.GetMeasured()
	if length == nil {
		length = i.GetAllowed().GetMax()
	}
	beyond := ""
	if i.GetBeyond() {
		beyond = "yes"
	}
	closed := ""
	if i.GetClosed() != nil {
		closed = i.GetClosed().AsTime().Format(time.RFC3339)
	}
	return []string{
		strconv.FormatUint(i.GetJobId(), 10), i.GetUnitSerial(), i.GetStarted().AsTime().Format(time.RFC3339), closed,
		recallOutcome(i.GetBefore()), recallOutcome(i.GetAfter()), i.GetMeasured().GetText(), i.GetCorrected().GetText(),
		i.GetAllowed().GetMin().GetText(), i.GetAllowed().GetMax().GetText(), unitSymbol(length.GetUnit()), probability, beyond,
	}
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
