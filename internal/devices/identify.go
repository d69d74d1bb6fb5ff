package devices

import (
	"bytes"
	"context"
	"errors"
	"os"
	"slices"
	"time"

	"gauged/internal/gauge"
)

// Lines are the settings that gauges are found with, the usual ones first.
var Lines = func() []Line {
	var lines []Line
	for _, frame := range []Line{{Bits: 8, Parity: ParityNone, Stop: 1}, {Bits: 7, Parity: ParityEven, Stop: 1}, {Bits: 7, Parity: ParityEven, Stop: 2}, {Bits: 8, Parity: ParityEven, Stop: 1}, {Bits: 7, Parity: ParityOdd, Stop: 1}, {Bits: 8, Parity: ParityOdd, Stop: 1}} {
		line := DefaultLine
		line.Bits, line.Parity, line.Stop = frame.Bits, frame.Parity, frame.Stop
		for _, speed := range []int{9600, 4800, 19200, 38400, 2400, 1200, 57600, 115200} {
			line.Speed = speed
			lines = append(lines, line)
		}
	}
	return lines
}()

// Evidence is how well a layout at a setting of the line explains what a gauge
// sent.
type Evidence struct {
	Line     Line
	Layout   *Layout
	Valid    int    // frames
	Rejected int    // frames and stretches
	Bytes    int    // heard
	Channel  string // of the last valid frame, where the layout has channels
	Example  string // the last valid frame's digits, with the unit when the frame has it
}

// Share is how much of what came was valid frames, in percent.
func (e Evidence) Share() int {
	if e.Valid == 0 {
		return 0
	}
	return 100 * e.Valid / (e.Valid + e.Rejected)
}

// Heard is what came at one setting, parted where the line was quiet.
type Heard [][]byte

// quietBetween parts what came: a gauge writes a frame without a pause of this
// length at any usual speed, and pauses longer between two.
const quietBetween = 20 * time.Millisecond

// bursts joins the chunks that came closely one after another.
func bursts(chunks []chunk) (h Heard) {
	var last time.Time
	for _, c := range chunks {
		switch {
		case len(c.data) == 0:
			continue
		case len(h) > 0 && c.at.Sub(last) < quietBetween:
			h[len(h)-1] = append(h[len(h)-1], c.data...)
		default:
			h = append(h, bytes.Clone(c.data))
		}
		last = c.at
	}
	return h
}

// enough frames without a rejection end the search.
const enough = 3

// Identify listens to an unknown gauge at each setting of the line for a time,
// asking it with the request of each layout that has one, and returns what
// explains its bytes, best first. open opens the line at a setting; layouts are
// tried in their order; at is called before each setting, and came after it with
// what was heard. It ends early when a layout explains everything.
func Identify(ctx context.Context, open func(Line) (Port, error), lines []Line, layouts []*Layout, each time.Duration, at func(Line), came func(Heard)) ([]Evidence, error) {
	var all []Evidence
	for _, line := range lines {
		at(line)
		port, err := open(line)
		if err != nil {
			return nil, err
		}
		heard, err := listen(ctx, port, layouts, each)
		came(bursts(heard)) // also when somebody has seen enough
		if err != nil {
			return nil, err
		}
		found := explain(line, layouts, heard)
		all = append(all, found...)
		if slices.ContainsFunc(found, func(e Evidence) bool { return e.Valid >= enough && e.Rejected == 0 }) {
			break
		}
	}
	slices.SortStableFunc(all, func(a, b Evidence) int {
		if d := b.Share() - a.Share(); d != 0 {
			return d
		}
		return b.Valid - a.Valid
	})
	return all, nil
}

// listen returns what a gauge sends within a time, between two chunks without
// bytes that say when it began and ended; it is asked in turn with the requests of
// the layouts.
func listen(parent context.Context, port Port, layouts []*Layout, each time.Duration) ([]chunk, error) {
	ctx, cancel := context.WithTimeout(parent, each)
	defer cancel()
	defer closeWith(ctx, port)()
	var requests [][]byte
	for _, l := range layouts {
		if request := l.RequestTo(""); len(request) > 0 {
			requests = append(requests, request)
		}
	}
	heard := []chunk{{at: time.Now()}}
	buf := make([]byte, 4096)
	for asked, total := 0, 0; total < longestFrame*enough; {
		n, err := port.Read(buf)
		if n > 0 {
			heard = append(heard, chunk{data: bytes.Clone(buf[:n]), at: time.Now()})
			total += n
		}
		switch {
		case ctx.Err() != nil:
			return append(heard, chunk{at: time.Now()}), parent.Err()
		case errors.Is(err, os.ErrDeadlineExceeded) && len(requests) > 0:
			if _, err := port.Write(requests[asked%len(requests)]); err != nil {
				return heard, err
			}
			asked++
		case err != nil && !errors.Is(err, os.ErrDeadlineExceeded):
			return heard, err
		}
	}
	return append(heard, chunk{at: time.Now()}), nil
}

// explain decodes the bytes with each layout, which is told where the line was
// quiet for as long as its pause. A layout that leaves the unit to
// the gauge's definition is tried in millimetres, which changes no frame's
// validity at the digits that gauges show.
func explain(line Line, layouts []*Layout, heard []chunk) []Evidence {
	total := 0
	for _, c := range heard {
		total += len(c.data)
	}
	var found []Evidence
	for _, l := range layouts {
		e := Evidence{Line: line, Layout: l, Bytes: total}
		unit := gauge.UnitUnknown
		if !l.UnitInFrame() && !l.Unit.Known() {
			unit = gauge.Millimetre
		}
		s := NewScanner(l, unit, func(o Outcome) {
			if o.Rejection != nil {
				e.Rejected++
				return
			}
			e.Valid++
			e.Channel = o.Value.Channel
			if e.Example = o.Value.Shown; l.UnitInFrame() {
				e.Example += " " + o.Value.Unit.String()
			}
		})
		for _, c := range heard {
			s.FeedTimed(c.data, c.at)
		}
		if e.Valid > 0 {
			found = append(found, e)
		}
	}
	return found
}
