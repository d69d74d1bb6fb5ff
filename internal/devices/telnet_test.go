package devices

import (
	"bytes"
	"fmt"
	"slices"
	"testing"
)

// decodeTelnet gives what a decoder makes of bytes that come in two pieces.
func decodeTelnet(in []byte, cut int) (data []byte, said []string) {
	d := telnetDecoder{
		request: func(command, option byte) { said = append(said, fmt.Sprint(command, " ", option)) },
		answer:  func(option byte, of []byte) { said = append(said, fmt.Sprint(option, " ", of)) },
	}
	d.write(in[:cut])
	d.write(in[cut:])
	return d.data, said
}

func TestTelnet(t *testing.T) {
	in := []byte("+01")
	in = append(in, telnetIAC, telnetDo, optionComPort)
	in = append(in, '2', telnetIAC, telnetIAC, '3')
	in = append(in, telnetSuboption(optionComPort, 101, 0, 0, 255, 1)...)
	in = append(in, telnetIAC, 241) // nothing, which means nothing
	in = append(in, '\r')
	for cut := range len(in) + 1 {
		data, said := decodeTelnet(in, cut)
		if string(data) != "+012\xff3\r" {
			t.Errorf("cut at %d: %q", cut, data)
		}
		if want := []string{"253 44", "44 [101 0 0 255 1]"}; !slices.Equal(said, want) {
			t.Errorf("cut at %d: %q", cut, said)
		}
	}
}

// TestTelnetBounded: a suboption that never ends does not grow.
func TestTelnetBounded(t *testing.T) {
	var d telnetDecoder
	d.write([]byte{telnetIAC, telnetSB})
	d.write(make([]byte, 1<<20))
	d.write([]byte{telnetIAC, telnetSE, 'x'})
	if len(d.suboption) > longestSuboption || string(d.data) != "x" {
		t.Errorf("%d bytes kept, data %q", len(d.suboption), d.data)
	}
}

func FuzzTelnet(f *testing.F) {
	f.Add([]byte("+012.345 mm\r\n"), []byte{101, 0, 0, 37, 128}, 3)
	f.Add([]byte{255, 250, 44, 255, 240}, []byte{255}, 1)
	f.Fuzz(func(t *testing.T, data, of []byte, cut int) {
		decodeTelnet(data, 0) // whatever comes, nothing panics
		if len(of) >= longestSuboption {
			return
		}
		in := append(telnetEscape(data), telnetSuboption(optionComPort, of...)...)
		in = append(in, telnetEscape(data)...)
		got, said := decodeTelnet(in, min(max(cut, 0), len(in)))
		if !bytes.Equal(got, slices.Concat(data, data)) {
			t.Errorf("got %q of %q", got, data)
		}
		if want := fmt.Sprint(optionComPort, " ", of); len(of) > 0 && !slices.Equal(said, []string{want}) {
			t.Errorf("got %q, want %q", said, want)
		}
	})
}
