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

const pagesHelp = "\n\nWithout --limit it pages through to the end. With --output json every entry is one\nobject on one line."

// listing is one kind of entry, of which the history gives a page at a time.
type listing[Entry proto.Message] struct {
	use, short string
	value      string // title of the column beside the gauge
	page       func(ctx context.Context, d *daemon, p pages) (entries []Entry, next uint64, err error)
	row        func(io.Writer, Entry)
}

func (l listing[Entry]) command(a *app) *cobra.Command {
	var p pages
	cmd := &cobra.Command{Use: l.use, Short: l.short, Long: l.short + "." + pagesHelp, Args: arguments(0, 0)}
	p.flags(a, cmd)
	cmd.RunE = a.withDaemon(func(ctx context.Context, d *daemon, _ []string) error { return l.show(ctx, a, d, p) })
	return cmd
}

// show asks for page after page and writes the entries.
func (l listing[Entry]) show(ctx context.Context, a *app, d *daemon, p pages) error {
	left, limited, first := p.limit, p.limit > 0, true
	for {
		p.limit = pageSize
		if limited {
			p.limit = min(p.limit, left)
		}
		entries, next, err := l.page(ctx, d, p)
		if err != nil {
			return err
		}
		if first && a.output == outputTable {
			renderHead(a.stdout, l.value)
		}
		if err := l.write(a, entries); err != nil {
			return err
		}
		left -= min(uint64(len(entries)), left)
		if next == 0 || limited && left == 0 {
			return nil
		}
		p.after, first = next, false
	}
}

func (l listing[Entry]) write(a *app, entries []Entry) error {
	for _, entry := range entries {
		if a.output == outputTable {
			l.row(a.stdout, entry)
		} else if err := writeJSON(a.stdout, entry, false); err != nil {
			return err
		}
	}
	return nil
}

func (a *app) historyReadingsCommand() *cobra.Command {
	return listing[*pb.Reading]{
		use: "readings", short: "Show stored readings in the order of the history", value: "VALUE",
		page: func(ctx context.Context, d *daemon, p pages) ([]*pb.Reading, uint64, error) {
			request := &pb.ListReadingsRequest{GaugeId: p.gauge, AfterSeq: p.after, Limit: uint32(p.limit)}
			answer, err := ask(ctx, d, d.history.ListReadings, request)
			return answer.GetReadings(), answer.GetNextAfterSeq(), err
		},
		row: renderReadingRow,
	}.command(a)
}

func (a *app) historyRejectsCommand() *cobra.Command {
	return listing[*pb.Reject]{
		use: "rejects", short: "Show frames that gave no reading, and why", value: "REASON",
		page: func(ctx context.Context, d *daemon, p pages) ([]*pb.Reject, uint64, error) {
			request := &pb.ListRejectsRequest{GaugeId: p.gauge, AfterSeq: p.after, Limit: uint32(p.limit)}
			answer, err := ask(ctx, d, d.history.ListRejects, request)
			return answer.GetRejects(), answer.GetNextAfterSeq(), err
		},
		row: func(w io.Writer, r *pb.Reject) {
			note := fmt.Sprintf("%s: %q", r.GetDetail(), r.GetRaw())
			renderRow(w, r.GetSeq(), timeText(r.GetTime()), r.GetGaugeId(), r.GetReason(), note)
		},
	}.command(a)
}
