package bench

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strconv"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/cli/show"
	"gauged/internal/devices"
	"gauged/internal/gauge"
	"gauged/internal/table"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

func decodeCommand(a *app.App) *cobra.Command {
	var layout, unit string
	cmd := &cobra.Command{
		Use:   "decode --layout LAYOUT < BYTES",
		Short: "Decode a gauge's bytes with a layout",
		Long: "Decode bytes from the standard input with a layout. Each value is shown with its\n" +
			"frame, and each rejected stretch with the reason. The input must begin between two\n" +
			"frames.\n" +
			"\n" +
			"The exit code is 4 when something was rejected. With --output json every value or\n" +
			"rejection is one object on one line.",
		Example: "  gaugectl decode --layout signed-line --unit mm < bytes.bin",
		Args:    app.Arguments(0, 0),
	}
	cmd.Flags().StringVar(&layout, "layout", "", "a shipped layout by its name, or a layout file")
	cmd.Flags().StringVar(&unit, "unit", "", "unit of the values, such as mm, in or um; needed when the frames have none")
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		a.Running = true
		return decodeInput(a, cmd.Context(), layout, unit)
	}
	a.Complete(cmd, "unit", app.Fixed(gauge.Symbols(gauge.Sent...)...))
	return cmd
}

func decodeInput(a *app.App, ctx context.Context, layoutName, unitSymbol string) error {
	if layoutName == "" {
		return app.Usagef("say how the gauge writes: --layout NAME or --layout FILE")
	}
	layout, err := findLayout(layoutName)
	if err != nil {
		return err
	}
	var unit gauge.Unit
	if unitSymbol != "" {
		if unit, err = gauge.ParseUnit(unitSymbol, gauge.Sent...); err != nil {
			return app.Usagef("--unit: %w", err)
		}
	}
	d := &decoding{app: a}
	if err := devices.DecodeAll(layout, unit, interruptible(ctx, a.Stdin), d.outcome); err != nil {
		return app.EndOfWatch(ctx, err)
	}
	return errors.Join(d.failed, d.result())
}

// decoding shows and counts what comes out of a layout.
type decoding struct {
	app              *app.App
	values, rejected int
	failed           error // to write
}

func (d *decoding) outcome(o devices.Outcome) {
	write := renderOutcome
	switch d.app.Output {
	case app.OutputJSON:
		write = d.message
	case app.OutputCSV:
		write = d.record
	}
	if o.Rejection == nil {
		d.values++
	} else {
		d.rejected++
	}
	d.failed = errors.Join(d.failed, write(d.app.Stdout, o))
}

func (d *decoding) result() error {
	switch {
	case d.values+d.rejected == 0:
		return errors.New("there were no bytes on the input")
	case d.rejected > 0:
		return app.NotPassedf("%d of %s rejected", d.rejected, show.Plural(d.values+d.rejected, "frame"))
	}
	return nil
}

// renderOutcome writes a value or a rejection as one row: where it begins, the
// value or the reason, the bytes, and what else there is to say.
func renderOutcome(w io.Writer, o devices.Outcome) error {
	what, note := o.Value.Shown+" "+o.Value.Unit.String(), ""
	if o.Rejection != nil {
		what, note = "rejected", o.Rejection.Error()
	} else if o.Value.Status != gauge.StatusOK {
		note = string(o.Value.Status)
	}
	if o.Value.Channel != "" {
		what = o.Value.Channel + ": " + what
	}
	row := fmt.Sprintf("%8d  %14s  %q", o.Offset, what, o.Raw)
	if note != "" {
		row += "  " + note
	}
	_, err := fmt.Fprintln(w, row)
	return err
}

// message writes a value as a reading of the API, or a rejection as a reject of it.
func (d *decoding) message(_ io.Writer, o devices.Outcome) error {
	if o.Rejection != nil {
		return d.app.Line(&pb.Reject{Reason: wire.RejectReason(o.Rejection.Reason), Detail: wire.Message(o.Rejection.Detail), Raw: o.Raw})
	}
	value := wire.Quantity(o.Value.Length, o.Value.Shown, o.Value.Unit)
	return d.app.Line(&pb.Reading{Value: value, Status: wire.Status(o.Value.Status), Raw: o.Raw})
}

// record writes a value or a rejection as a row of CSV, the first under its names.
func (d *decoding) record(w io.Writer, o devices.Outcome) error {
	var rows [][]string
	if d.values+d.rejected == 1 {
		rows = append(rows, []string{"offset", "channel", "value", "value_unit", "status", "reason", "detail", "raw"})
	}
	row := []string{strconv.FormatInt(o.Offset, 10), o.Value.Channel, "", "", "", "", "", string(o.Raw)}
	if o.Rejection != nil {
		row[5], row[6] = string(o.Rejection.Reason), show.Says(o.Rejection.Detail)
	} else {
		row[2], row[3], row[4] = o.Value.Shown, o.Value.Unit.String(), string(o.Value.Status)
	}
	return table.Write(w, append(rows, row))
}
