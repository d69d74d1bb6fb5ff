package devices

import "bytes"

// Codes of Telnet (RFC 854, 856, 858) and of its option for serial lines
// (RFC 2217, section 3).
const (
	telnetSE   = 240
	telnetSB   = 250
	telnetWill = 251
	telnetWont = 252
	telnetDo   = 253
	telnetDont = 254
	telnetIAC  = 255

	optionBinary  = 0
	optionNoGA    = 3
	optionComPort = 44
)

// longestSuboption bounds what is kept of a suboption; those of RFC 2217 that
// answer a setting have at most six bytes.
const longestSuboption = 64

// telnetDecoder takes the commands out of what a Telnet peer sends. The zero
// value stands at the start of a connection.
type telnetDecoder struct {
	state     func(*telnetDecoder, byte)
	command   byte
	suboption []byte

	data    []byte                       // what is left for the reader
	request func(command, option byte)   // WILL, WONT, DO or DONT
	answer  func(option byte, of []byte) // a suboption; of is valid during the call
}

func (d *telnetDecoder) write(in []byte) {
	if d.state == nil {
		d.state = (*telnetDecoder).inData
	}
	for _, b := range in {
		d.state(d, b)
	}
}

func (d *telnetDecoder) inData(b byte) {
	if b == telnetIAC {
		d.state = (*telnetDecoder).afterIAC
		return
	}
	d.data = append(d.data, b)
}

func (d *telnetDecoder) afterIAC(b byte) {
	d.state = (*telnetDecoder).inData
	switch b {
	case telnetIAC:
		d.data = append(d.data, b)
	case telnetWill, telnetWont, telnetDo, telnetDont:
		d.command = b
		d.state = (*telnetDecoder).inRequest
	case telnetSB:
		d.suboption = d.suboption[:0]
		d.state = (*telnetDecoder).inSuboption
	}
}

func (d *telnetDecoder) inRequest(b byte) {
	d.state = (*telnetDecoder).inData
	if d.request != nil {
		d.request(d.command, b)
	}
}

func (d *telnetDecoder) inSuboption(b byte) {
	if b == telnetIAC {
		d.state = (*telnetDecoder).afterIACInSuboption
		return
	}
	if len(d.suboption) < longestSuboption {
		d.suboption = append(d.suboption, b)
	}
}

func (d *telnetDecoder) afterIACInSuboption(b byte) {
	if b == telnetIAC {
		d.state = (*telnetDecoder).inSuboption
		if len(d.suboption) < longestSuboption {
			d.suboption = append(d.suboption, b)
		}
		return
	}
	d.state = (*telnetDecoder).inData
	if b == telnetSE && len(d.suboption) > 0 && d.answer != nil {
		d.answer(d.suboption[0], d.suboption[1:])
	}
}

// telnetEscape doubles the bytes that would begin a command.
func telnetEscape(data []byte) []byte {
	return bytes.ReplaceAll(data, []byte{telnetIAC}, []byte{telnetIAC, telnetIAC})
}

// telnetSuboption is a suboption as it is sent.
func telnetSuboption(option byte, of ...byte) []byte {
	s := append([]byte{telnetIAC, telnetSB, option}, telnetEscape(of)...)
	return append(s, telnetIAC, telnetSE)
}
