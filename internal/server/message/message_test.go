package message

import (
	"testing"
	"time"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/gauge"
	"gauged/internal/station"
	"gauged/internal/wire"
	"gauged/internal/words"

	"github.com/google/go-cmp/cmp"
	"google.golang.org/protobuf/encoding/prototext"
	"google.golang.org/protobuf/testing/protocmp"
	"google.golang.org/protobuf/types/known/timestamppb"
)

func TestGaugeShowsItsOwnDigits(t *testing.T) {
	since := time.Date(2024, 5, 6, 7, 8, 9, 0, time.UTC)
	g := station.GaugeStatus{
		GaugeInfo: station.GaugeInfo{ID: "g", Title: "dial", Connection: "port", Layout: "value", Mode: gauge.ModePoll, Unit: gauge.Inch, Resolution: gauge.MustLength("0.00005", gauge.Inch)},
		State:     gauge.StateFailed, Since: since, Reason: gauge.Plain("bytes \xff"), Readings: 3,
		Last: gauge.Fact{Seq: 5, Reading: &gauge.Reading{Gauge: "g", Number: 2, Time: since, Value: gauge.MustLength("-1.50", gauge.Millimetre), Shown: "-1.50", Unit: gauge.Millimetre, Status: gauge.StatusLowBattery, Raw: []byte("x")}},
	}
	want := &gaugedv1.Gauge{
		Id: "g", Title: "dial", Connection: "port", Layout: "value", Mode: gaugedv1.GaugeMode_GAUGE_MODE_POLL, Resolution: wire.Exact(gauge.MustLength("0.00005", gauge.Inch), gauge.Inch),
		State: gaugedv1.GaugeState_GAUGE_STATE_FAILED, StateSinceTime: timestamppb.New(since), StateReason: wire.Message(gauge.Plain("bytes ?")), ReadingCount: 3,
		LastReading: &gaugedv1.Reading{
			Seq: 5, GaugeId: "g", Number: 2, Time: timestamppb.New(since), Value: wire.Quantity(-1_500_000_000, "-1.50", gauge.Millimetre),
			Status: gaugedv1.ReadingStatus_READING_STATUS_LOW_BATTERY, Raw: []byte("x"),
		},
	}
	if diff := cmp.Diff(want, Gauge(g), protocmp.Transform()); diff != "" {
		t.Errorf("difference (-want +got):\n%s", diff)
	}
	g.Outside = true
	if mode := Gauge(g).GetMode(); mode != gaugedv1.GaugeMode_GAUGE_MODE_OUTSIDE {
		t.Errorf("mode = %q, want outside", mode)
	}
}

func TestIngestedThereAndBack(t *testing.T) {
	at := time.Date(2024, 5, 6, 7, 8, 9, 10, time.UTC)
	r := &gauge.Reading{Gauge: "g", Time: at, Value: gauge.MustLength("1.5", gauge.Inch), Shown: "1.5", Unit: gauge.Inch, Status: gauge.StatusLowBattery, Raw: []byte("1.5"), EnteredBy: "M"}
	got, err := FromIngested(Ingested(gauge.Fact{Seq: 12, Reading: r}))
	if err != nil {
		t.Fatal(err)
	}
	want := station.Ingested{SourceSeq: 12, Gauge: "g", Time: at, Shown: "1.5", Unit: gauge.Inch, Status: gauge.StatusLowBattery, Raw: []byte("1.5"), EnteredBy: "M"}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("difference (-want +got):\n%s", diff)
	}
}

// TestReadingInEveryUnit: a value keeps its digits, its unit and its count of
// picometres or billionths.
func TestReadingInEveryUnit(t *testing.T) {
	for _, u := range gauge.Units() {
		r := &gauge.Reading{Gauge: "typed", Value: gauge.MustLength("-0.350", u), Shown: "-0.350", Unit: u, EnteredBy: "M"}
		value := Reading(gauge.Fact{Seq: 4, Reading: r}).GetValue()
		if value.GetText() != "-0.350" || wire.FromUnit(value.GetUnit()) != u || wire.FromQuantity(value) != -350*u.Size()/1000 || (value.GetPicometres() != 0) != (u.Kind() == gauge.KindLength) {
			t.Errorf("%s is sent as %v", u.Quantity(r.Shown), value)
		}
	}
}

// TestIngestedThatIsNoReading: what has a number of its own is refused by that number.
func TestIngestedThatIsNoReading(t *testing.T) {
	outside := gauge.Say("because.sent.time", gauge.Count("entry", 1))
	for text, want := range map[string]station.Ingested{
		`source_seq: 1 status: 9`:                   {Unfit: gauge.ReasonLayout, Detail: gauge.Say("because.sent.status", gauge.Count("status", 9), gauge.Count("entry", 1))},
		`source_seq: 1 unit: 77`:                    {Unfit: gauge.ReasonUnit, Detail: gauge.Say("because.sent.unknown-unit", gauge.Count("unit", 77), gauge.Count("entry", 1))},
		`source_seq: 1 by: "M\x1b[2J"`:              {Unfit: gauge.ReasonLayout, Detail: gauge.Say("because.sent.control", gauge.Text("field", "by"), gauge.Count("entry", 1), gauge.Count("at", 2)), EnteredBy: "M[2J"},
		`source_seq: 1 gauge_id: "d\x07"`:           {Unfit: gauge.ReasonLayout, Detail: gauge.Say("because.sent.control", gauge.Text("field", "gauge_id"), gauge.Count("entry", 1), gauge.Count("at", 2)), Gauge: "d"},
		`source_seq: 1 time {seconds: -1}`:          {Unfit: gauge.ReasonTime, Detail: outside},
		`source_seq: 1 time {seconds: 99999999999}`: {Unfit: gauge.ReasonTime, Detail: outside},
		`source_seq: 1 time {nanos: -5}`:            {Unfit: gauge.ReasonTime, Detail: outside},
	} {
		m := &gaugedv1.IngestedReading{}
		if err := prototext.Unmarshal([]byte(text), m); err != nil {
			t.Fatal(err)
		}
		if got, err := FromIngested(m); err != nil || got.Unfit != want.Unfit || !got.Detail.Equal(want.Detail) || !got.Time.IsZero() || got.EnteredBy != want.EnteredBy || got.Gauge != want.Gauge {
			t.Errorf("%s: %+v, %v", text, got, err)
		}
	}
}

func TestIngestedThatIsNotAsTheContractWants(t *testing.T) {
	for text, want := range map[string]string{
		``:                                "source_seq 0: number the readings of a sender 1 or more, rising, up to 4611686018427387904",
		`source_seq: 4611686018427387905`: "source_seq 4611686018427387905: number the readings of a sender 1 or more, rising, up to 4611686018427387904",
	} {
		m := &gaugedv1.IngestedReading{}
		if err := prototext.Unmarshal([]byte(text), m); err != nil {
			t.Fatal(err)
		}
		if _, err := FromIngested(m); err == nil || words.In(words.English).Error(err) != want {
			t.Errorf("%s: error = %v\nwant %s", text, err, want)
		}
	}
	got, err := FromIngested(&gaugedv1.IngestedReading{SourceSeq: 1, Unit: 77})
	if err != nil || got.Unit != gauge.UnitUnknown || got.Status != gauge.StatusOK || !got.Time.IsZero() {
		t.Errorf("got %+v, %v", got, err)
	}
}

// TestEveryWordOfTheContractIsOurs: each stage and standing of the contract is one of
// ours, which is sent as it.
func TestEveryWordOfTheContractIsOurs(t *testing.T) {
	for n := range gaugedv1.JobStage_name {
		m := gaugedv1.JobStage(n)
		if own, ok := wire.Own(stages, m); !ok || Stage(own) != m {
			t.Errorf("%v is %q of ours, which is sent as %v", m, own, Stage(own))
		}
	}
	for n := range gaugedv1.Standing_name {
		m := gaugedv1.Standing(n)
		if own, ok := wire.Own(standings, m); !ok || Standing(own) != m {
			t.Errorf("%v is %q of ours, which is sent as %v", m, own, Standing(own))
		}
	}
}

func TestEveryReasonIsSentAsItIs(t *testing.T) {
	if len(gauge.Reasons) == 0 {
		t.Fatal("there are no reasons")
	}
	status := station.GaugeStatus{GaugeInfo: station.GaugeInfo{ID: "g"}, Rejected: map[gauge.Reason]uint64{}}
	for i, reason := range gauge.Reasons {
		status.Rejected[reason] = uint64(i + 1)
		if got := Reject(gauge.Fact{Reject: &gauge.Reject{Reason: reason}}).GetReason(); wire.FromRejectReason(got) != reason {
			t.Errorf("reason %s is sent as %s", reason, got)
		}
	}
	counts := Gauge(status).GetRejected()
	if len(counts) != len(gauge.Reasons) {
		t.Fatalf("%d counts of %d reasons", len(counts), len(gauge.Reasons))
	}
	for i, reason := range gauge.Reasons {
		if got := counts[i]; wire.FromRejectReason(got.GetReason()) != reason || got.GetFrames() != uint64(i+1) {
			t.Errorf("count of %s = %v, want %d", reason, got, i+1)
		}
	}
}
