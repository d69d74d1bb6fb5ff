package devices

import (
	"errors"
	"os"
	"time"

	"gauged/internal/gauge"
)

// rfc2217Dialer opens a line at a serial server that lets its clients set the
// line (RFC 2217).
type rfc2217Dialer struct {
	tcpDialer
	line Line
}

func (d rfc2217Dialer) Dial() (Port, error) {
	line, err := d.tcpDialer.Dial()
	if err != nil {
		return nil, err
	}
	p := &rfc2217Port{tcpPort: line.(*tcpPort), open: map[byte]bool{}, inForce: map[byte]uint32{}}
	p.telnet.request, p.telnet.answer = p.requested, p.answered
	if why, err := p.set(d.line); !why.IsZero() {
		p.Close()
		if errors.Is(err, errServerClosed) { // most serve one client at a time
			why = errServerClosed.Tell()
		}
		return nil, &OpenError{d.address, why, err}
	}
	p.telnet.data = nil // it came before the line was set
	return p, nil
}

type rfc2217Port struct {
	*tcpPort
	telnet  telnetDecoder
	replies []byte          // to requests of the server, not sent yet
	open    map[byte]bool   // options that the server wants from us: true DO, false DONT
	inForce map[byte]uint32 // settings that the server has confirmed
}

// set sets the line, and gives the reason when it cannot be set.
func (p *rfc2217Port) set(line Line) (why gauge.Message, err error) {
	end := time.Now().Add(dialWithin)
	offer := []byte{
		telnetIAC, telnetWill, optionComPort,
		telnetIAC, telnetWill, optionBinary, telnetIAC, telnetDo, optionBinary,
		telnetIAC, telnetWill, optionNoGA, telnetIAC, telnetDo, optionNoGA,
	}
	if _, err := p.tcpPort.Write(offer); err != nil {
		return gauge.Told(err), err
	}
	if err := p.receive(end, func() bool { _, said := p.open[optionComPort]; return said }); err != nil || !p.open[optionComPort] {
		return gauge.Say("because.open.not-settable"), err
	}
	for _, s := range settingsOf(line) {
		if why, err := p.demand(end, s); !why.IsZero() {
			return why, err
		}
	}
	if _, err := p.tcpPort.Write(raising(line)); err != nil {
		return gauge.Told(err), err
	}
	return gauge.Message{}, nil
}

// demand has the server set one thing, and gives the reason when it does not.
func (p *rfc2217Port) demand(end time.Time, s rfc2217Setting) (why gauge.Message, err error) {
	if _, err := p.tcpPort.Write(telnetSuboption(optionComPort, append([]byte{s.command}, s.of...)...)); err != nil {
		return gauge.Told(err), err
	}
	if err := p.receive(end, func() bool { _, said := p.inForce[s.command]; return said }); err != nil {
		return gauge.Say("because.open.unconfirmed", gauge.Text("setting", s.what), gauge.Text("value", s.show)), err
	}
	if got := p.inForce[s.command]; got != number(s.of) {
		return gauge.Say("because.open.not-set", gauge.Text("setting", s.what), gauge.Text("value", s.show), gauge.Count("answer", got)), nil
	}
	return gauge.Message{}, nil
}

// receive takes in what the server sends until done, or the end of time.
func (p *rfc2217Port) receive(end time.Time, done func() bool) error {
	for !done() {
		if time.Now().After(end) {
			return os.ErrDeadlineExceeded
		}
		if err := p.fill(make([]byte, 512)); err != nil && !errors.Is(err, os.ErrDeadlineExceeded) {
			return err
		}
	}
	return nil
}

// fill takes in what has come, and replies to what the server asked for.
func (p *rfc2217Port) fill(buf []byte) error {
	n, err := p.tcpPort.Read(buf)
	p.telnet.write(buf[:n])
	if len(p.replies) > 0 {
		replies := p.replies
		p.replies = nil
		if _, err := p.tcpPort.Write(replies); err != nil {
			return err
		}
	}
	return err
}

// requested keeps what the server wants of an option, and refuses the options
// that nobody offered.
func (p *rfc2217Port) requested(command, option byte) {
	offered := option == optionBinary || option == optionNoGA
	switch command {
	case telnetDo:
		p.open[option] = true
		if !offered && option != optionComPort {
			p.replies = append(p.replies, telnetIAC, telnetWont, option)
		}
	case telnetDont:
		p.open[option] = false
	case telnetWill:
		if !offered {
			p.replies = append(p.replies, telnetIAC, telnetDont, option)
		}
	}
}

func (p *rfc2217Port) answered(option byte, of []byte) {
	if option == optionComPort && len(of) > 1 && of[0] > ofServer {
		p.inForce[of[0]-ofServer] = number(of[1:])
	}
}

// number reads up to four bytes, the highest first.
func number(of []byte) uint32 {
	var n uint32
	for _, b := range of {
		n = n<<8 | uint32(b)
	}
	return n
}

func (p *rfc2217Port) Read(buf []byte) (int, error) {
	for len(p.telnet.data) == 0 {
		if err := p.fill(buf); err != nil {
			return 0, err
		}
	}
	n := copy(buf, p.telnet.data)
	p.telnet.data = p.telnet.data[n:]
	return n, nil
}

func (p *rfc2217Port) Write(data []byte) (int, error) {
	if _, err := p.tcpPort.Write(telnetEscape(data)); err != nil {
		return 0, err
	}
	return len(data), nil
}
