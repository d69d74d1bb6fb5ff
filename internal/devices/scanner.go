package devices

import (
	"bytes"
	"time"

	"gauged/internal/gauge"
)

// Outcome is what became of a stretch of bytes: a value, or a rejection.
type Outcome struct {
	Value     Value
	Rejection *Rejection // nil when Value is valid, which otherwise has at most its channel
	Raw       []byte     // the frame without its end, or the rejected bytes
	At        time.Time  // when the first of these bytes arrived
	Offset    int64      // of the first of these bytes in all that was fed
}

// Scanner finds frames in a stream of bytes and decodes them. It holds at most
// one frame and its end, and how the stream is cut into chunks does not change
// what it finds.
//
// What it finds first is taken with care, for a port may have been opened in
// the middle of a frame: until an end of frame or a quiet line has been seen,
// a frame of a layout that is not self-synchronising is rejected as half.
type Scanner struct {
	layout *Layout
	unit   units
	emit   func(Outcome)

	held     []byte // the frame so far; while skipping, only what an end may need
	arrivals []arrival
	offset   int64 // of held[0]
	fed      int64 // bytes fed so far
	inStep   bool  // an end or a quiet line came before held
	unsure   bool  // a pause may have been missed: what is held counts for nothing
	skipping bool  // the frame was too long: wait for its end
	lastEnd  [256]bool
	mostEnd  int
	most     int       // bytes that are held
	lastAt   time.Time // of FeedTimed
}

// arrival is the time at which held[from] and what follows it arrived.
type arrival struct {
	from int
	at   time.Time
}

// NewScanner returns a scanner for one stream. The unit is that of the gauge's
// definition, as in Layout.Decode; emit gets the outcomes in order and owns them.
func NewScanner(l *Layout, unit gauge.Unit, emit func(Outcome)) *Scanner {
	s := &Scanner{layout: l, unit: units{one: unit}, emit: emit}
	for _, end := range l.ends {
		s.lastEnd[end[len(end)-1]] = true
		s.mostEnd = max(s.mostEnd, len(end))
	}
	if len(l.ends) == 0 {
		s.mostEnd = 1 // one byte more than a frame has shows that it is too long
	}
	s.most = l.longest + s.mostEnd
	if l.fixed > 0 {
		s.most = l.fixed*max(1, min(longestRun, longestFrame/l.fixed)) + 1
	}
	s.held = make([]byte, 0, s.most)
	return s
}

// FeedTimed is Feed for chunks whose times show by themselves where the line was
// quiet, as those of a recording do.
func (s *Scanner) FeedTimed(chunk []byte, at time.Time) {
	if !s.lastAt.IsZero() && at.Sub(s.lastAt) >= s.layout.Pause {
		s.Quiet()
	}
	s.lastAt = at
	s.Feed(chunk, at)
}

// Feed takes the next bytes, which arrived at the given time.
func (s *Scanner) Feed(chunk []byte, at time.Time) {
	for i, b := range chunk {
		if len(s.held) == 0 {
			s.offset = s.fed
		}
		if !s.skipping && (i == 0 || len(s.held) == 0) {
			s.arrivals = append(s.arrivals, arrival{len(s.held), at})
		}
		s.fed++
		if s.skipping && len(s.held) == s.mostEnd {
			s.held = append(s.held[:0], s.held[1:]...)
		}
		s.held = append(s.held, b)
		if size := s.size(); size > 0 && len(s.held) == size {
			s.frame(s.held)
			s.restart()
			continue
		}
		if end := s.endLength(b); end > 0 {
			s.frame(s.held[:len(s.held)-end])
			s.restart()
		} else if !s.skipping && len(s.held) == s.most {
			s.tooLong()
			s.skipping = true
			s.held = s.held[:copy(s.held, s.held[len(s.held)-s.mostEnd+1:])]
			s.arrivals = s.arrivals[:0]
		}
	}
}

// Quiet says that no byte came for as long as the layout's pause, or that the
// stream is at its end: a frame that has begun was cut short.
func (s *Scanner) Quiet() {
	switch {
	case len(s.held) == 0 || s.skipping:
	case s.layout.byGap:
		s.frame(s.held)
	case s.layout.fixed > 0:
		s.run(s.held)
	default:
		s.reject(s.held, 0, &Rejection{gauge.ReasonHalfFrame, gauge.Say("rejected.stopped", gauge.Count("bytes", len(s.held)))})
	}
	s.restart()
}

// Cut says that the stream ended without a pause: the line was hung up. A frame
// that has begun was cut short, even where a pause would have ended it.
func (s *Scanner) Cut() {
	if len(s.held) > 0 && !s.skipping {
		s.reject(s.held, 0, &Rejection{gauge.ReasonHalfFrame, gauge.Say("rejected.cut-short", gauge.Count("bytes", len(s.held)))})
	}
	s.restart()
}

// Missed says that nobody listened for longer than a pause. Where pauses tell
// frames apart, one may have ended what is held: it is given up, and what follows
// counts again after the next pause.
func (s *Scanner) Missed() {
	if len(s.held) == 0 || s.layout.fixed == 0 && !s.layout.byGap {
		return
	}
	s.Cut()
	s.inStep, s.unsure = false, true
}

// size is how many bytes the frame has that has begun, 0 when it does not say so.
func (s *Scanner) size() int {
	if s.layout.modbus != nil {
		return s.layout.modbus.size(s.held)
	}
	return 0
}

// endLength returns the length of the longest end that b completes.
func (s *Scanner) endLength(b byte) int {
	longest := 0
	if s.lastEnd[b] {
		for _, end := range s.layout.ends {
			if len(end) > longest && bytes.HasSuffix(s.held, end) {
				longest = len(end)
			}
		}
	}
	return longest
}

func (s *Scanner) restart() {
	s.held, s.arrivals = s.held[:0], s.arrivals[:0]
	s.inStep, s.skipping, s.unsure = true, false, false
}

// frame decodes a line that has ended. Empty lines say nothing: they come
// where a gauge ends its frames with more than one of the layout's ends.
func (s *Scanner) frame(line []byte) {
	switch {
	case s.skipping || len(line) == 0:
		return
	case len(line) > s.layout.longest:
		s.tooLong()
		return
	case !s.inStep && (s.unsure || !s.layout.syncing):
		s.reject(line, 0, &Rejection{gauge.ReasonHalfFrame, gauge.Say("rejected.maybe-tail", quoted(line))})
		return
	}
	value, skipped, rejection := s.layout.decode(line, s.unit, s.layout.syncing && s.layout.modbus == nil)
	if skipped > 0 {
		s.reject(line[:skipped], 0, &Rejection{gauge.ReasonNoise, gauge.Say("rejected.before-frame", quoted(line[:skipped]))})
	}
	if rejection != nil && !s.inStep {
		rejection = &Rejection{gauge.ReasonHalfFrame, gauge.Say("rejected.tail", quoted(line))}
	}
	s.decoded(line[skipped:], skipped, value, rejection)
}

// decoded emits what a frame gave that begins at the given index of held.
func (s *Scanner) decoded(raw []byte, index int, value Value, rejection *Rejection) {
	if rejection != nil {
		value = Value{Channel: value.Channel}
	}
	s.emit(Outcome{
		Value: value, Rejection: rejection, Raw: bytes.Clone(raw),
		At: s.arrived(index), Offset: s.offset + int64(index),
	})
}

// arrived returns when held[index] arrived.
func (s *Scanner) arrived(index int) time.Time {
	var at time.Time
	for _, a := range s.arrivals {
		if a.from <= index {
			at = a.at
		}
	}
	return at
}

func (s *Scanner) tooLong() {
	if s.layout.fixed > 0 {
		s.reject(s.held, 0, &Rejection{gauge.ReasonTooLong, gauge.Say("rejected.no-pause", gauge.Count("bytes", len(s.held)))})
		return
	}
	s.reject(s.held, 0, &Rejection{gauge.ReasonTooLong, gauge.Say("rejected.no-end", gauge.Count("bytes", s.layout.longest))})
}

// reject emits held bytes that begin at the given index.
func (s *Scanner) reject(raw []byte, index int, r *Rejection) {
	s.decoded(raw, index, Value{}, r)
}
