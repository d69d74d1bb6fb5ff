package history

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/proto"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"

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

func (p *pages) flags(a *app.App, cmd *cobra.Command) {
	cmd.Flags().StringVar(&p.gauge, "gauge", "", "only this gauge")
	cmd.Flags().Uint64Var(&p.after, "after", 0, "begin with the entry after this number")
	cmd.Flags().Uint64Var(&p.limit, "limit", 0, "at most so many (default: all)")
	a.Complete(cmd, "gauge", a.Names(app.GaugeNames))
}

const pagesHelp = "\n\nWithout --limit it pages through to the end. With --output json every entry is one\nobject on one line, with csv one row."

// listing is one kind of entry, of which the history gives a page at a time.
type listing[Entry proto.Message] struct {
	use, short string
	value      string // title of the column beside the gauge
	page       func(ctx context.Context, d *app.Daemon, p pages) (entries []Entry, next uint64, err error)
	row        func(io.Writer, Entry)
}

func (l listing[Entry]) command(a *app.App) *cobra.Command {
	var p pages
	cmd := &cobra.Command{Use: l.use, Short: l.short, Long: l.short + "." + pagesHelp, Args: app.Arguments(0, 0)}
	p.flags(a, cmd)
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error { return l.show(ctx, a, d, p) })
	return cmd
}

// show asks for page after page and writes the entries.
func (l listing[Entry]) show(ctx context.Context, a *app.App, d *app.Daemon, p pages) error {
	left, limited := p.limit, p.limit > 0
	var kind Entry
	out, first := a.NewEntries(kind), true
	for {
		p.limit = pageSize
		if limited {
			p.limit = min(p.limit, left)
		}
		entries, next, err := l.page(ctx, d, p)
		if err != nil {
			return err
		}
		if first && a.Output == app.OutputTable {
			show.RenderHead(a.Stdout, l.value)
		}
		if err := out.Begin(); err != nil {
			return err
		}
		for _, entry := range entries {
			if err := out.Write(entry, func(w io.Writer) { l.row(w, entry) }); err != nil {
				return err
			}
		}
		left -= min(uint64(len(entries)), left)
		if next == 0 || limited && left == 0 {
			return nil
		}
		p.after, first = next, false
	}
}

func historyReadingsCommand(a *app.App) *cobra.Command {
	return listing[*pb.Reading]{
		use: "readings", short: "Show stored readings in the order of the history", value: "VALUE",
		page: func(ctx context.Context, d *app.Daemon, p pages) ([]*pb.Reading, uint64, error) {
			request := &pb.ListReadingsRequest{GaugeId: p.gauge, AfterSeq: p.after, Limit: uint32(p.limit)}
			answer, err := app.Ask(ctx, d, d.History.ListReadings, request)
			return answer.GetReadings(), answer.GetNextAfterSeq(), err
		},
		row: show.RenderReadingRow,
	}.command(a)
}

func historyRejectsCommand(a *app.App) *cobra.Command {
	return listing[*pb.Reject]{
		use: "rejects", short: "Show frames that gave no reading, and why", value: "REASON",
		page: func(ctx context.Context, d *app.Daemon, p pages) ([]*pb.Reject, uint64, error) {
			request := &pb.ListRejectsRequest{GaugeId: p.gauge, AfterSeq: p.after, Limit: uint32(p.limit)}
			answer, err := app.Ask(ctx, d, d.History.ListRejects, request)
			return answer.GetRejects(), answer.GetNextAfterSeq(), err
		},
		row: func(w io.Writer, r *pb.Reject) {
			note := fmt.Sprintf("%s: %q", r.GetDetail(), r.GetRaw())
			show.RenderRow(w, r.GetSeq(), show.TimeText(r.GetTime()), r.GetGaugeId(), r.GetReason(), note)
		},
	}.command(a)
}
