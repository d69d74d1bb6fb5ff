package access

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"gauged/internal/gauge"
)

// TestRefusalsAreThin: one a minute of a subject for a reason, with how often it was, and
// 30 a minute of all, whatever the names of those who try.
func TestRefusalsAreThin(t *testing.T) {
	var r Refusals
	kept := func(at time.Time, subject string) (count int) {
		t.Helper()
		change := r.Note(subject, gauge.Forbidden("refusal.access.role"), Call("/m"), at)
		if change == nil {
			return 0
		}
		facts, err := change(Register{}, at)
		if err != nil || len(facts) != 1 || facts[0].Kind != KindRefused || facts[0].Subject != subject {
			t.Fatalf("%+v, %v", facts, err)
		}
		var data RefusedData
		if err := json.Unmarshal(facts[0].Data, &data); err != nil {
			t.Fatal(err)
		}
		if data.Door != PlaceCall || data.Why().Code != "refusal.access.role" || data.Reason != "refusal.access.role" {
			t.Fatalf("%+v", data)
		}
		return data.Count
	}
	if n := kept(noon, "press"); n != 1 {
		t.Errorf("the first counts %d", n)
	}
	for i := range 1000 {
		if n := kept(noon.Add(time.Duration(i)*time.Millisecond), "press"); n != 0 {
			t.Fatalf("try %d was kept, with %d", i, n)
		}
	}
	if n := kept(noon.Add(time.Minute), "press"); n != 1001 {
		t.Errorf("a minute later %d are told", n)
	}
	all := 0
	for i := range 5000 {
		if kept(noon.Add(2*time.Minute), fmt.Sprint(i)) > 0 {
			all++
		}
	}
	if all != refusalsAtMost || len(r.counts) > refusalsSubjects {
		t.Errorf("%d of 5000 names are kept, %d counted", all, len(r.counts))
	}
	if n := kept(noon.AddDate(-1, 0, 0), "press"); n != 1 {
		t.Errorf("after the clock was set back: %d", n)
	}
}
