package devices

import (
	"encoding/binary"
	"strconv"
)

// Commands by which a line is set (RFC 2217, section 3). The server answers
// each with the value that is in force, under the same number plus 100.
const (
	setBaudrate = 1
	setDataSize = 2
	setParity   = 3
	setStopSize = 4
	setControl  = 5

	ofServer = 100
)

// Values of setControl.
const (
	dtrOn  = 8
	dtrOff = 9
	rtsOn  = 11
	rtsOff = 12
)

var (
	rfc2217Parity    = map[string]byte{ParityNone: 1, ParityOdd: 2, ParityEven: 3}
	rfc2217Handshake = map[string]byte{HandshakeNone: 1, HandshakeXONXOFF: 2, HandshakeRTSCTS: 3}
)

// rfc2217Setting is one thing that a serial server is told about a line.
type rfc2217Setting struct {
	command byte
	of      []byte
	what    string
	show    string
}

// settingsOf is what a serial server must confirm of a line.
func settingsOf(line Line) []rfc2217Setting {
	return []rfc2217Setting{
		{setBaudrate, binary.BigEndian.AppendUint32(nil, uint32(line.Speed)), "speed", strconv.Itoa(line.Speed)},
		{setDataSize, []byte{byte(line.Bits)}, "data bits", strconv.Itoa(line.Bits)},
		{setParity, []byte{rfc2217Parity[line.Parity]}, "parity", line.Parity},
		{setStopSize, []byte{byte(line.Stop)}, "stop bits", strconv.Itoa(line.Stop)},
		{setControl, []byte{rfc2217Handshake[line.Handshake]}, "handshake", line.Handshake},
	}
}

// raising is what has a serial server raise DTR and RTS, or lower them. A server
// whose line has none answers in its own way or not at all, so that no answer is
// waited for; its line is as good without them.
func raising(line Line) []byte {
	dtr, rts := byte(dtrOff), byte(rtsOff)
	if line.DTR {
		dtr = dtrOn
	}
	if line.RTS {
		rts = rtsOn
	}
	commands := telnetSuboption(optionComPort, setControl, dtr)
	if line.Handshake != HandshakeRTSCTS { // which drives RTS
		commands = append(commands, telnetSuboption(optionComPort, setControl, rts)...)
	}
	return commands
}
