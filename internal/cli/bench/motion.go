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
	"gauged/internal/evaluate/capture"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/table"
)

func motionCommand(a *app.App) *cobra.Command {
	var kind string
	var strokes int
	cmd := &cobra.Command{
		Use:   "motion STREAM.csv",
		Short: "Find end stops, extremes or a rest in a recorded stream",
		Long: "Find in a recorded stream of readings what a capture would take. No daemon is needed.\n" +
			"\n" +
			"The stream is a CSV file with the columns time_ms, value and unit, in the order of\n" +
			"time. Lines that begin with # are remarks.",
		Example: "  gaugectl motion rocked.csv\n  gaugectl motion turned.csv --kind turn",
		Args:    app.Arguments(1, 1),
	}
	kinds := []string{string(procedure.MovingEndStops), string(procedure.MovingTurn), string(procedure.MovingStable)}
	cmd.Flags().StringVar(&kind, "kind", kinds[0], "what to find: "+strings.Join(kinds, ", "))
	cmd.Flags().IntVar(&strokes, "strokes", 100, "number of strokes wanted")
	a.Complete(cmd, "kind", app.Fixed(kinds...))
	cmd.RunE = func(_ *cobra.Command, args []string) error {
		if !slices.Contains(kinds, kind) {
			return app.NotOneOf("--kind", kind, kinds)
		}
		a.Running = true
		s, err := readStream(args[0])
		if err != nil {
			return err
		}
		found := s.find(procedure.MovingKind(kind), strokes)
		return a.ShowValue(found, func(w io.Writer) error { found.render(w); return nil })
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
		r.Say("unit", "row.one-stream", gauge.Text("given", unit.String()), gauge.Text("first", s.unit.String()))
	}
	value := app.Length(r, "value", unit)
	if !r.OK() {
		return
	}
	_, decimals, _ := strings.Cut(r.Number("value"), ".")
	s.unit, s.decimals = unit, max(s.decimals, len(decimals))
	s.readings = append(s.readings, capture.Reading{Seq: uint64(len(s.readings) + 1), Time: time.Duration(ms) * time.Millisecond, Value: value})
}
