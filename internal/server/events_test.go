package server

import (
	"context"
	"fmt"
	"testing"
	"time"

	"google.golang.org/protobuf/encoding/protojson"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/exits/letter"
	"gauged/internal/gauge"
	"gauged/internal/server/message"
	"gauged/internal/station"
)

// TestEventsSayWhatHappened: the events of a state, of a
// check and of a check that was a mistake, as an exit writes them.
func TestEventsSayWhatHappened(t *testing.T) {
	r := newRig(t)
	importChecks(t, r, 1)
	checks, err := gaugedv1.NewHealthServiceClient(r.conn).ListChecks(t.Context(), &gaugedv1.ListChecksRequest{GaugeId: "micrometer"})
	if err != nil {
		t.Fatal(err)
	}
	seq := checks.GetChecks()[0].GetSeq()
	if _, err := gaugedv1.NewHealthServiceClient(r.conn).VoidCheck(t.Context(), &gaugedv1.VoidCheckRequest{GaugeId: "micrometer", CheckSeq: seq, Reason: "another gauge", By: "quality"}); err != nil {
		t.Fatal(err)
	}
	r.Report(station.Report{State: &gauge.StateChange{Gauge: "line", Time: time.Now(), State: gauge.StateFailed, Reason: gauge.Plain("unplugged")}})
	r.report("line", "1.25") // what was reported before is stored by then
	write := message.Events(r.Station, "bench-1", func(context.Context, uint64) (string, error) { return "stretch", nil })
	cursor := r.Watch(0)
	seen := map[string]bool{}
	for behind := uint64(0); behind < r.Newest(); {
		page, err := cursor.Next(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range page.Facts {
			if behind = f.Seq; letter.EventOf(f) == "" {
				continue
			}
			l, err := write(t.Context(), f)
			again, err2 := write(t.Context(), f)
			if err != nil || err2 != nil || l.ID != again.ID || string(l.Body) != string(again.Body) {
				t.Errorf("fact %d as %s and again as %s, %v, %v", f.Seq, l.ID, again.ID, err, err2)
			}
			id, body := l.ID, l.Body
			e := &gaugedv1.ExitEvent{}
			if err := protojson.Unmarshal(body, e); err != nil {
				t.Fatalf("%s: %v", body, err)
			}
			if id != fmt.Sprintf("stretch.%d", f.Seq) || e.GetEventId() != id || e.GetSeq() != f.Seq || e.GetStation() != "bench-1" || e.GetTime() == nil {
				t.Errorf("fact %d is %v", f.Seq, e)
			}
			switch e.GetKind() {
			case gaugedv1.ExitEventKind_EXIT_EVENT_KIND_GAUGE:
				seen["state"] = seen["state"] || e.GetStateChange().GetGaugeId() == "line" && e.GetStateChange().GetState() == gaugedv1.GaugeState_GAUGE_STATE_FAILED && e.GetStateChange().GetSeq() == f.Seq
			case gaugedv1.ExitEventKind_EXIT_EVENT_KIND_CHECK:
				seen["check"] = seen["check"] || e.GetGaugeId() == "micrometer" && e.GetCheck().GetSeq() == seq && e.GetCheck().GetPast().GetPlace() == "laboratory"
				seen["voided"] = seen["voided"] || e.GetGaugeId() == "micrometer" && e.GetVoidedCheckSeq() == seq && e.GetVoided().GetReason() == "another gauge" && e.GetCheck() == nil
			}
		}
	}
	for _, what := range []string{"state", "check", "voided"} {
		if !seen[what] {
			t.Errorf("no event tells of the %s", what)
		}
	}
}
