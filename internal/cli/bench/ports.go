package bench

import (
	"context"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/config"
	"gauged/internal/devices"
)

func portsCommand(a *app.App) *cobra.Command {
	var file string
	cmd := &cobra.Command{
		Use:   "ports",
		Short: "Show what is plugged in, with entries for the configuration",
		Long: "Show the serial ports and USB keyboards of this machine. For each you see its names,\n" +
			"its USB serial number and physical port, who holds it, and whether you may open it.\n" +
			"For a port that no gauge of the configuration has, an entry is proposed. Nothing is\n" +
			"opened.",
		Example: "  gaugectl ports --config gauged.yaml",
		Args:    app.Arguments(0, 0),
	}
	cmd.Flags().StringVar(&file, "config", "", "the station's configuration (default: none)")
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		a.Running = true
		return portsOf(cmd.Context(), a, file)
	}
	return cmd
}

func portsOf(ctx context.Context, a *app.App, file string) error {
	var gauges []devices.Gauge
	if file != "" {
		c, err := config.Load(ctx, file, a.Getenv)
		if err != nil {
			return err
		}
		gauges = c.Gauges
		for _, sw := range c.Switches { // they are plugged in too
			gauges = append(gauges, devices.Gauge{ID: sw.ID, Keyboard: sw.Keyboard})
		}
	}
	listing, err := devices.Discover(a.Machine)
	if err != nil {
		return err
	}
	listing.Assign(a.Machine, gauges)
	shown := showPorts(listing, gauges)
	if a.Output == app.OutputCSV {
		return a.ShowValue(shown.Ports, nil)
	}
	return a.ShowValue(shown, func(w io.Writer) error { renderPorts(w, shown); return nil })
}

// shownPorts is a listing with an entry for each port that no gauge has.
type shownPorts struct {
	Ports  []shownPort           `json:"ports"`
	Hidden bool                  `json:"hidden"`
	Absent []devices.AbsentGauge `json:"absent"`
}

type shownPort struct {
	devices.Plugged
	Entry string `json:"entry"` // empty for a port that a gauge has
}

// showPorts numbers the proposed gauges, around the ids that are taken.
func showPorts(l *devices.Listing, gauges []devices.Gauge) shownPorts {
	s := shownPorts{Ports: []shownPort{}, Hidden: l.Hidden, Absent: l.Absent}
	number := 0
	for _, p := range l.Ports {
		shown := shownPort{Plugged: p}
		if len(p.Gauges) == 0 {
			var id string
			for taken := true; taken; {
				number++
				id = fmt.Sprintf("gauge-%d", number)
				taken = slices.ContainsFunc(gauges, func(g devices.Gauge) bool { return g.ID == id })
			}
			shown.Entry = proposal(id, entryLines(p)...)
		}
		s.Ports = append(s.Ports, shown)
	}
	return s
}

func entryLines(p devices.Plugged) []string {
	place := where(p.Place.Key, p.Place.Value)
	if p.Place.Renumbered {
		place += "   # the number may change each time it is plugged in"
	}
	if p.Kind == devices.PluggedKeyboard {
		return []string{
			"# " + p.Path + ", only if it is a gauge: the station takes a keyboard for itself alone",
			`layout: ...   # one whose frames end with "\r", which is Enter: docs/layouts.md`,
			place,
		}
	}
	return []string{"# gaugectl listen --port " + p.Path + " finds the layout", "layout: ...", place}
}

func renderPorts(w io.Writer, s shownPorts) {
	if len(s.Ports) == 0 {
		fmt.Fprintln(w, "There are no serial ports and no USB keyboards.")
	}
	var entries []string
	for i, p := range s.Ports {
		if i > 0 {
			fmt.Fprintln(w)
		}
		renderPort(w, p.Plugged, s.Hidden)
		if p.Entry != "" {
			entries = append(entries, p.Entry)
		}
	}
	for _, g := range s.Absent {
		fmt.Fprintf(w, "\ngauge %s is on none of them: %s\n", g.Gauge, g.Reason)
	}
	if len(entries) > 0 {
		propose(w, entries...)
	}
}

func renderPort(w io.Writer, p devices.Plugged, hidden bool) {
	fmt.Fprintln(w, p.Path)
	row := func(label, text string) { fmt.Fprintf(w, "  %-9s%s\n", label, text) }
	row("kind", map[string]string{devices.PluggedSerial: "serial port", devices.PluggedKeyboard: "keyboard"}[p.Kind])
	for _, link := range p.Links {
		row("link", link)
	}
	if p.USB != nil {
		row("USB", usbText(p.USB))
	}
	row("held by", holdersText(p.Holders, hidden))
	if len(p.Gauges) > 0 {
		row("gauge", strings.Join(p.Gauges, ", "))
	}
	if p.Refused != "" {
		row("access", p.Refused)
	} else {
		row("access", "this user may open it")
	}
}

// usbText quotes what the device says of itself: it may be anything.
func usbText(d *devices.USBDevice) string {
	serial := "no serial number"
	if d.Serial != "" {
		serial = fmt.Sprintf("serial number %q", d.Serial)
	}
	text := fmt.Sprintf("port %s, %s, ids %s:%s", d.Port, serial, d.Vendor, d.Model)
	if d.Product != "" {
		text += fmt.Sprintf(", %q", d.Product)
	}
	return text
}

func holdersText(holders []devices.Process, hidden bool) string {
	if len(holders) == 0 && hidden {
		return "no process that this user can see; root sees all"
	}
	if len(holders) == 0 {
		return "nobody"
	}
	names := make([]string, len(holders))
	for i, h := range holders {
		names[i] = h.String()
	}
	return strings.Join(names, ", ")
}
