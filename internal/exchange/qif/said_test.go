package qif

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"google.golang.org/protobuf/proto"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/gauge"
	"gauged/internal/wire"
)

// proved is a job with what a document has a place for; the numbers are invented.
func proved() *gaugedv1.Job {
	mm := func(digits string) *gaugedv1.Quantity {
		return wire.Quantity(gauge.MustLength(digits, gauge.Millimetre), digits, gauge.Millimetre)
	}
	um := func(digits string) *gaugedv1.Quantity {
		return wire.Quantity(gauge.MustLength(digits, gauge.Micrometre), digits, gauge.Micrometre)
	}
	torque := func(digits string) *gaugedv1.Quantity {
		return wire.Quantity(gauge.MustLength(digits, gauge.NewtonMetre), digits, gauge.NewtonMetre)
	}
	taken := func(seq uint64, id, digits, why string) *gaugedv1.TakenReading {
		return &gaugedv1.TakenReading{Seq: seq, GaugeId: id, Value: mm(digits), DiscardReason: why}
	}
	return &gaugedv1.Job{
		Id: 12, Labels: map[string]string{"order": "A-1042 <b>", "customer": "Miller & Co", "bay": "3"}, UnitSerial: "B-2204 <left>", By: "bench  two", Stage: gaugedv1.JobStage_JOB_STAGE_CLOSED, Verified: true, LastSeq: 90,
		Procedure: &gaugedv1.Procedure{
			Id: "shaft", Title: "End play & turning torque", Unit: gaugedv1.Unit_UNIT_MILLIMETRE, Hash: "ab12",
			Verify: []*gaugedv1.MeasurementStep{{Name: "end_play", Title: "end play with the ring in"}},
		},
		Evaluation: &gaugedv1.Evaluation{
			Outcome: gaugedv1.Outcome_OUTCOME_UNDECIDED,
			Measurements: []*gaugedv1.Measurement{
				{Name: "gap_read", Value: mm("1.693666667"), Readings: []*gaugedv1.TakenReading{taken(1, "depth", "1.694", ""), taken(2, "depth", "9.000", "slipped")}},
				{Name: "end_play", AfterFitting: true, Value: um("178.5"), Readings: []*gaugedv1.TakenReading{taken(3, "typed: feeler gauges", "0.1785", ""), taken(4, "typed", "0.1785", "")}},
			},
			Sums: []*gaugedv1.Sum{{Name: "gap", Value: mm("1.693")}, {Name: "verified play", Value: mm("0.178")}},
			Fits: []*gaugedv1.Fit{{Title: "ring", Fitted: &gaugedv1.FittedPart{Part: "R-150", Thickness: mm("1.498"), Measured: true}}},
			Judgements: []*gaugedv1.Judgement{
				{Name: "play", AfterFitting: true, Value: mm("0.178"), Allowed: &gaugedv1.Range{Min: mm("0.100"), Max: mm("0.180")}, Outcome: gaugedv1.Outcome_OUTCOME_UNDECIDED, Probability: proto.Float64(0.875)},
				{Name: "turning", Value: torque("0.35"), Allowed: &gaugedv1.Range{Min: torque("0.2"), Max: torque("0.5")}, Outcome: gaugedv1.Outcome_OUTCOME_CONFORMS},
				{Name: "starting", Value: torque("0.9"), Allowed: &gaugedv1.Range{Max: torque("0.6")}, Outcome: gaugedv1.Outcome_OUTCOME_DOES_NOT_CONFORM},
				{Name: "pair", Mark: "17", Wanted: "17", Outcome: gaugedv1.Outcome_OUTCOME_CONFORMS},
			},
			Budgets: []*gaugedv1.Budget{{Result: "verified play", StandardUncertainty: um("1.78")}},
		},
	}
}

// TestWhatADocumentSays reads a document back with another program.
func TestWhatADocumentSays(t *testing.T) {
	file := filepath.Join(t.TempDir(), "job.xml")
	if err := os.WriteFile(file, render(t, proved()), 0o600); err != nil {
		t.Fatal(err)
	}
	validate(t, file)
	measured := func(name, what string) string {
		item := "//*[local-name()='CharacteristicItems']/*[*[local-name()='Name']='" + name + "']/@id"
		return "//*[local-name()='CharacteristicMeasurements']/*[*[local-name()='CharacteristicItemId']=" + item + "]" + what
	}
	child := func(name string) string { return "/*[local-name()='" + name + "']" }
	for _, x := range []struct{ what, path, want string }{
		{"all digits of a mean", measured("gap_read", child("Value")), "1.693666667"},
		{"the gauge", "//*[local-name()='MeasurementDevice'][@id=" + measured("gap_read", "/*[local-name()='MeasurementDeviceIds']"+child("Id")) + "]" + child("Name"), "depth"},
		{"what is read and typed", "//*[local-name()='MeasurementDevice'][@id=" + measured("end_play", "/*[local-name()='MeasurementDeviceIds']"+child("Id")) + "]" + child("Name"), "feeler gauges"},
		{"no other instrument", "count(//*[local-name()='MeasurementDevice'])", "2"},
		{"a reading that does not count", measured("gap_read", "/*[local-name()='Attributes']/*[@name='readings that do not count']/@value"), "1"},
		{"a value in another unit", measured("end_play", child("Value")), "178.5"},
		{"that unit", measured("end_play", child("Value")+"/@linearUnit"), "um"},
		{"how long that unit is", "//*[local-name()='OtherUnits']/*[*[local-name()='UnitName']='um']" + child("UnitConversion"), "0.000001"},
		{"what was judged", measured("play", child("Value")), "0.178"},
		{"its standard uncertainty, in its unit", measured("play", child("Value")+"/@combinedUncertainty"), "0.00178"},
		{"undecided", measured("play", child("Status")), "INDETERMINATE"},
		{"its probability", measured("play", "/*[local-name()='Attributes']/*[@name='probability within limits']/@value"), "0.8750"},
		{"its upper limit", "//*[local-name()='UserDefinedLinearCharacteristicDefinition'][*[local-name()='Name']='play']/*[local-name()='Tolerance']" + child("MaxValue"), "0.180"},
		{"a torque", measured("turning", child("Value")), "0.35"},
		{"its unit", measured("turning", child("Value")+"/@unitName"), "N m"},
		{"the middle of its limits", "//*[local-name()='UserDefinedUnitCharacteristicNominal']" + child("TargetValue"), "0.35"},
		{"a torque with one limit", measured("starting", child("Value")), "0.9 N m"},
		{"that limit", measured("starting", "/*[local-name()='Attributes']/*[@name='not above']/@value"), "0.6 N m"},
		{"it fails", measured("starting", child("Status")), "FAIL"},
		{"a mark", measured("pair", child("Value")), "17"},
		{"the part", "//*[local-name()='Part'][2]/*[local-name()='ModelNumber']", "R-150"},
		{"as it was measured", "//*[local-name()='Part'][2]/*[local-name()='Attributes']/*[@name='thickness']/@value", "1.498 mm"},
		{"the unit", "//*[local-name()='ActualComponent']" + child("SerialNumber"), "B-2204 <left>"},
		{"the order", "//*[local-name()='InspectionTraceability']/*[local-name()='OrderNumber']", "A-1042 <b>"},
		{"the customer", "//*[local-name()='MeasurementResults']/*[local-name()='Attributes']/*[@name='label customer']/@value", "Miller & Co"},
		{"another label", "//*[local-name()='MeasurementResults']/*[local-name()='Attributes']/*[@name='label bay']/@value", "3"},
		{"of the whole", "//*[local-name()='InspectionStatus']", "UNKNOWN"},
		{"what was proved is there once", "count(//*[local-name()='CharacteristicItems']/*[*[local-name()='Name']='verified play'])", "0"},
	} {
		said, err := exec.Command("xmllint", "--nonet", "--xpath", "normalize-space("+x.path+")", file).Output()
		if got := string(bytes.TrimSpace(said)); err != nil || got != x.want {
			t.Errorf("%s: %q, want %q (%v)", x.what, got, x.want, err)
		}
	}
}

// TestReasonOfAClosing: only what was closed without a verdict was closed unfinished, and a
// verdict that stands, signed or not, has a reason beside it.
func TestReasonOfAClosing(t *testing.T) {
	for outcome, want := range map[gaugedv1.Outcome]string{
		gaugedv1.Outcome_OUTCOME_CONFORMS: "reason", gaugedv1.Outcome_OUTCOME_CALCULATED: "reason", gaugedv1.Outcome_OUTCOME_DOES_NOT_CONFORM: "reason", gaugedv1.Outcome_OUTCOME_UNDECIDED: "reason",
		gaugedv1.Outcome_OUTCOME_MEASURING: "closed unfinished because", gaugedv1.Outcome_OUTCOME_VERIFY: "closed unfinished because",
	} {
		job := proved()
		job.Evaluation.Outcome, job.CloseReason = outcome, "order cancelled"
		if got := string(render(t, job)); !strings.Contains(got, `name="`+want+`" value="order cancelled"`) {
			t.Errorf("%v: no %q in %s", outcome, want, got)
		}
	}
}

// TestDigits: a value keeps the digits that it was told with, and all that it has beyond; an
// uncertainty has those of the contract, not those that a picometre makes of it in inches.
func TestDigits(t *testing.T) {
	in := func(l gauge.Length, text string) *gaugedv1.Quantity { return wire.Quantity(l, text, gauge.Inch) }
	job := proved()
	job.Procedure.Unit = gaugedv1.Unit_UNIT_INCH
	job.Evaluation.Measurements = []*gaugedv1.Measurement{{Name: "gap_read", Value: in(gauge.MustLength("0.190", gauge.Inch), "0.190")}}
	job.Evaluation.Judgements = []*gaugedv1.Judgement{{Name: "play", Value: in(gauge.MustLength("0.1780001", gauge.Inch), "0.178"), Outcome: gaugedv1.Outcome_OUTCOME_CONFORMS}}
	job.Evaluation.Budgets = []*gaugedv1.Budget{{Result: "play", StandardUncertainty: in(gauge.MustLength("3.12", gauge.Micrometre), "0.000123")}}
	got := string(render(t, job))
	for _, want := range []string{">0.190</Value>", ">0.1780001</Value>", `combinedUncertainty="0.000123"`} {
		if !strings.Contains(got, want) {
			t.Errorf("no %s in %s", want, got)
		}
	}
}

// TestAnotherStateIsAnotherDocument: the same state is written to the same bytes, and
// has an id of its own.
func TestAnotherStateIsAnotherDocument(t *testing.T) {
	job := proved()
	first, again := render(t, job), render(t, job)
	job.LastSeq++
	later := render(t, job)
	id := func(b []byte) string {
		return string(b[bytes.Index(b, []byte("<QPId>")):bytes.Index(b, []byte("</QPId>"))])
	}
	if !bytes.Equal(first, again) || id(first) == id(later) {
		t.Errorf("%s, %s, %s", id(first), id(again), id(later))
	}
}
