package server

import "encoding/binary"

// Of HTTP/2, RFC 9113: the lengths of what begins a connection and a frame, the kinds of
// frames that begin, carry and end a message, and their flags.
const (
	prefaceLength = 24
	headLength    = 9

	frameData    = 0
	frameHeaders = 1
	frameReset   = 3

	flagEndStream = 0x1
	flagPadded    = 0x8
)

// frames finds the frames in one direction of a connection with HTTP/2. It keeps none of
// what it is shown.
type frames struct {
	before int // bytes that come before the first frame
	head   [headLength]byte
	filled int // bytes of head that came
	left   int // bytes of the frame that are to come after its head
	padded bool
	pad    int // of left, the bytes at the end that say nothing

	begins func(kind byte, stream uint32)
	data   func(stream uint32, part []byte)
	ends   func(kind byte, flags byte, stream uint32)
}

// show is shown what goes over the connection, in parts as they come.
func (f *frames) show(b []byte) {
	for len(b) > 0 {
		var n int
		switch {
		case f.before > 0:
			n = min(len(b), f.before)
			f.before -= n
		case f.filled < headLength:
			n = copy(f.head[f.filled:], b)
			if f.filled += n; f.filled == headLength {
				f.begin()
			}
		default:
			n = f.payload(b)
		}
		b = b[n:]
	}
}

func (f *frames) kind() byte     { return f.head[3] }
func (f *frames) flags() byte    { return f.head[4] }
func (f *frames) stream() uint32 { return binary.BigEndian.Uint32(f.head[5:]) &^ (1 << 31) }

func (f *frames) begin() {
	f.left = int(binary.BigEndian.Uint32(f.head[:4]) >> 8)
	f.padded, f.pad = f.kind() == frameData && f.flags()&flagPadded != 0, 0
	f.begins(f.kind(), f.stream())
	f.end()
}

// payload takes what b has of the payload of a frame, and returns how much that is.
func (f *frames) payload(b []byte) int {
	n := min(len(b), f.left)
	part := b[:n]
	f.left -= n
	if f.padded {
		f.padded, f.pad, part = false, int(part[0]), part[1:]
	}
	if f.kind() == frameData {
		f.data(f.stream(), part[:max(0, len(part)-max(0, f.pad-f.left))])
	}
	f.end()
	return n
}

// end ends a frame of which nothing more is to come.
func (f *frames) end() {
	if f.left == 0 {
		f.filled = 0
		f.ends(f.kind(), f.flags(), f.stream())
	}
}

// halfMessage is how far the message that comes on a stream has come.
type halfMessage struct {
	head  [5]byte // as gRPC begins each message: whether it is compressed, and its length
	got   int     // bytes of it, its head with them
	holds int     // what is counted of it
}

// take takes up to all of part as the message's and returns the rest; whole reports
// that nothing more of it is to come.
func (m *halfMessage) take(part []byte) (rest []byte, whole bool) {
	n := 0
	if m.got < len(m.head) {
		n = copy(m.head[m.got:], part)
		m.got += n
	}
	if m.got < len(m.head) {
		return nil, false
	}
	length := len(m.head) + int(binary.BigEndian.Uint32(m.head[1:]))
	more := min(len(part)-n, length-m.got)
	m.got += more
	return part[n+more:], m.got == length
}
