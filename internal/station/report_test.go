package station

import (
	"testing"

	"gauged/internal/gauge"
)

// reject reports a rejected frame of a gauge and waits until it is durable.
func (r *rig) reject(id string, reason gauge.Reason, detail string) {
	r.t.Helper()
	cursor := r.Watch(r.Newest())
	r.Report(Report{Reject: &gauge.Reject{Gauge: id, Time: r.o.Now(), Reason: reason, Detail: gauge.Plain(detail), Raw: []byte("?")}})
	for {
		page, err := cursor.Next(r.t.Context())
		if err != nil {
			r.t.Fatal(err)
		}
		for _, f := range page.Facts {
			if f.Reject != nil && f.Reject.Gauge == id {
				return
			}
		}
	}
}

// TestGarbledPressIsTold: a press of a data button that gives no reading is told
// in the job that waits for it, each time, and shown at the gauge until a reading
// comes; the bounce of a button is no press.
func TestGarbledPressIsTold(t *testing.T) {
	r := newRig(t)
	id := r.start(map[string]string{AnyMeasurement: "dial"}).ID
	want := "what dial sent is no reading (does not match the layout: it does not match): press again"
	r.reject("dial", gauge.ReasonLayout, "it does not match")
	first := r.job(id)
	if told(first.Notice) != want {
		t.Errorf("notice %q", told(first.Notice))
	}
	r.reject("dial", gauge.ReasonLayout, "it does not match")
	second := r.job(id)
	if want += "; 2 frames were rejected since its last reading: look at its cable, its battery, and its unit"; told(second.Notice) != want || second == first {
		t.Errorf("notice %q", told(second.Notice))
	}
	r.reject("dial", gauge.ReasonRepeated, "")
	if g := r.Gauges()[0]; g.Garbled.Frames != 2 || g.Garbled.Last.Reason != gauge.ReasonLayout {
		t.Errorf("garbled %+v", g.Garbled)
	}
	r.press("dial", "25.43", gauge.Millimetre)
	if g, j := r.Gauges()[0], r.job(id); g.Garbled.Frames != 0 || told(j.Notice) != "" || len(j.Taken) != 1 {
		t.Errorf("after a reading: garbled %+v, notice %q, %d taken", g.Garbled, told(j.Notice), len(j.Taken))
	}
	// A stream with a bad frame now and then is no press.
	swept := r.start(map[string]string{AnyMeasurement: "probe"}).ID
	r.reject("probe", gauge.ReasonNoise, "")
	if g, j := r.Gauges()[1], r.job(swept); g.ID != "probe" || g.Garbled.Frames != 0 || told(j.Notice) != "" {
		t.Errorf("garbled %+v, notice %q", g.Garbled, told(j.Notice))
	}
}
