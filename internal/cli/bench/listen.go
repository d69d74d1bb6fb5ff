package bench

import (
	"context"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
	"gauged/internal/devices"
)

func listenCommand(a *app.App) *cobra.Command {
	var at lineFlags
	var extra []string
	var each time.Duration
	cmd := &cobra.Command{
		Use:         "listen --port PORT",
		Annotations: app.Talks,
		Short:       "Listen to an unknown gauge and find its layout",
		Long: "Listen to an unknown gauge at every usual setting of the line, and try each shipped\n" +
			"layout on what comes. A gauge that must be asked is asked.\n" +
			"\n" +
			"Move the gauge, or press its button, while it listens. What came is shown for each\n" +
			"setting, as text and as hex. The best explanation comes first, with an entry for the\n" +
			"station's configuration. It ends early when a layout explains everything.",
		Example: "  gaugectl listen --port /dev/ttyUSB0 --layouts my-layout.yaml",
		Args:    app.Arguments(0, 0),
	}
	addLine(a, cmd, &at, false)
	cmd.Flags().StringArrayVar(&extra, "layouts", nil, "another layout file; may be repeated")
	cmd.Flags().DurationVar(&each, "each", 3*time.Second, "how long to listen at each setting")
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		g, err := at.gauge()
		if err != nil {
			return err
		}
		layouts, err := everyLayout(extra)
		if err != nil {
			return err
		}
		a.Running = true
		return listen(a, cmd.Context(), &at, g, layouts, each)
	}
	return cmd
}

// everyLayout returns the named layout files, then the shipped layouts.
func everyLayout(files []string) ([]*devices.Layout, error) {
	var layouts []*devices.Layout
	for _, name := range files {
		l, err := findLayout(name)
		if err != nil {
			return nil, err
		}
		layouts = append(layouts, l)
	}
	shipped, err := devices.ShippedLayouts()
	if err != nil {
		return nil, err
	}
	for _, name := range slices.Sorted(maps.Keys(shipped)) {
		l, _ := shipped.Find(name)
		layouts = append(layouts, l)
	}
	return layouts, nil
}

func listen(a *app.App, ctx context.Context, at *lineFlags, g devices.Gauge, layouts []*devices.Layout, each time.Duration) error {
	lines := devices.Lines
	if g.TCP != "" {
		lines = lines[:1] // the serial server sets the line
	}
	open := func(line devices.Line) (devices.Port, error) {
		g.Line = line
		return devices.NewDialer(nil, g).Dial()
	}
	told := func(line devices.Line) { fmt.Fprintf(a.Stderr, "listening at %s\n", lineText(line)) }
	came := func(h devices.Heard) { renderHeard(a.Stderr, h) }
	found, err := devices.Identify(ctx, open, lines, layouts, each, told, came)
	if err != nil {
		return app.EndOfWatch(ctx, err)
	}
	if len(found) == 0 {
		return fmt.Errorf("no shipped layout matches what the gauge sends, if it sends anything: move it or press its button while listening, or describe its frames in a layout of your own (docs/layouts.md)")
	}
	renderEvidence(a.Stdout, found)
	best := found[0]
	entry := []string{"layout: " + best.Layout.Name, at.where()}
	if g.TCP == "" && best.Line != devices.DefaultLine {
		entry = append(entry, fmt.Sprintf("line: {speed: %d, bits: %d, parity: %s, stop: %d}", best.Line.Speed, best.Line.Bits, best.Line.Parity, best.Line.Stop))
	}
	if best.Layout.Channels() {
		fmt.Fprintf(a.Stdout, "      channel: %q   # one gauge for each channel of the box, all with the same port\n", best.Channel)
	}
	if !best.Layout.UnitInFrame() && !best.Layout.Unit.Known() {
		entry = append(entry, "unit: ...   # mm or in: the frames do not carry it; look at the gauge's display")
	}
	propose(a.Stdout, proposal("gauge-1", entry...))
	return nil
}

// What is shown of one setting at most.
const (
	bytesInRow = 16
	mostRows   = 12
)

// renderHeard shows bytes as text and as hex: whoever describes the frames of a
// gauge has to see them.
func renderHeard(w io.Writer, h devices.Heard) {
	total, rows := 0, 0
	for _, burst := range h {
		total += len(burst)
	}
	if total == 0 {
		fmt.Fprintln(w, "  nothing was received")
		return
	}
	fmt.Fprintf(w, "  %s received, one line for each burst:\n", show.Plural(total, "byte"))
	for _, burst := range h {
		for row := range slices.Chunk(burst, bytesInRow) {
			if rows++; rows > mostRows {
				continue
			}
			fmt.Fprintf(w, "    %-*s  % X\n", 2*bytesInRow, strconv.QuoteToASCII(string(latin(row))), row)
		}
	}
	if rows > mostRows {
		fmt.Fprintf(w, "    and %s more\n", show.Plural(rows-mostRows, "line"))
	}
}

// latin takes each byte for a character, so that none is lost in the text.
func latin(b []byte) []rune {
	runes := make([]rune, len(b))
	for i, c := range b {
		runes[i] = rune(c)
	}
	return runes
}

func lineText(l devices.Line) string {
	return fmt.Sprintf("%d baud, %d%c%d", l.Speed, l.Bits, l.Parity[0]-'a'+'A', l.Stop)
}

func renderEvidence(w io.Writer, found []devices.Evidence) {
	show.Columns(w, func(tab io.Writer) {
		fmt.Fprintln(tab, "LAYOUT\tLINE\tVALID\tREJECTED\tLAST VALUE")
		for _, e := range found {
			fmt.Fprintf(tab, "%s\t%s\t%d\t%d\t%s\n", e.Layout.Name, lineText(e.Line), e.Valid, e.Rejected, e.Example)
		}
	})
}
