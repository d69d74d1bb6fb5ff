package wire

import (
	"slices"
	"testing"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/vet"
)

// TestMissedLimitIsSent: the text of a judged value that misses its limit differs from the
// text of the limit; its exact value is what it was.
func TestMissedLimitIsSent(t *testing.T) {
	p, err := vet.ReadProcedure("p.yaml", []byte(judgedSum))
	if err != nil {
		t.Fatal(err)
	}
	for shown, want := range map[string]string{"2.00001": "2.00001", "2.0004": "2.0004", "1.99999": "2.0000", "2.000": "2.000"} {
		r, err := p.Typed("depth", shown, p.Unit)
		if err != nil {
			t.Fatal(err)
		}
		e, err := evaluate.Evaluate(p, procedure.Families{}, compute.Input{Readings: []procedure.Reading{r}})
		if err != nil {
			t.Fatal(err)
		}
		j := Evaluation(p, e).GetJudgements()[0]
		if got := j.GetValue().GetText(); got != want {
			t.Errorf("%s is sent as %q, not %q", shown, got, want)
		}
		if got := j.GetAllowed().GetMax().GetText(); got != "2.000" {
			t.Errorf("%s: the limit is sent as %q", shown, got)
		}
		if got := j.GetValue().GetPicometres(); got != int64(r.Value) {
			t.Errorf("%s is sent as %d pm", shown, got)
		}
	}
}

// TestMissesOfPartsAreSent: so it is with a spread beside what repeats may differ, and with
// the play that a grade would leave.
func TestMissesOfPartsAreSent(t *testing.T) {
	spread, agree, play, most := gauge.MustLength("0.03001", gauge.Millimetre), gauge.MustLength("0.03", gauge.Millimetre), gauge.MustLength("0.10004", gauge.Millimetre), gauge.MustLength("0.1", gauge.Millimetre)
	p := &procedure.Procedure{Unit: gauge.Millimetre, Decimals: 3}
	m := writerOf(p).measurement(evaluate.Measurement{Unit: gauge.Millimetre, Spread: &spread, Agree: &agree})
	fit := writerOf(p).fit(procedure.Place{}, &evaluate.Fit{
		Allowed: procedure.Limits{Max: &most}, Candidates: []evaluate.Candidate{{Play: &play}}, PackThinner: &evaluate.Pack{Play: &play},
	})
	got := []string{m.GetSpread().GetText(), m.GetAgree().GetText(), fit.GetCandidates()[0].GetPlay().GetText(), fit.GetPackThinner().GetPlay().GetText(), fit.GetAllowedPlay().GetMax().GetText()}
	if want := []string{"0.03001", "0.030", "0.10004", "0.10004", "0.100"}; !slices.Equal(got, want) {
		t.Errorf("sent as %q, not %q", got, want)
	}
}
