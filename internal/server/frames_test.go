package server

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"testing"

	"golang.org/x/net/http2"
)

// TestFramesInAnyParts: frames are found however the connection is cut into parts: their
// kinds, streams, flags and data without padding.
func TestFramesInAnyParts(t *testing.T) {
	var sent bytes.Buffer
	want := ""
	framer := http2.NewFramer(&sent, nil)
	random := rand.New(rand.NewPCG(1, 2))
	data := map[uint32][]byte{}
	sent.WriteString(http2.ClientPreface)
	for i := range 200 {
		stream := uint32(2*random.IntN(4) + 1)
		var err error
		switch part := make([]byte, random.IntN(40)); i % 5 {
		case 0:
			err = framer.WriteHeaders(http2.HeadersFrameParam{StreamID: stream, BlockFragment: part, EndHeaders: true, PadLength: uint8(random.IntN(9))})
			want += fmt.Sprintf("1 %d\n", stream)
		case 1:
			err = framer.WritePing(false, [8]byte{})
			want += "6 0\n"
		default:
			for k := range part {
				part[k] = byte(random.Uint32())
			}
			data[stream] = append(data[stream], part...)
			err = framer.WriteDataPadded(stream, i%5 == 2, part, make([]byte, random.IntN(20)))
			want += fmt.Sprintf("0 %d\n", stream)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	for range 50 {
		got, begun, came := "", 0, map[uint32][]byte{}
		f := frames{
			before: prefaceLength,
			begins: func(byte, uint32) { begun++ },
			data:   func(stream uint32, part []byte) { came[stream] = append(came[stream], part...) },
			ends:   func(kind, _ byte, stream uint32) { got += fmt.Sprintf("%d %d\n", kind, stream) },
		}
		for rest := sent.Bytes(); len(rest) > 0; {
			n := min(len(rest), 1+random.IntN(30))
			f.show(rest[:n])
			rest = rest[n:]
		}
		if got != want || begun != 200 {
			t.Fatalf("%d began, and there are\n%s\nwant\n%s", begun, got, want)
		}
		for stream, bytesOf := range data {
			if !bytes.Equal(came[stream], bytesOf) {
				t.Fatalf("stream %d has other data", stream)
			}
		}
	}
}

// TestMessagesInAnyParts: what is counted of messages is what came of the one that is not whole.
func TestMessagesInAnyParts(t *testing.T) {
	h := newHalfSent(nil, nil)
	c := &watchedConn{of: h, peer: "p", streams: map[uint32]*halfMessage{1: {}}}
	var sent []byte
	for _, length := range []int{0, 1, 300, 7} {
		sent = append(binary.BigEndian.AppendUint32(append(sent, 0), uint32(length)), make([]byte, length)...)
	}
	for _, step := range []int{1, 2, 5, 6, 400} {
		for rest := sent; len(rest) > 0; rest = rest[min(step, len(rest)):] {
			c.came(1, rest[:min(step, len(rest))])
			if c.bytes > 305 || c.bytes != h.all {
				t.Fatalf("in parts of %d: %d, in all %d", step, c.bytes, h.all)
			}
		}
		if c.bytes != 0 || len(h.peers) != 0 {
			t.Errorf("in parts of %d: %d are left, of %d peers", step, c.bytes, len(h.peers))
		}
	}
	c.came(1, sent[:3])
	c.ended(frameReset, 0, 1)
	if c.bytes != 0 || len(c.streams) != 0 {
		t.Errorf("a call that was given up holds %d", c.bytes)
	}
}

// TestTheOneThatHasMost: where there is too much in all, the connection that has most of the
// peer that has most is ended, and no other.
func TestTheOneThatHasMost(t *testing.T) {
	h := newHalfSent(nil, nil)
	conn := func(peer string, has int) *watchedConn {
		c := &watchedConn{of: h, peer: peer}
		if ended := h.count(c, has); ended != nil {
			t.Fatalf("%s is ended", ended.peer)
		}
		return c
	}
	conn("a", 15<<20)
	conn("b", 8<<20)
	most := conn("b", 10<<20)
	little := conn("c", 14<<20)
	if ended := h.count(little, 2<<20); ended != most || h.all != 39<<20 {
		t.Errorf("%+v is ended, %d are left", ended, h.all)
	}
	if ended := h.count(little, 17<<20); ended != little {
		t.Errorf("%+v is ended, where one has too much alone", ended)
	}
}
