package devices

import (
	"gauged/internal/gauge"
	"gauged/internal/words"
)

// Listing is what is plugged into a machine and may be a gauge.
type Listing struct {
	Ports []Plugged `json:"ports"`
	// Hidden says that there are processes whose open files we may not see, so
	// that a port without a holder may have one.
	Hidden bool `json:"hidden"`
	// Absent are the configured gauges that have no port here; see Assign.
	Absent []AbsentGauge `json:"absent"`
}

// Kinds of what is plugged in.
const (
	PluggedSerial   = "serial"
	PluggedKeyboard = "keyboard"
)

// Plugged is a serial port, or a USB keyboard: a gauge may type as one.
type Plugged struct {
	Kind    string     `json:"kind"`    // PluggedSerial or PluggedKeyboard
	Path    string     `json:"path"`    // of the device file
	Links   []string   `json:"links"`   // names that udev gave it, which lead to it
	USB     *USBDevice `json:"usb"`     // nil for a port that is not behind USB
	Holders []Process  `json:"holders"` // who has it open, as far as we may see
	Refused string     `json:"refused"` // why we may not open it, and the remedy; or empty
	Gauges  []string   `json:"gauges"`  // ids of the configured gauges on it; see Assign
	Place   Place      `json:"place"`
}

// USBDevice is how a USB device presents itself.
type USBDevice struct {
	Serial  string `json:"serial"`  // serial number; empty when it has none
	Product string `json:"product"` // in the device's words
	Vendor  string `json:"vendor"`  // idVendor and idProduct in hex
	Model   string `json:"model"`
	Port    string `json:"port"` // physical port: bus and ports of the hubs, such as 1-2.3
}

// Place is how the configuration of a gauge names where it is plugged in, so
// that it is found again after a replug.
type Place struct {
	Key   string `json:"key"` // usb, port or keyboard
	Value string `json:"value"`
	// Renumbered says that there is no better name than a number that the
	// kernel gives out anew at every plug.
	Renumbered bool `json:"renumbered"`
}

// AbsentGauge is a configured gauge that has no port here.
type AbsentGauge struct {
	Gauge  string `json:"gauge"`
	Reason string `json:"reason"`
}

// Process is a program that runs.
type Process struct {
	PID  int    `json:"pid"`
	Name string `json:"name"`
}

// String names the process by number and program.
func (p Process) String() string { return words.In(words.English).Tell(p.message()) }

func (p Process) message() gauge.Message {
	return gauge.Say("because.open.process", gauge.Count("number", p.PID), gauge.Text("program", p.Name))
}
