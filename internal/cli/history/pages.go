package history

import (
	"context"
	"fmt"
	"io"
	"os"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// pages says which part of the history is wanted.
type pages struct {
	app.List
	gauge string
	after uint64
	head  string // file for the head
}

func (p *pages) flags(a *app.App, cmd *cobra.Command) {
	p.Flags(cmd, true)
	cmd.Flags().StringVar(&p.gauge, "gauge", "", "only this gauge")
	cmd.Flags().Uint64Var(&p.after, "after", 0, "only entries after this number of the history")
	p.headFlag(cmd)
	a.Complete(cmd, "gauge", a.Names(app.GaugeNames))
}

func (p *pages) headFlag(cmd *cobra.Command) {
	cmd.Flags().StringVar(&p.head, "head-file", "", "write the head of the history, signed by the station, to `FILE`: history verify --head FILE compares")
}

const pagesHelp = "\n\nAll pages are shown unless --page-size is given. With --output json every entry is one\nobject on one line, with csv one row."

// listing is one kind of entry, of which the history gives a page at a time.
type listing[Entry proto.Message] struct {
	use, short string
	value      string // title of the column beside the gauge
	request    func(p pages) proto.Message
	page       func(ctx context.Context, d *app.Daemon, request proto.Message) (entries []Entry, next string, head *pb.HistoryHead, err error)
	row        func(io.Writer, Entry)
}

func (l listing[Entry]) command(a *app.App) *cobra.Command {
	var p pages
	cmd := &cobra.Command{Use: l.use, Short: l.short, Long: l.short + "." + pagesHelp, Args: app.Arguments(0, 0)}
	p.flags(a, cmd)
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error { return l.show(ctx, a, d, cmd, &p) })
	return cmd
}

// show writes the page that is asked for, or page after page.
func (l listing[Entry]) show(ctx context.Context, a *app.App, d *app.Daemon, cmd *cobra.Command, p *pages) error {
	request := l.request(*p)
	if err := p.Fill(request, time.Now()); err != nil {
		return err
	}
	var kind Entry
	out := a.NewEntries(kind)
	for first := true; ; first = false {
		entries, next, head, err := l.page(ctx, d, request)
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
		if next == "" || !p.Whole() {
			p.Next(a, cmd, request, next)
			return p.writeHead(head)
		}
		app.NextPage(request, next)
	}
}

// writeHead writes the head of the history where that was asked for. A page that others
// follow has none.
func (p *pages) writeHead(head *pb.HistoryHead) error {
	switch {
	case p.head == "":
		return nil
	case head == nil:
		return app.Usagef("--head-file: the list does not end with this page, and the head comes with the last one")
	}
	return os.WriteFile(p.head, []byte(head.GetLine()+"\n"), 0o600)
}

func historyReadingsCommand(a *app.App) *cobra.Command {
	return listing[*pb.Reading]{
		use: "readings", short: "Show stored readings", value: "VALUE",
		request: func(p pages) proto.Message { return &pb.ListReadingsRequest{GaugeId: p.gauge, AfterSeq: p.after} },
		page:    app.HistoryPage(pb.HistoryServiceClient.ListReadings, (*pb.ListReadingsResponse).GetReadings),
		row:     show.RenderReadingRow,
	}.command(a)
}

func historyRejectsCommand(a *app.App) *cobra.Command {
	return listing[*pb.Reject]{
		use: "rejects", short: "Show rejected frames, with the reason", value: "REASON",
		request: func(p pages) proto.Message { return &pb.ListRejectsRequest{GaugeId: p.gauge, AfterSeq: p.after} },
		page:    app.HistoryPage(pb.HistoryServiceClient.ListRejects, (*pb.ListRejectsResponse).GetRejects),
		row: func(w io.Writer, r *pb.Reject) {
			note := fmt.Sprintf("%s: %q", show.Told(r.GetDetail()), r.GetRaw())
			show.RenderRow(w, r.GetSeq(), show.TimeText(r.GetTime()), r.GetGaugeId(), string(wire.FromRejectReason(r.GetReason())), note)
		},
	}.command(a)
}

func historyStatesCommand(a *app.App) *cobra.Command {
	return listing[*pb.StateChange]{
		use: "states", short: "Show changes of the gauges' states", value: "STATE",
		request: func(p pages) proto.Message { return &pb.ListStateChangesRequest{GaugeId: p.gauge, AfterSeq: p.after} },
		page:    app.HistoryPage(pb.HistoryServiceClient.ListStateChanges, (*pb.ListStateChangesResponse).GetChanges),
		row: func(w io.Writer, c *pb.StateChange) {
			show.RenderRow(w, c.GetSeq(), show.TimeText(c.GetTime()), c.GetGaugeId(), show.StateText(c.GetState()), show.Told(c.GetReason()))
		},
	}.command(a)
}

func historyStandingsCommand(a *app.App) *cobra.Command {
	request, p := &pb.ListStandingsRequest{}, &pages{}
	cmd := &cobra.Command{
		Use:   "standings",
		Short: "Show changes of the gauges' standing",
		Args:  app.Arguments(0, 0),
	}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
		var head *pb.HistoryHead // of the last page
		call := func(ctx context.Context, r *pb.ListStandingsRequest, o ...grpc.CallOption) (*pb.ListStandingsResponse, error) {
			answer, err := d.Health.ListStandings(ctx, r, o...)
			head = answer.GetHistoryHead()
			return answer, err
		}
		err := app.ShowList(ctx, a, d, cmd, &p.List, call, request, func(w io.Writer, answer *pb.ListStandingsResponse) {
			if len(answer.GetChanges()) == 0 {
				fmt.Fprintln(w, "No standing has changed: every gauge is in service.")
				return
			}
			show.Columns(w, func(tab io.Writer) {
				fmt.Fprintln(tab, "SEQ\tTIME\tGAUGE\tSTANDING\tBY\tWHY")
				for _, c := range answer.GetChanges() {
					fmt.Fprintf(tab, "%d\t%s\t%s\t%s\t%s\t%s\n", c.GetSeq(), show.TimeText(c.GetTime()), c.GetGaugeId(), show.StandingText(c.GetStanding()), show.OrDash(c.GetBy()), show.Told(c.GetReason()))
				}
			})
		})
		if err != nil {
			return err
		}
		return p.writeHead(head)
	})
	p.Flags(cmd, true)
	p.headFlag(cmd)
	cmd.Flags().StringVar(&request.GaugeId, "gauge", "", "only this gauge")
	a.Complete(cmd, "gauge", a.Names(app.GaugeNames))
	return cmd
}
