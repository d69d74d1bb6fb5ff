package station

import (
	"context"
	"fmt"
	"slices"
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
	Unfit     gauge.Reason  // why what was sent is no reading, whatever its value; empty: it may be one
	Detail    gauge.Message // the same in full
}

// Refused says why a sent reading was not accepted.
type Refused struct {
	SourceSeq uint64
	Reason    gauge.Message
}

// Resume returns the highest number of a sender that is durable, 0 when
// nothing is.
func (s *Station) Resume(ctx context.Context, source string) (uint64, error) {
	if strings.TrimSpace(source) == "" {
		return 0, gauge.WrongInput("refusal.sender.unnamed")
	}
	s.mu.RLock()
	through, ok := s.sources[source]
	s.mu.RUnlock()
	if ok {
		return through, nil
	}
	if err := s.newSender(source); err != nil {
		return 0, err
	}
	through, err := s.o.Store.SourceSeq(ctx, source)
	if err != nil {
		return 0, fmt.Errorf("sender %s: %w", source, err)
	}
	err = s.do(ctx, func(d *draft) error {
		d.sources[source] = max(through, d.sent(source))
		return nil
	})
	return through, err
}

// sent is the highest number of a sender that the batch has so far.
func (d *draft) sent(source string) uint64 {
	through, _ := soFar(d, func(d *draft) map[string]uint64 { return d.sources }, d.s.sources, source)
	return through
}

// Receipt says what became of sent readings.
type Receipt struct {
	Through uint64    // the highest number of the sender that is durable, or was refused
	Skipped uint64    // how many numbers below Through the sender left out this time
	Refused []Refused // what was not stored as a reading
}

// MostSkipped is how far the number of a reading may lie above the one before it: a sender
// that jumps further has mistaken its numbers, and would use up those that are left. One
// that takes the time for its number, in nanoseconds, may be silent for three years.
const MostSkipped = 100_000_000_000_000_000

// Ingest stores readings of a sender, which must have called Resume before.
// A number that was stored before is passed over when it stands for the same
// reading, so sending again does no harm; any other is refused by name.
func (s *Station) Ingest(ctx context.Context, source string, readings []Ingested) (Receipt, error) {
	var receipt Receipt
	var before []Ingested
	err := s.do(ctx, func(d *draft) error {
		receipt, before = Receipt{Through: d.sent(source)}, nil
		if err := jumps(receipt.Through, readings); err != nil {
			return err
		}
		for _, r := range readings {
			if r.SourceSeq <= receipt.Through {
				before = append(before, r)
				continue
			}
			if receipt.Through > 0 {
				receipt.Skipped += r.SourceSeq - receipt.Through - 1
			}
			receipt.Through = r.SourceSeq
			if reason := d.ingest(source, r); !reason.IsZero() {
				receipt.Refused = append(receipt.Refused, Refused{r.SourceSeq, reason})
			}
		}
		d.sources[source] = receipt.Through
		return nil
	})
	if err != nil || len(before) == 0 {
		return receipt, err
	}
	refused, err := s.sentBefore(ctx, source, receipt.Through, before)
	receipt.Refused = append(refused, receipt.Refused...)
	return receipt, err
}

// jumps refuses readings of which one has a number too far above the one before it.
func jumps(through uint64, readings []Ingested) error {
	for _, r := range readings {
		if through > 0 && r.SourceSeq > through && r.SourceSeq-through > MostSkipped {
			return gauge.WrongInput("refusal.sender.jump", gauge.Count("number", r.SourceSeq), gauge.Count("before", through), gauge.Count("most", MostSkipped))
		}
		through = max(through, r.SourceSeq)
	}
	return nil
}

// ingest stores one sent reading, or the reason why it is none.
func (d *draft) ingest(source string, in Ingested) (refused gauge.Message) {
	timed := !in.Time.IsZero()
	if !timed {
		in.Time = d.s.o.Now()
	}
	value, reason, detail := d.s.judge(in)
	if reason == "" {
		d.gaugeReading(gauge.Reading{
			Gauge: in.Gauge, Time: in.Time, Value: value, Shown: in.Shown, Unit: in.Unit, Status: in.Status,
			Raw: in.Raw, Source: source, SourceSeq: in.SourceSeq, EnteredBy: in.EnteredBy,
		}, timed)
		d.outsideLive(in)
		return gauge.Message{}
	}
	d.refuse(gauge.Reject{Gauge: in.Gauge, Time: in.Time, Reason: reason, Detail: detail, Raw: in.frame(), Source: source, SourceSeq: in.SourceSeq})
	return detail
}

// judge is the value of a sent reading, or why it is none.
func (s *Station) judge(in Ingested) (value gauge.Length, reason gauge.Reason, detail gauge.Message) {
	value, err := gauge.ParseLength(in.Shown, in.Unit)
	configured, ok := s.configured(in.Gauge)
	switch {
	case !ok || !configured.Outside:
		return 0, gauge.ReasonUnknown, gauge.Say("because.sent.no-gauge", gauge.Text("gauge", in.Gauge))
	case in.Unfit != "":
		return 0, in.Unfit, in.Detail
	case !in.Unit.Known():
		return 0, gauge.ReasonUnit, gauge.Say("because.sent.no-unit")
	case !slices.Contains(gauge.Sent, in.Unit.Kind()):
		return 0, gauge.ReasonUnit, gauge.Say("because.sent.kind", gauge.Text("unit", in.Unit.String()), gauge.Word("kind", in.Unit.Kind().Word()))
	case configured.Unit.Known() && in.Unit != configured.Unit:
		return 0, gauge.ReasonUnit, gauge.Say("because.sent.unit", gauge.Text("gauge", in.Gauge), gauge.Text("unit", configured.Unit.String()), gauge.Text("sent", in.Unit.String()))
	case err != nil:
		return 0, gauge.ReasonNumber, gauge.Told(err)
	}
	return value, "", gauge.Message{}
}

// feeds reports whether a gauge is fed from outside.
func (d *draft) feeds(id string) bool {
	g, ok := d.s.gauges[id]
	return ok && g.Outside
}

// refuse counts a sent reading that was not accepted, and keeps the first ones as rejected
// frames: see KeptUnknown.
func (d *draft) refuse(r gauge.Reject) {
	if d.feeds(r.Gauge) {
		of := d.s.refused[r.Gauge]
		if of == nil {
			of = &thinned{}
			d.s.refused[r.Gauge] = of
		}
		d.rejected(r, 1, of.keeps(d.s.o.Now()))
		return
	}
	d.unknown++
	if d.s.thinned.keeps(d.s.o.Now()) {
		d.add(gauge.Fact{Reject: &r})
	}
}

// frame is what is kept of a reading that was not accepted.
func (in Ingested) frame() []byte {
	if len(in.Raw) > 0 {
		return in.Raw
	}
	return []byte(in.Shown)
}
