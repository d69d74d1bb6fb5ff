// Package devices turns the bytes of digital gauges into readings: layouts
// that say how a gauge writes its value, the scanner that finds frames in a
// stream of bytes, serial ports, recorded logs, and one supervisor per gauge
// that keeps its line open.
//
// A frame gives either a value or one of the reasons in gauge.Reasons; nothing
// that a layout does not match is ever delivered as a value.
//
// Goroutines: Supervisor.Run starts one reader per open port and waits for it
// before it opens the port again or returns.
package devices
