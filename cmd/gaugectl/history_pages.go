package main

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/proto"

	pb "gauged/api/gauged/v1"
)

// pageSize is how many entries are asked for at once.
const pageSize = 1000

// pages says which part of the history is wanted.
type pages struct {
	gauge string
	after uint64
	limit uint64 // 0 is no limit
}

func (p *pages) flags(a *app, cmd *cobra.Command) {
	cmd.Flags().StringVar(&p.gauge, "gauge", "", "only this gauge")
	cmd.Flags().Uint64Var(&p.after, "after", 0, "begin with the entry after this number")
	cmd.Flags().Uint64Var(&p.limit, "limit", 0, "at most so many (default: all)")
	a.complete(cmd, "gauge", a.names(gaugeNames))
}

// each asks for page after page and hands on the entries.
func (p *pages) each(ask func(after uint64, limit uint32) (shown int, next uint64, err error)) error {
	after, left := p.after, p.limit
	for {
		limit := uint64(pageSize)
		if p.limit > 0 {
			limit = min(limit, left)
		}
		shown, next, err := ask(after, uint32(limit))
		if err != nil {
			return err
		}
		left -= min(uint64(shown), left)
		if next == 0 || p.limit > 0 && left == 0 {
			return nil
		}
		after = next
	}
}

const pagesHelp = "\n\nWithout --limit it pages through to the end. With --output json every entry is one\nobject on one line."

func (a *app) historyReadingsCommand() *cobra.Command {
	var p pages
	cmd := &cobra.Command{
		Use:   "readings",
		Short: "Show stored readings in the order of the history",
		Long:  "Show stored readings in the order of the history." + pagesHelp,
		Args:  arguments(0, 0),
	}
	p.flags(a, cmd)
	cmd.RunE = a.withDaemon(func(ctx context.Context, d *daemon, _ []string) error {
		return p.each(func(after uint64, limit uint32) (int, uint64, error) {
			page, err := ask(ctx, d, d.history.ListReadings, &pb.ListReadingsRequest{GaugeId: p.gauge, AfterSeq: after, Limit: limit})
			if err != nil {
				return 0, 0, err
			}
			return len(page.GetReadings()), page.GetNextAfterSeq(), showEach(a, page.GetReadings(), renderReadingRow)
		})
	})
	return cmd
}

func (a *app) historyRejectsCommand() *cobra.Command {
	var p pages
	cmd := &cobra.Command{
		Use:   "rejects",
		Short: "Show frames that gave no reading, and why",
		Long:  "Show frames that gave no reading, and why." + pagesHelp,
		Args:  arguments(0, 0),
	}
	p.flags(a, cmd)
	cmd.RunE = a.withDaemon(func(ctx context.Context, d *daemon, _ []string) error {
		return p.each(func(after uint64, limit uint32) (int, uint64, error) {
			page, err := ask(ctx, d, d.history.ListRejects, &pb.ListRejectsRequest{GaugeId: p.gauge, AfterSeq: after, Limit: limit})
			if err != nil {
				return 0, 0, err
			}
			return len(page.GetRejects()), page.GetNextAfterSeq(), showEach(a, page.GetRejects(), renderRejectRow)
		})
	})
	return cmd
}

func renderRejectRow(w io.Writer, r *pb.Reject) {
	renderRow(w, r.GetSeq(), timeText(r.GetTime()), r.GetGaugeId(), r.GetReason(), fmt.Sprintf("%s: %q", r.GetDetail(), r.GetRaw()))
}

// showEach writes entries as rows, or each as one line of JSON.
func showEach[Entry proto.Message](a *app, entries []Entry, row func(io.Writer, Entry)) error {
	for _, entry := range entries {
		if a.output != outputJSON {
			row(a.stdout, entry)
		} else if err := writeJSON(a.stdout, entry, false); err != nil {
			return err
		}
	}
	return nil
}
