package station

import (
	"bytes"
	"context"
	"fmt"
	"time"

	"gauged/internal/gauge"
)

// sentBefore looks at readings whose numbers are not above the highest of their
// sender. The same reading again is passed over; what was refused is refused
// again, for the first answer may have been lost. Any other reading is kept as a
// rejected frame, and named: a sender whose numbers begin anew would otherwise
// believe that it was stored.
func (s *Station) sentBefore(ctx context.Context, source string, through uint64, readings []Ingested) ([]Refused, error) {
	numbers := make([]uint64, len(readings))
	for i, r := range readings {
		numbers[i] = r.SourceSeq
	}
	stored, err := s.o.Store.SentAs(ctx, source, numbers)
	if err != nil {
		return nil, fmt.Errorf("sender %s: %w", source, err)
	}
	var refused []Refused
	var others []gauge.Reject
	for _, in := range readings {
		f, known := stored[in.SourceSeq]
		switch {
		case known && in.is(f) && f.Reject != nil && s.refusedAs(in, f.Reject):
			refused = append(refused, Refused{in.SourceSeq, f.Reject.Detail})
		case known && in.is(f) && f.Reading != nil:
		case !known && s.refusedAnyway(in, &refused): // it may not have been kept
		default:
			detail := in.renumber(source, through, f)
			refused = append(refused, Refused{in.SourceSeq, detail})
			// Its number stands for another fact, so it is kept without one.
			others = append(others, gauge.Reject{Gauge: in.Gauge, Time: in.Time, Reason: gauge.ReasonSenderNumber, Detail: detail, Raw: in.frame()})
		}
	}
	if len(others) == 0 {
		return refused, nil
	}
	return refused, s.do(ctx, func(d *draft) error {
		for _, r := range others {
			if r.Time.IsZero() {
				r.Time = d.s.o.Now()
			}
			d.refuse(r)
		}
		return nil
	})
}

// refusedAnyway refuses again what is no reading of a gauge.
func (s *Station) refusedAnyway(in Ingested, refused *[]Refused) bool {
	_, reason, detail := s.judge(in)
	if reason != "" {
		*refused = append(*refused, Refused{in.SourceSeq, detail})
	}
	return reason != ""
}

// refusedAs reports whether what is sent again would be refused for the same reason; a
// reading that was corrected is another one, under a number that is taken.
func (s *Station) refusedAs(in Ingested, r *gauge.Reject) bool {
	_, reason, detail := s.judge(in)
	_, asText := r.Detail.AsWritten() // stored before there were messages
	return reason == r.Reason && (asText || detail.Equal(r.Detail))
}

// is reports whether what is sent was stored as f. A reading without a time got
// that of its arrival, which says nothing.
func (in Ingested) is(f gauge.Fact) bool {
	sameTime := func(t time.Time) bool { return in.Time.IsZero() || in.Time.Equal(t) }
	switch {
	case f.Reading != nil:
		r := f.Reading
		return r.Gauge == in.Gauge && r.Shown == in.Shown && r.Unit == in.Unit && r.Status == in.Status && bytes.Equal(r.Raw, in.Raw) && sameTime(r.Time)
	case f.Reject != nil:
		r := f.Reject
		return r.Gauge == in.Gauge && bytes.Equal(r.Raw, in.frame()) && sameTime(r.Time)
	}
	return false
}

// renumber says why a reading under a number that is taken, or passed, was not
// stored, and what its sender has to do.
func (in Ingested) renumber(source string, through uint64, stored gauge.Fact) gauge.Message {
	after := gauge.Count("after", through)
	entry, sender := gauge.Count("entry", in.SourceSeq), gauge.Text("source", source)
	remedy := gauge.Nested("remedy", gauge.Say("because.sent.renumber", after))
	if r := stored.Reading; r != nil {
		return gauge.Say("because.sent.taken", entry, sender, gauge.Shown("reading", r.Shown, r.Unit), gauge.Text("gauge", r.Gauge), gauge.Moment("time", r.Time), remedy)
	}
	if stored.Reject != nil {
		return gauge.Say("because.sent.refused-before", entry, sender, remedy)
	}
	return gauge.Say("because.sent.passed", entry, sender, after, remedy)
}
