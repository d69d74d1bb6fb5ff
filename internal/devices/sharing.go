package devices

import (
	"path/filepath"
	"strings"

	"gauged/internal/gauge"
)

// ByLine groups the gauges by the line that they are on, in the order of the
// first of each. Gauges that are fed from outside are left out.
func ByLine(gauges []Gauge) [][]Gauge {
	var lines [][]Gauge
	at := map[string]int{}
	for _, g := range gauges {
		key := g.lineKey()
		if key == "" {
			continue
		}
		if i, known := at[key]; known {
			lines[i] = append(lines[i], g)
			continue
		}
		at[key] = len(lines)
		lines = append(lines, []Gauge{g})
	}
	return lines
}

// lineKey is the same for gauges on one line; empty where a gauge has none.
func (g *Gauge) lineKey() string {
	switch {
	case g.TCP != "":
		return "tcp " + g.TCP
	case g.Keyboard != "":
		return "keyboard " + resolved(g.Keyboard)
	case g.USB != "":
		return "usb " + g.USB
	case g.Outside, g.Port == "":
		return ""
	}
	return "port " + resolved(g.Port)
}

// CheckPorts reports gauges that are on one line (the same USB serial number,
// paths that lead to the same port) and cannot share it.
func CheckPorts(gauges []Gauge) {
	for _, line := range ByLine(gauges) {
		for i := range line {
			for j := range i {
				checkShared(&line[j], &line[i])
			}
		}
	}
}

// checkShared reports why a gauge cannot share the line of one before it. What
// is asked for can be told apart by time; what comes unasked, by its channel.
func checkShared(first, g *Gauge) {
	problem := func(code string, args ...gauge.Arg) {
		g.at.Wrong(gauge.Say("station.shared", gauge.Text("gauge", g.ID), gauge.Text("other", first.ID), gauge.Text("line", g.lineKey()), gauge.Nested("why", gauge.Say(code, args...))))
	}
	polled := first.Mode == gauge.ModePoll && g.Mode == gauge.ModePoll
	switch {
	case first.Layout == nil || g.Layout == nil: // has been reported
	case !polled && !(first.Layout == g.Layout && g.Layout.ChannelInFrame()):
		problem("station.shared.one")
	case first.Mode != g.Mode:
		problem("station.shared.mode", gauge.Text("mode", string(first.Mode)))
	case first.Layout == g.Layout && first.Channel == g.Channel:
		problem("station.shared.channel", gauge.Text("channel", g.Channel))
	case first.Line != g.Line || first.RFC2217 != g.RFC2217:
		problem("station.shared.line")
	}
}

// resolved follows the links of a path; a path that does not exist yet stays as it is.
func resolved(path string) string {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		return real
	}
	return filepath.Clean(path)
}

// Renumbered reports whether the path is a number that the kernel gives out
// anew at every plug, so that another gauge may have it tomorrow.
func Renumbered(port string) bool {
	return strings.HasPrefix(port, "/dev/ttyUSB") || strings.HasPrefix(port, "/dev/ttyACM")
}
