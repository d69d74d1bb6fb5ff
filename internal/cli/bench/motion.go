package bench

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
	"gauged/internal/evaluate"
	"gauged/internal/evaluate/capture"
	"gauged/internal/gauge"
	"gauged/internal/table"
)

func motionCommand(a *app.App) *cobra.Command {
	var kind string
	var strokes int
	cmd := &cobra.Command{
		Use:         "motion STREAM.csv",
		Annotations: app.Talks,
		Short:       "Look for end stops, extremes or a rest in a recorded stream of readings",
		Long: "Look in a recorded stream of readings for what a capture would take, without a daemon.\n\n" +
			"The stream is a CSV file with the columns time_ms, value and unit, in the order of time;\n" +
			"lines that begin with # are remarks.",
		Example: "  gaugectl motion rocked.csv\n  gaugectl motion turned.csv --kind turn",
		Args:    app.Arguments(1, 1),
	}
	kinds := []string{string(evaluate.MovingEndStops), string(evaluate.MovingTurn), string(evaluate.MovingStable)}
	cmd.Flags().StringVar(&kind, "kind", kinds[0], "what to look for: "+strings.Join(kinds, ", "))
	cmd.Flags().IntVar(&strokes, "strokes", 100, "strokes that are wanted")
	a.Complete(cmd, "kind", app.Fixed(kinds...))
	cmd.RunE = func(_ *cobra.Command, args []string) error {
		if !slices.Contains(kinds, kind) {
			return app.Usagef("--kind %q is not known: use %s", kind, strings.Join(kinds, ", "))
		}
		a.Running = true
		s, err := readStream(args[0])
		if err != nil {
			return err
		}
		s.render(a.Stdout, evaluate.MovingKind(kind), strokes)
		return nil
	}
	return cmd
}

// stream is a recorded stream of readings in one unit.
type stream struct {
	readings []capture.Reading
	unit     gauge.Unit
	decimals int
}

// readStream reads a stream from a CSV file.
func readStream(name string) (*stream, error) {
	s := &stream{}
	if err := app.ReadTable(name, table.Form{Columns: table.Needed("time_ms", "value", "unit")}, s.add); err != nil {
		return nil, err
	}
	return s, nil
}

// add takes one row.
func (s *stream) add(r *table.Row) {
	ms := table.Parse(r, "time_ms", func(text string) (uint64, error) {
		ms, err := strconv.ParseUint(text, 10, 40)
		if err != nil {
			return 0, fmt.Errorf("%q is not a time in whole milliseconds", text)
		}
		return ms, nil
	})
	unit := app.LengthUnit(r, gauge.UnitUnknown)
	if s.unit.Known() && unit.Known() && unit != s.unit {
		r.Wrongf("unit", "the unit is %s here and %s before: one stream has one unit", unit, s.unit)
	}
	value := app.Length(r, "value", unit)
	if !r.OK() {
		return
	}
	_, decimals, _ := strings.Cut(r.Number("value"), ".")
	s.unit, s.decimals = unit, max(s.decimals, len(decimals))
	s.readings = append(s.readings, capture.Reading{Seq: uint64(len(s.readings) + 1), Time: time.Duration(ms) * time.Millisecond, Value: value})
}

func (s *stream) text(l gauge.Length) string {
	return l.Text(s.unit, s.decimals) + " " + s.unit.String()
}

// render writes what a capture finds in the stream.
func (s *stream) render(w io.Writer, kind evaluate.MovingKind, strokes int) {
	resolution := s.unit.Size()
	for range s.decimals {
		resolution /= 10
	}
	c := capture.Config{Strokes: strokes}.With(resolution)
	fmt.Fprintf(w, "%s; a rest is %d readings within %s for %s.\n", show.Plural(len(s.readings), "reading"), c.Count, s.text(c.Band), c.Quiet)
	switch kind {
	case evaluate.MovingTurn:
		s.renderTurn(w, c)
	case evaluate.MovingStable:
		s.renderStable(w, c)
	default:
		s.renderStops(w, c)
	}
}

func (s *stream) renderTurn(w io.Writer, c capture.Config) {
	turn := capture.NewTurn(c)
	for _, x := range s.readings {
		turn.Step(x)
	}
	fmt.Fprintf(w, "From %s to %s: runout %s.\n", s.text(turn.Smallest.Value), s.text(turn.Largest.Value), s.text(turn.Largest.Value-turn.Smallest.Value))
	fmt.Fprintf(w, "It began at %s and ended at %s.\n", s.text(turn.First.Value), s.text(turn.Last.Value))
	if turn.Gaps() > 0 {
		fmt.Fprintf(w, "! The gauge paused %s: an extreme may have passed meanwhile.\n", show.Plural(turn.Gaps(), "time"))
	}
}

func (s *stream) renderStable(w io.Writer, c capture.Config) {
	stable := capture.NewStable(c)
	for _, x := range s.readings {
		if at, ok := stable.Step(x); ok {
			fmt.Fprintf(w, "At rest after %s: %s.\n", x.Time, s.text(at.Value))
			return
		}
	}
	fmt.Fprintln(w, "No rest was found.")
}

func (s *stream) renderStops(w io.Writer, c capture.Config) {
	stops := capture.NewEndStops(c)
	for _, x := range s.readings {
		stops.Step(x)
	}
	found := stops.Found()
	var plays []gauge.Length
	for i, stroke := range found.Strokes {
		plays = append(plays, stroke.Play())
		fmt.Fprintf(w, "  stroke %d: from %s to %s, play %s\n", i+1, s.text(stroke.From.Value), s.text(stroke.To.Value), s.text(stroke.Play()))
	}
	for _, f := range found.Faults {
		by := show.Only(f.By > 0, ", by "+s.text(f.By))
		fmt.Fprintf(w, "  ! at %s, %s: %s%s\n", f.At.Time, s.text(f.At.Value), f.Reason, by)
	}
	if len(plays) == 0 {
		fmt.Fprintln(w, "No stroke from stop to stop was found.")
		return
	}
	fmt.Fprintf(w, "End play %s, the mean of %s, which differ by %s.\n", s.text(gauge.Mean(plays...)), show.Plural(len(plays), "stroke"), s.text(slices.Max(plays)-slices.Min(plays)))
}
