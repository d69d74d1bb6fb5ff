package station

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
)

// sent is a reading as a sender gives it.
func sent(seq uint64, id, shown string, at time.Time) Ingested {
	return Ingested{SourceSeq: seq, Gauge: id, Shown: shown, Unit: gauge.Millimetre, Time: at, Status: gauge.StatusOK}
}

// TestSenderCountsAnew: a sender that begins at 1 again is told of each reading
// that is not stored; what it sends again as it was is passed over.
func TestSenderCountsAnew(t *testing.T) {
	r := newRig(t)
	ctx, at := t.Context(), r.o.Now()
	if _, err := r.Resume(ctx, "program"); err != nil {
		t.Fatal(err)
	}
	give := func(readings ...Ingested) Receipt {
		t.Helper()
		receipt, err := r.Ingest(ctx, "program", readings)
		if err != nil {
			t.Fatal(err)
		}
		return receipt
	}
	give(sent(1, "far", "0.500", at), sent(2, "far", "0,6", at), sent(5, "far", "0.700", at))
	receipt := give(
		sent(1, "far", "0.700", at),                  // another value
		sent(2, "far", "0,6", at),                    // refused before: the same again
		sent(3, "far", "0.800", at),                  // left out before
		sent(5, "far", "0.700", at.Add(time.Second)), // the same digits, measured later
		sent(6, "far", "0.900", at),
	)
	day := at.Local().Format("2 Jan 2006 15:04:05 -07:00")
	remedy := ": go on with numbers above 6, or begin anew under another sender name"
	want := Receipt{Through: 6, Refused: []Refused{
		{1, gauge.Plain("number 1 of the sender program is 0.500 mm of gauge far of " + day + "; this one is another reading and was not stored" + remedy)},
		{2, gauge.Plain(`"0,6" is not a length: the decimal sign must be a point, not a comma`)},
		{3, gauge.Plain("number 3 of the sender program comes after 6, and was left out before; it was not stored" + remedy)},
		{5, gauge.Plain("number 5 of the sender program is 0.700 mm of gauge far of " + day + "; this one is another reading and was not stored" + remedy)},
	}}
	said := func(r Receipt) (all []string) {
		for _, one := range r.Refused {
			all = append(all, fmt.Sprint(one.SourceSeq, ": ", told(one.Reason)))
		}
		return append(all, fmt.Sprint(r.Through, r.Skipped))
	}
	if !slices.Equal(said(receipt), said(want)) {
		t.Errorf("got  %v\nwant %v", receipt, want)
	}
	far := r.Gauges()[2]
	if far.Readings != 3 || far.Rejected[gauge.ReasonSenderNumber] != 3 || far.Rejected[gauge.ReasonNumber] != 1 {
		t.Errorf("%d readings, rejected %v", far.Readings, far.Rejected)
	}
	rejects, err := r.store.Rejects(ctx, "far", 0, 10)
	if err != nil || len(rejects) != 4 || string(rejects[1].Reject.Raw) != "0.700" || !rejects[1].Reject.Detail.Equal(receipt.Refused[0].Reason) {
		t.Errorf("kept %+v, %v", rejects, err)
	}
	// A corrected reading under a refused number, and another status.
	corrected := give(sent(2, "far", "0.6", at))
	worn := sent(6, "far", "0.900", at)
	worn.Status = gauge.StatusLowBattery
	if other := give(worn); len(corrected.Refused) != 1 || !strings.HasPrefix(told(corrected.Refused[0].Reason), "number 2 of the sender program was refused before, and this one is another reading") || len(other.Refused) != 1 {
		t.Errorf("corrected %v, another status %v", corrected.Refused, other.Refused)
	}
	// What was acknowledged without being named is stored as it was sent.
	if receipt := give(sent(1, "far", "0.500", at), sent(5, "far", "0.700", time.Time{}), sent(6, "far", "0.900", at)); receipt.Refused != nil {
		t.Errorf("the same again: %v", receipt.Refused)
	}
}

// TestSenderJumps: a number far ahead is told, and takes nothing from what comes
// after it without a word. One further ahead than anybody skips is refused, with all that
// was sent with it, and uses up nothing.
func TestSenderJumps(t *testing.T) {
	r := newRig(t)
	ctx, at := t.Context(), r.o.Now()
	const far = 8 + MostSkipped
	for _, name := range []string{"program", "clock"} {
		if _, err := r.Resume(ctx, name); err != nil {
			t.Fatal(err)
		}
	}
	const time = 1_796_000_000_000_000_000 // nanoseconds since 1970: any number may be the first
	if receipt, err := r.Ingest(ctx, "clock", []Ingested{sent(time, "far", "1.0", at), sent(time+86_400_000_000_000, "far", "1.0", at)}); err != nil || receipt.Through != time+86_400_000_000_000 {
		t.Errorf("numbers out of a clock: %v, %v", receipt, err)
	}
	receipt, err := r.Ingest(ctx, "program", []Ingested{sent(7, "far", "1.0", at), sent(8, "far", "1.1", at), sent(far, "far", "1.2", at)})
	if err != nil || receipt.Through != far || receipt.Skipped != far-9 {
		t.Errorf("receipt %v, %v; want %d left out", receipt, err, far-9)
	}
	const last = far + 1 + MostSkipped
	if receipt, err = r.Ingest(ctx, "program", []Ingested{sent(far+1, "far", "1.2", at), sent(last, "far", "1.2", at)}); err != nil || receipt.Through != last {
		t.Errorf("receipt %v, %v", receipt, err)
	}
	for _, number := range []uint64{last + 2 + MostSkipped, 1 << 62} {
		_, err := r.Ingest(ctx, "program", []Ingested{sent(last+1, "far", "1.2", at), sent(number, "far", "1.2", at)})
		if through, _ := r.Resume(ctx, "program"); err == nil || !strings.Contains(err.Error(), "refusal.sender.jump") || through != last {
			t.Errorf("a number of %d is answered with %v, and %d is durable", number, err, through)
		}
	}
	receipt, err = r.Ingest(ctx, "program", []Ingested{sent(9, "far", "1.3", at)})
	if err != nil || len(receipt.Refused) != 1 || r.Gauges()[2].Readings != 7 {
		t.Errorf("receipt %v, %v; %d readings", receipt, err, r.Gauges()[2].Readings)
	}
}
