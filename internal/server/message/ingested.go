package message

import (
	"bytes"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"gauged/internal/gauge"
	"gauged/internal/station"
	"gauged/internal/wire"

	gaugedv1 "gauged/api/gauged/v1"
)

// latest is the end of what nanoseconds since 1970 can hold in 64 bits.
var latest = time.Unix(0, math.MaxInt64)

// HighestSent is the highest number that a sender may give a reading. It leaves
// room, so that no number is the last one there can be.
const HighestSent = 1 << 62

// FromIngested reads a reading that is sent in. Its error says that the number is none
// by which a sender can be answered; all else that is wrong is the station's to refuse
// by that number.
func FromIngested(m *gaugedv1.IngestedReading) (station.Ingested, error) {
	r := station.Ingested{
		SourceSeq: m.GetSourceSeq(), Gauge: trimmed(m.GetGaugeId()), Shown: m.GetShown(), Unit: wire.FromUnit(m.GetUnit()),
		Raw: m.GetRaw(), EnteredBy: trimmed(m.GetBy()),
	}
	if r.SourceSeq == 0 || r.SourceSeq > HighestSent {
		return r, gauge.WrongInput("refusal.sender.number", gauge.Text("number", strconv.FormatUint(r.SourceSeq, 10)), gauge.Count("most", uint64(HighestSent)))
	}
	if m.GetTime() != nil {
		if r.Time = m.GetTime().AsTime(); m.GetTime().CheckValid() != nil || r.Time.Unix() < 0 || r.Time.After(latest) {
			r.Time, r.Unfit = time.Time{}, gauge.ReasonTime
			r.Detail = gauge.Say("because.sent.time", gauge.Count("entry", r.SourceSeq))
		}
	}
	var ok bool
	if r.Status, ok = wire.FromStatus(m.GetStatus()); !ok {
		r.Unfit, r.Detail = gauge.ReasonLayout, gauge.Say("because.sent.status", gauge.Count("status", int32(m.GetStatus())), gauge.Count("entry", r.SourceSeq))
	}
	if _, known := gaugedv1.Unit_name[int32(m.GetUnit())]; !known {
		r.Unfit, r.Detail = gauge.ReasonUnit, gauge.Say("because.sent.unknown-unit", gauge.Count("unit", int32(m.GetUnit())), gauge.Count("entry", r.SourceSeq))
	}
	if r.Status == "" {
		r.Status = gauge.StatusOK
	}
	shorten(&r)
	return r, nil
}

// The longest texts of a sent reading, in bytes. A frame of a line has 1024 at most.
const (
	longestShown = 100
	longestName  = 200
	longestRaw   = 4096
)

// shorten refuses a reading whose texts are longer than any gauge's, and keeps their
// beginnings, copied so that the rest is not held with them: what one sender sends must not
// fill the lists and the memory of all. Nor are names taken
// that have control characters in them.
func shorten(r *station.Ingested) {
	for _, part := range []struct {
		field   string
		text    *string
		longest int
	}{{"gauge_id", &r.Gauge, longestName}, {"shown", &r.Shown, longestShown}, {"by", &r.EnteredBy, longestName}} {
		if n := len(*part.text); n > part.longest {
			r.Unfit, r.Detail = gauge.ReasonTooLong, tooLong(r, part.field, n, part.longest)
			*part.text = strings.ToValidUTF8(strings.Clone((*part.text)[:part.longest]), "")
		}
		if i := slices.IndexFunc([]rune(*part.text), unicode.IsControl); i >= 0 && part.text != &r.Shown {
			r.Unfit, r.Detail = gauge.ReasonLayout, gauge.Say("because.sent.control", gauge.Text("field", part.field), gauge.Count("entry", r.SourceSeq), gauge.Count("at", i+1))
			*part.text = strings.Join(strings.FieldsFunc(*part.text, unicode.IsControl), "")
		}
	}
	if n := len(r.Raw); n > longestRaw {
		r.Unfit, r.Detail = gauge.ReasonTooLong, tooLong(r, "raw", n, longestRaw)
		r.Raw = bytes.Clone(r.Raw[:longestRaw])
	}
}

// trimmed is a text without the blanks at its ends, which are not held with it either.
func trimmed(text string) string {
	if short := strings.TrimSpace(text); len(short) < len(text) {
		return strings.Clone(short)
	}
	return text
}

func tooLong(r *station.Ingested, field string, size, most int) gauge.Message {
	return gauge.Say("because.sent.long", gauge.Text("field", field), gauge.Count("entry", r.SourceSeq), gauge.Count("size", size), gauge.Count("most", most))
}

// Ingested returns a stored reading as it is sent to another daemon, numbered
// as our history numbers it; the fact must be a reading.
func Ingested(f gauge.Fact) *gaugedv1.IngestedReading {
	r := f.Reading
	return &gaugedv1.IngestedReading{
		SourceSeq: f.Seq, GaugeId: r.Gauge, Time: wire.Time(r.Time), Shown: r.Shown, Unit: wire.Unit(r.Unit),
		Status: wire.Status(r.Status), Raw: r.Raw, By: r.EnteredBy,
	}
}
