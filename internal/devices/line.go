package devices

import (
	"go.bug.st/serial"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// Line is how a serial line is set.
type Line struct {
	Speed  int // baud
	Bits   int // 7 or 8
	Parity string
	Stop   int // 1 or 2
	// DTR and RTS say which lines are raised while the port is open; a line
	// that has none is left as it is.
	DTR, RTS  bool
	Handshake string
}

// The parities of a line.
const (
	ParityNone = "none"
	ParityEven = "even"
	ParityOdd  = "odd"
)

// The handshakes of a line: how each side holds up the other.
const (
	HandshakeNone    = "none"
	HandshakeRTSCTS  = "rts/cts"
	HandshakeXONXOFF = "xon/xoff"
)

// DefaultLine is how a line is set where the definition says nothing. DTR and
// RTS are raised, since many gauges and their cables are fed from them.
var DefaultLine = Line{Speed: 9600, Bits: 8, Parity: ParityNone, Stop: 1, DTR: true, RTS: true, Handshake: HandshakeNone}

func readLine(v shopfile.Value) Line {
	line := DefaultLine
	if !v.Given() {
		return line
	}
	m := v.Map()
	if speed := m.Get("speed"); speed.Given() {
		line.Speed = speed.Int(50, 4_000_000)
	}
	if bits := m.Get("bits"); bits.Given() {
		line.Bits = bits.Int(7, 8)
	}
	if parity := m.Get("parity"); parity.Given() {
		line.Parity = parity.OneOf(ParityNone, ParityEven, ParityOdd)
	}
	if stop := m.Get("stop"); stop.Given() {
		line.Stop = stop.Int(1, 2)
	}
	line.readFlow(m)
	m.Done()
	return line
}

// readFlow reads the lines beside those of the data, and the handshake.
func (l *Line) readFlow(m *shopfile.Map) {
	dtr, rts, handshake := m.Get("dtr"), m.Get("rts"), m.Get("handshake")
	if dtr.Given() {
		l.DTR = dtr.Bool()
	}
	if rts.Given() {
		l.RTS = rts.Bool()
	}
	if handshake.Given() {
		l.Handshake = handshake.OneOf(HandshakeNone, HandshakeRTSCTS, HandshakeXONXOFF)
	}
	if rts.Given() && l.Handshake == HandshakeRTSCTS {
		rts.Wrong(gauge.Say("station.rts"))
	}
}

// mode returns the settings in the library's terms; it knows no handshake.
func (l Line) mode() *serial.Mode {
	mode := &serial.Mode{BaudRate: l.Speed, DataBits: l.Bits}
	switch l.Parity {
	case ParityEven:
		mode.Parity = serial.EvenParity
	case ParityOdd:
		mode.Parity = serial.OddParity
	}
	if l.Stop == 2 {
		mode.StopBits = serial.TwoStopBits
	}
	return mode
}
