package devices

import "gauged/internal/gauge"

// longestRun is how many frames of fixed length may come without a pause between
// them. Gauges leave one, but a driver or a network that was held up hands on at
// once what came meanwhile.
const longestRun = 64

// run reads what came between two pauses: one frame of fixed length, or several
// that ran together. Only the pauses say where such frames begin, so when the
// number of bytes is wrong, or one of several is no frame, all of it is rejected.
func (s *Scanner) run(held []byte) {
	size := s.layout.fixed
	switch {
	case !s.inStep:
		s.reject(held, 0, &Rejection{gauge.ReasonHalfFrame, gauge.Say("rejected.maybe-tail", quoted(held))})
		return
	case len(held) < size:
		s.reject(held, 0, &Rejection{gauge.ReasonHalfFrame, gauge.Say("rejected.stopped", gauge.Count("bytes", len(held)))})
		return
	case len(held)%size != 0:
		s.reject(held, 0, &Rejection{gauge.ReasonNoise, gauge.Say("rejected.no-whole-frames", gauge.Count("bytes", len(held)), gauge.Count("size", size))})
		return
	}
	type frame struct {
		value     Value
		rejection *Rejection
	}
	var frames []frame
	for at := 0; at < len(held); at += size {
		v, _, rejection := s.layout.decode(held[at:at+size], s.unit, false)
		if len(held) > size && rejection != nil && (rejection.Reason == gauge.ReasonLayout || rejection.Reason == gauge.ReasonNumber) {
			s.reject(held, 0, &Rejection{gauge.ReasonNoise, gauge.Say("rejected.not-all-frames", gauge.Count("bytes", len(held)), gauge.Nested("why", rejection.Detail))})
			return
		}
		frames = append(frames, frame{v, rejection})
	}
	for i, f := range frames {
		s.decoded(held[i*size:(i+1)*size], i*size, f.value, f.rejection)
	}
}
