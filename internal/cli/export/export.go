package export

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"
	"google.golang.org/protobuf/proto"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"

	pb "gauged/api/gauged/v1"
)

// flags are what is written, and where to.
type flags struct {
	app.List
	to, folder, form string
	gauge            string
	after            uint64
}

// Command is the group of commands that write files.
func Command(a *app.App) *cobra.Command {
	var all []*cobra.Command
	for _, s := range sources() {
		all = append(all, command(a, s))
	}
	cmd := a.Group("export", "Write what is stored to files for other programs", all...)
	cmd.Long = "Write what is stored to a file. The ending of its name says the form: .csv, .jsonl for the messages\n" +
		"of the contract one a line, or .parquet. The file has its name when it is whole."
	return cmd
}

func command(a *app.App, s source) *cobra.Command {
	var f flags
	cmd := &cobra.Command{Use: s.name, Short: s.short, Args: app.Arguments(0, 0), Annotations: map[string]string{app.TableOnly: "the file has a form of its own: --to FILE.csv, .jsonl or .parquet"}}
	cmd.Flags().StringVar(&f.to, "to", "", "file that is written, ending in .csv, .jsonl or .parquet; what was there is replaced")
	f.TimeFlags(cmd)
	if s.ofGauge {
		cmd.Flags().StringVar(&f.gauge, "gauge", "", "only this gauge")
		a.Complete(cmd, "gauge", a.Names(app.GaugeNames))
	}
	if s.number != nil {
		cmd.Flags().Uint64Var(&f.after, "after", 0, "only entries after this number of the history")
		cmd.Flags().StringVar(&f.folder, "folder", "", "folder that gets a file with what came since the last one there")
		cmd.Flags().StringVar(&f.form, "form", "csv", "form of the files in --folder: csv, jsonl or parquet")
		cmd.Long = s.short + ". With --folder each call adds a file with what came since the one before; its name\n" +
			"has the numbers of its first and last entry. A timer that calls it keeps the folder up to date."
	}
	cmd.RunE = a.WithDaemon(func(ctx context.Context, d *app.Daemon, _ []string) error {
		if (f.to == "") == (f.folder == "") {
			return app.Usagef("say where it goes: --to FILE%s", show.Only(s.number != nil, ", or --folder DIRECTORY"))
		}
		for _, flag := range []string{"gauge", "since", "until"} {
			if f.folder != "" && cmd.Flags().Changed(flag) {
				return app.Usagef("a folder has everything, so that no call leaves out what another asked for: leave --%s out, or write --to FILE", flag)
			}
		}
		if f.folder != "" {
			return s.toFolder(ctx, a, d, f)
		}
		form, err := formOf(f.to)
		if err != nil {
			return err
		}
		w, err := s.write(ctx, d, f, form, f.to)
		if err != nil {
			return err
		}
		if err := w.finish(f.to); err != nil {
			return err
		}
		fmt.Fprintf(a.Stderr, "gaugectl: %d %s%s are written to %s\n", w.count, s.name, show.Only(w.last > 0, fmt.Sprintf(" up to entry %d", w.last)), f.to)
		return nil
	})
	return cmd
}

// written is a file that is whole but for its name.
type written struct {
	file        *app.NewFile
	count       int
	first, last uint64          // numbers of its entries
	head        *pb.HistoryHead // nil: what is written has none
}

// finish gives it its name, and puts the signed head of the history beside it.
func (w *written) finish(path string) error {
	if w.head != nil {
		if err := app.ReplaceFile(path+".head", []byte(w.head.GetLine()+"\n")); err != nil {
			w.file.Drop()
			return err
		}
	}
	return w.file.Finish(path)
}

// write writes page after page to a file beside the one with the path.
func (s source) write(ctx context.Context, d *app.Daemon, f flags, form, path string) (*written, error) {
	request := s.request(f)
	if err := f.Times(request, time.Now()); err != nil {
		return nil, err
	}
	file, err := app.Create(filepath.Dir(path))
	if err != nil {
		return nil, err
	}
	w := &written{file: file}
	if err := s.writeTo(ctx, d, request, form, w); err != nil {
		file.Drop()
		return nil, err
	}
	return w, nil
}

func (s source) writeTo(ctx context.Context, d *app.Daemon, request proto.Message, form string, to *written) error {
	buffer := bufio.NewWriterSize(to.file, 1<<16)
	out, err := newWriter(form, buffer, s.columns)
	if err != nil {
		return err
	}
	for {
		p, err := s.page(ctx, d, request)
		if err != nil {
			return err
		}
		for _, entry := range p.entries {
			if err := out.write(entry); err != nil {
				return err
			}
			to.counted(s, entry)
		}
		to.head = p.head
		if p.next == "" {
			return errors.Join(out.end(), buffer.Flush())
		}
		app.NextPage(request, p.next)
	}
}

func (w *written) counted(s source, entry any) {
	w.count++
	if s.number == nil {
		return
	}
	w.last = s.number(entry)
	if w.first == 0 {
		w.first = w.last
	}
}
