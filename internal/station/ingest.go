package station

import (
	"context"
	"fmt"
	"strings"
	"time"

	"gauged/internal/gauge"
)

// Ingested is a reading that another daemon or a program sends.
type Ingested struct {
	SourceSeq uint64
	Gauge     string
	Time      time.Time // zero: now
	Shown     string
	Unit      gauge.Unit
	Status    gauge.Status
	Raw       []byte
	EnteredBy string
}

// Refused says why a sent reading was not accepted.
type Refused struct {
	SourceSeq uint64
	Reason    string
}

// Resume returns the highest number of a sender that is durable, 0 when
// nothing is.
func (s *Station) Resume(ctx context.Context, source string) (uint64, error) {
	if strings.TrimSpace(source) == "" {
		return 0, fmt.Errorf("%w: the sender has no name", ErrInput)
	}
	s.mu.RLock()
	through, ok := s.sources[source]
	s.mu.RUnlock()
	if ok {
		return through, nil
	}
	through, err := s.o.Store.SourceSeq(ctx, source)
	if err != nil {
		return 0, fmt.Errorf("sender %s: %w", source, err)
	}
	err = s.do(ctx, func(d *draft) error {
		d.sources[source] = max(through, d.s.sources[source], d.sources[source])
		return nil
	})
	return through, err
}

// Ingest stores readings of a sender, which must have called Resume before,
// and returns the highest number that is durable. Numbers up to that are
// passed over, so sending again does no harm.
func (s *Station) Ingest(ctx context.Context, source string, readings []Ingested) (through uint64, refused []Refused, err error) {
	err = s.do(ctx, func(d *draft) error {
		refused = nil
		through = max(d.s.sources[source], d.sources[source])
		for _, r := range readings {
			if r.SourceSeq <= through {
				continue
			}
			through = r.SourceSeq
			if reason := d.ingest(source, r); reason != "" {
				refused = append(refused, Refused{r.SourceSeq, reason})
			}
		}
		d.sources[source] = through
		return nil
	})
	return through, refused, err
}

// ingest stores one sent reading, or the reason why it is none.
func (d *draft) ingest(source string, in Ingested) (refused string) {
	if in.Time.IsZero() {
		in.Time = d.s.o.Now()
	}
	reason, detail := gauge.Reason(""), ""
	value, err := gauge.ParseLength(in.Shown, in.Unit)
	configured, ok := d.s.gauges[in.Gauge]
	switch {
	case !ok || !configured.Outside:
		reason, detail = gauge.ReasonUnknown, fmt.Sprintf("this station has no gauge %q that is fed from outside", in.Gauge)
	case !in.Unit.Known():
		reason, detail = gauge.ReasonUnit, "the reading has no unit; say mm, in or um"
	case in.Unit.Kind() != gauge.KindLength:
		reason, detail = gauge.ReasonUnit, fmt.Sprintf("%v is a unit of %v; a gauge sends lengths in mm, in or um", in.Unit, in.Unit.Kind())
	case err != nil:
		reason, detail = gauge.ReasonNumber, err.Error()
	}
	if reason == "" {
		d.gaugeReading(gauge.Reading{
			Gauge: in.Gauge, Time: in.Time, Value: value, Shown: in.Shown, Unit: in.Unit, Status: in.Status,
			Raw: in.Raw, Source: source, SourceSeq: in.SourceSeq, EnteredBy: in.EnteredBy,
		})
		d.outsideLive(in)
		return ""
	}
	raw := in.Raw
	if len(raw) == 0 {
		raw = []byte(in.Shown)
	}
	reject := gauge.Reject{Gauge: in.Gauge, Time: in.Time, Reason: reason, Detail: detail, Raw: raw, Source: source, SourceSeq: in.SourceSeq}
	if reason == gauge.ReasonUnknown {
		d.unknown++
		d.add(gauge.Fact{Reject: &reject})
	} else {
		d.reject(reject, 1)
	}
	return detail
}
