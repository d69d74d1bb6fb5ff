package devices

import (
	"path/filepath"
	"strings"
)

// CheckPorts reports two gauges that are on one port: the same USB serial
// number, or paths that lead to the same port.
func CheckPorts(gauges []Gauge) {
	first := map[string]Gauge{}
	for _, g := range gauges {
		key := "port " + resolved(g.Port)
		switch {
		case g.TCP != "":
			key = "tcp " + g.TCP
		case g.Keyboard != "":
			key = "keyboard " + resolved(g.Keyboard)
		case g.USB != "":
			key = "usb " + g.USB
		case g.Outside, g.Port == "":
			continue
		}
		other, taken := first[key]
		if taken {
			g.at.Problemf("gauge %q is on the same port as gauge %q (%s): a port has one gauge", g.ID, other.ID, key)
			continue
		}
		first[key] = g
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
