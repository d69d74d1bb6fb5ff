package devices

import (
	"net"
	"slices"
	"testing"
	"time"
)

// comPortServer answers what it is told about its line with answer, and hands
// on what it was told.
func comPortServer(t *testing.T, answer func(of []byte) []byte) (address string, told chan []byte) {
	t.Helper()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	told = make(chan []byte, 16)
	ended := make(chan struct{})
	t.Cleanup(func() { listener.Close(); <-ended })
	go func() {
		defer close(ended)
		conn, err := listener.Accept()
		if err != nil {
			return
		}
		defer conn.Close()
		_, _ = conn.Write([]byte{telnetIAC, telnetDo, optionComPort})
		d := telnetDecoder{answer: func(_ byte, of []byte) {
			told <- slices.Clone(of)
			if says := answer(of); says != nil {
				_, _ = conn.Write(telnetSuboption(optionComPort, says...))
			}
		}}
		buf := make([]byte, 512)
		for {
			n, err := conn.Read(buf)
			d.write(buf[:n])
			if err != nil {
				return
			}
		}
	}()
	return listener.Addr().String(), told
}

// obeys confirms everything; it hides its DTR and RTS as a line without them does.
func obeys(of []byte) []byte {
	if of[0] == setControl && of[1] > 3 {
		return nil
	}
	return append([]byte{of[0] + ofServer}, of[1:]...)
}

func TestServerIsToldTheLine(t *testing.T) {
	cases := []struct {
		name string
		line Line
		want [][]byte
	}{
		{"default", DefaultLine, [][]byte{{1, 0, 0, 0x25, 0x80}, {2, 8}, {3, 1}, {4, 1}, {5, 1}, {5, 8}, {5, 11}}},
		{"7E2", Line{300, 7, ParityEven, 2, false, false, HandshakeXONXOFF}, [][]byte{{1, 0, 0, 1, 0x2c}, {2, 7}, {3, 3}, {4, 2}, {5, 2}, {5, 9}, {5, 12}}},
		{"rts/cts drives RTS", Line{230400, 7, ParityOdd, 1, true, true, HandshakeRTSCTS}, [][]byte{{1, 0, 3, 0x84, 0}, {2, 7}, {3, 2}, {4, 1}, {5, 3}, {5, 8}}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			address, told := comPortServer(t, obeys)
			port, err := rfc2217Dialer{tcpDialer{address, time.Second}, c.line}.Dial()
			if err != nil {
				t.Fatal(err)
			}
			var got [][]byte
			for range c.want {
				select {
				case of := <-told:
					got = append(got, of)
				case <-time.After(5 * time.Second):
				}
			}
			port.Close()
			if !slices.EqualFunc(got, c.want, slices.Equal) {
				t.Errorf("got  %v\nwant %v", got, c.want)
			}
		})
	}
}

func TestServerRefusesTheHandshake(t *testing.T) {
	address, _ := comPortServer(t, func(of []byte) []byte {
		if of[0] == setControl {
			return []byte{setControl + ofServer, 1}
		}
		return obeys(of)
	})
	line := DefaultLine
	line.Handshake = HandshakeRTSCTS
	_, err := rfc2217Dialer{tcpDialer{address, time.Second}, line}.Dial()
	want := "cannot open " + address + ": the serial server cannot set the handshake to rts/cts: its answer is 1"
	if err == nil || err.Error() != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
}
