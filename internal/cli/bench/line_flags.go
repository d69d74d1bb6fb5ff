package bench

import (
	"slices"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/devices"
)

// lineFlags say where a gauge is and how its line is set.
type lineFlags struct {
	port, usb, tcp string
	line           devices.Line
}

// addLine adds the flags to a command; settings adds those of the line too.
func addLine(a *app.App, cmd *cobra.Command, f *lineFlags, settings bool) {
	flags := cmd.Flags()
	flags.StringVar(&f.port, "port", "", "path of the serial port; gaugectl ports shows them")
	a.Complete(cmd, "port", serialPorts(a))
	flags.StringVar(&f.usb, "usb", "", "USB serial number of the adapter")
	flags.StringVar(&f.tcp, "tcp", "", "host:port of a serial server")
	f.line = devices.DefaultLine
	if !settings {
		return
	}
	flags.IntVar(&f.line.Speed, "speed", f.line.Speed, "baud")
	flags.IntVar(&f.line.Bits, "bits", f.line.Bits, "data bits: 7 or 8")
	flags.StringVar(&f.line.Parity, "parity", f.line.Parity, "none, even or odd")
	flags.IntVar(&f.line.Stop, "stop", f.line.Stop, "stop bits: 1 or 2")
	flags.BoolVar(&f.line.DTR, "dtr", f.line.DTR, "raise DTR; --dtr=false lowers it")
	flags.BoolVar(&f.line.RTS, "rts", f.line.RTS, "raise RTS; --rts=false lowers it")
	flags.StringVar(&f.line.Handshake, "handshake", f.line.Handshake, "none, rts/cts or xon/xoff")
}

var (
	parities   = []string{devices.ParityNone, devices.ParityEven, devices.ParityOdd}
	handshakes = []string{devices.HandshakeNone, devices.HandshakeRTSCTS, devices.HandshakeXONXOFF}
)

// gauge is the gauge at that line.
func (f *lineFlags) gauge() (devices.Gauge, error) {
	given := 0
	for _, where := range []string{f.port, f.usb, f.tcp} {
		if where != "" {
			given++
		}
	}
	if given != 1 {
		return devices.Gauge{}, app.Usagef("say where the gauge is: one of --port, --usb and --tcp")
	}
	l := f.line
	if !slices.Contains(parities, l.Parity) {
		return devices.Gauge{}, app.NotOneOf("--parity", l.Parity, parities)
	}
	if l.Speed < 50 || l.Bits < 7 || l.Bits > 8 || l.Stop < 1 || l.Stop > 2 {
		return devices.Gauge{}, app.Usagef("the line cannot be set to %d baud, %d bits, parity %s, %d stop bits", l.Speed, l.Bits, l.Parity, l.Stop)
	}
	switch {
	case !slices.Contains(handshakes, l.Handshake):
		return devices.Gauge{}, app.NotOneOf("--handshake", l.Handshake, handshakes)
	case l.Handshake == devices.HandshakeRTSCTS && !l.RTS:
		return devices.Gauge{}, app.Usagef("the handshake rts/cts drives RTS: leave --rts out, or choose another handshake")
	}
	return devices.Gauge{ID: "gauge", Port: f.port, USB: f.usb, TCP: f.tcp, Line: l}, nil
}

// where is how the configuration names the line.
func (f *lineFlags) where() string {
	switch {
	case f.usb != "":
		return where("usb", f.usb)
	case f.tcp != "":
		return where("tcp", f.tcp)
	}
	return where("port", f.port)
}

// serialPorts offers the ports of this machine, with what is plugged in there;
// a path may be typed instead.
func serialPorts(a *app.App) app.Completer {
	return func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		listing, err := devices.Discover(a.Machine)
		if err != nil {
			return nil, cobra.ShellCompDirectiveDefault
		}
		var names []string
		for _, p := range listing.Ports {
			switch {
			case p.Kind != devices.PluggedSerial:
			case p.USB != nil:
				names = append(names, p.Path+"\t"+usbText(p.USB))
			default:
				names = append(names, p.Path)
			}
		}
		return names, cobra.ShellCompDirectiveDefault
	}
}
