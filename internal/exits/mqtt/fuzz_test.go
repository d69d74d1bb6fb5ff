package mqtt

import (
	"bytes"
	"io"
	"testing"

	"github.com/eclipse/paho.golang/packets"
)

// FuzzAnswers: whatever a broker sends, in whatever pieces, is passed or refused in the same
// way, and the library that reads what was passed does not panic.
func FuzzAnswers(f *testing.F) {
	f.Add([]byte{0x40, 2, 0, 1}, 1)
	f.Add([]byte{0x20, 3, 0, 0, 0, 0xd0, 0}, 3)
	f.Add([]byte{0x20, 6, 0, 0, 3, 0x21, 0, 5}, 2)
	f.Add([]byte{0x30, 9, 0, 1, 'x', 2, 0x01, 1, 'h', 'i', '!'}, 4)
	f.Add([]byte{0xe0, 2, 0x8e, 0}, 9)
	f.Add([]byte{0x30, 0xff, 0xff, 0xff, 0x7f}, 2)
	f.Add([]byte{0x30, 0x80, 0x80, 0x80, 0x80, 0x6d, 0x80, 0x30}, 1)
	f.Fuzz(func(t *testing.T, sent []byte, step int) {
		whole := incoming{}
		fine := whole.passes(sent)
		pieces, same := incoming{}, true
		for rest := sent; len(rest) > 0 && same; {
			n := min(max(step, 1), len(rest))
			same = pieces.passes(rest[:n])
			rest = rest[n:]
		}
		if same != fine || fine && pieces != whole {
			t.Errorf("% x is passed %v at once and %v in pieces of %d", sent, fine, same, step)
		}
		if !fine {
			return
		}
		for r := bytes.NewReader(sent); r.Len() > 0; {
			if _, err := packets.ReadPacket(r); err != nil {
				_, _ = io.Copy(io.Discard, r)
			}
		}
	})
}
