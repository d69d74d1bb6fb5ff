package station

import (
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
)

func (r *rig) pass(d time.Duration) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.now = r.now.Add(d)
}

// ingest sends one reading of a gauge that is fed from outside, taken some time ago.
func (r *rig) ingest(seq uint64, id, shown string, ago time.Duration) {
	r.t.Helper()
	if _, err := r.Resume(r.t.Context(), "bench"); err != nil {
		r.t.Fatal(err)
	}
	in := Ingested{SourceSeq: seq, Gauge: id, Time: r.o.Now().Add(-ago), Shown: shown, Unit: gauge.Millimetre, Status: gauge.StatusOK}
	if receipt, err := r.Ingest(r.t.Context(), "bench", []Ingested{in}); err != nil || len(receipt.Refused) > 0 {
		r.t.Fatal(receipt.Refused, err)
	}
}

// TestStreamFromOutsideFallsSilent: what came long ago is not the present
// position of a spindle, and the gauge's state says so.
func TestStreamFromOutsideFallsSilent(t *testing.T) {
	r := newRig(t)
	id := r.start(map[string]string{AnyMeasurement: "remote"}).ID
	capture := func(want string) {
		t.Helper()
		_, _, err := r.Capture(t.Context(), CaptureRequest{Job: id})
		if got := errorText(err); got != want {
			t.Errorf("got  %s\nwant %s", got, want)
		}
	}
	capture("refused: gauge remote has not sent a reading yet")
	r.ingest(1, "remote", "25.43", 0)
	capture("")
	r.ingest(2, "remote", "25.44", time.Hour)
	capture("refused: the last reading of gauge remote is none of now: it is 60 min old by the clock of its sender, bench: look at the link and the two clocks, and measure again")
	r.ingest(3, "remote", "25.45", 5*time.Second) // the clocks differ
	capture("")
	r.pass(time.Minute)
	capture("refused: the last reading of gauge remote came 60 s ago; look at the program that sends it")
	remote := func() GaugeStatus { return r.Gauges()[3] }
	for end := time.Now().Add(10 * time.Second); remote().State != gauge.StateSilent; time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("state %s", remote().State)
		}
	}
	if want := "nothing came for 3 s: does the program that sends its readings run, and is its link up?"; told(remote().Reason) != want {
		t.Errorf("reason %q", remote().Reason)
	}
	r.ingest(4, "remote", "25.46", 0)
	if remote().State != gauge.StateLive {
		t.Errorf("state %s", remote().State)
	}
}

// TestOldPressFromOutside: a press of an hour ago, which a broken link kept back,
// was on another unit.
func TestOldPressFromOutside(t *testing.T) {
	r := newRig(t)
	id := r.start(map[string]string{AnyMeasurement: "far"}).ID
	r.ingest(1, "far", "25.43", time.Hour)
	j := r.job(id)
	if want := "the reading 25.43 mm of far was not taken: it is 60 min old by the clock of its sender, bench: look at the link and the two clocks, and measure again"; len(j.Taken) != 0 || told(j.Notice) != want {
		t.Errorf("taken %d, notice %q", len(j.Taken), told(j.Notice))
	}
	r.ingest(2, "far", "25.43", 5*time.Second)
	if j := r.job(id); len(j.Taken) != 1 {
		t.Errorf("taken %d, notice %q", len(j.Taken), told(j.Notice))
	}
}

// TestReadingFromTheFuture: a sender whose clock is ahead by more than clocks
// differ gets its readings stored, and none of them enters a job, by whatever way.
func TestReadingFromTheFuture(t *testing.T) {
	r := newRig(t)
	pressed := r.start(map[string]string{AnyMeasurement: "far"}).ID
	r.ingest(1, "far", "25.43", -31*time.Second)
	j := r.job(pressed)
	if want := "the reading 25.43 mm of far was not taken: it is dated 31 s in the future by the clock of its sender, bench: set the two clocks alike, and measure again"; len(j.Taken) != 0 || told(j.Notice) != want {
		t.Errorf("taken %d, notice %q", len(j.Taken), told(j.Notice))
	}
	r.ingest(2, "far", "25.43", -29*time.Second)
	if j := r.job(pressed); len(j.Taken) != 1 {
		t.Errorf("29 s ahead: taken %d, notice %q", len(j.Taken), told(j.Notice))
	}
	captured := r.start(map[string]string{AnyMeasurement: "remote"}).ID
	r.ingest(3, "remote", "25.43", -time.Hour)
	_, _, err := r.Capture(t.Context(), CaptureRequest{Job: captured})
	if want := "refused: the last reading of gauge remote is none of now: it is dated 60 min in the future by the clock of its sender, bench: set the two clocks alike, and measure again"; errorText(err) != want {
		t.Errorf("got  %v\nwant %s", err, want)
	}
	if got := r.Gauges()[2].Readings; got != 2 {
		t.Errorf("%d readings of far are stored, 2 were sent", got)
	}
}

// TestCheckOfAnotherTime: readings that a sender dates a year ago, or hours ahead, are of
// no check that is made now.
func TestCheckOfAnotherTime(t *testing.T) {
	r := newRig(t)
	begun := r.begins("remote")
	r.ingest(1, "remote", "0.001", 365*24*time.Hour)
	old := r.Gauges()[3].Last.Seq
	r.ingest(2, "remote", "0.001", -5*time.Hour)
	ahead := r.Gauges()[3].Last.Seq
	for seq, want := range map[uint64]string{
		old:   "older than the begin of the check by the clock of its sender, bench",
		ahead: "is dated 5 h in the future by the clock of its sender, bench",
	} {
		_, err := r.RecordCheck(t.Context(), CheckRequest{Gauge: "remote", By: "q", Begun: begun.Seq, Found: []CheckPoint{{Master: "zero", Readings: []uint64{seq}}}})
		if err == nil || !strings.Contains(said(err), want) {
			t.Errorf("got %v, want %s", err, want)
		}
	}
}

// TestClockThatStepsBack: the clock of this machine is set back by an hour in
// the middle of a job. The order of the readings stays that of their arrival.
func TestClockThatStepsBack(t *testing.T) {
	r := newRig(t)
	id := r.start(map[string]string{AnyMeasurement: "dial"}).ID
	r.press("dial", "25.43", gauge.Millimetre)
	r.pass(-time.Hour)
	r.press("dial", "25.44", gauge.Millimetre)
	j := r.job(id)
	if len(j.Taken) != 2 || j.Taken[0].Shown != "25.43" || j.Taken[1].Shown != "25.44" {
		t.Fatalf("taken %+v", j.Taken)
	}
	facts, err := r.store.Facts(t.Context(), 0, 100)
	if err != nil {
		t.Fatal(err)
	}
	var numbers []uint64
	var back bool
	var last gauge.Fact
	for _, f := range facts {
		if f.Reading == nil {
			continue
		}
		numbers = append(numbers, f.Reading.Number)
		back = back || last.Reading != nil && f.Reading.Time.Before(last.Reading.Time) && f.Seq > last.Seq
		last = f
	}
	if len(numbers) != 2 || numbers[0] != 1 || numbers[1] != 2 || !back {
		t.Errorf("numbers %v, times back: %v", numbers, back)
	}
}

func errorText(err error) string {
	if err == nil {
		return ""
	}
	return said(err)
}
