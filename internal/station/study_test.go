package station

import (
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/study"
)

func (r *rig) study(kind study.Kind, checks health.StoredChecks, tolerance float64) (*health.StudyRecord, error) {
	return r.EvaluateStudy(r.t.Context(), health.StudyRequest{
		Gauge: "strict", Checks: &checks, Plan: study.Plan{Kind: kind, Options: study.Options{Tolerance: tolerance, Seed: 1}},
	})
}

// TestStudyOfChecks: the readings of stored checks answer for bias, capability and
// stability; what was read before an adjustment counts only when it is asked for.
func TestStudyOfChecks(t *testing.T) {
	r := newRig(t)
	begin := r.clock()
	for i := range 4 { // 20 um off, then adjusted
		r.check("strict", r.at("strict", "block", fmt.Sprintf("25.02%d", i)))
	}
	if _, err := r.RecordCheck(t.Context(), CheckRequest{
		Gauge: "strict", By: "quality", Found: []CheckPoint{r.at("strict", "block", "25.021")}, Left: []CheckPoint{r.at("strict", "block", "25.0012", "25.0008")},
	}); err != nil {
		t.Fatal(err)
	}
	for i := range 10 {
		off := []float64{0.0004, 0.0012, 0.0008, 0.0014, 0.0006}[i%5]
		r.check("strict", r.at("strict", "block", fmt.Sprintf("%.4f", 25+off), fmt.Sprintf("%.4f", 25+off+0.0002)), r.at("strict", "zero", fmt.Sprintf("%.4f", off)))
	}
	bias, err := r.study(study.BiasKind, health.StoredChecks{Master: "block"}, 0)
	if err != nil {
		t.Fatal(err)
	}
	if len(bias.Readings) != 22 || bias.Headline.Word != study.Biased || math.Abs(*bias.Headline.Bias-0.00099) > 0.00003 || bias.Unit != gauge.Millimetre {
		t.Errorf("bias %v of %d readings in %v: %s", *bias.Headline.Bias, len(bias.Readings), bias.Unit, bias.Figures)
	}
	first := bias.Readings[0]
	if first.Value != "25.0012" || first.Known != "25" || first.Master != "block" || first.Seq == 0 || first.Run == "" {
		t.Errorf("%+v", first)
	}
	all, err := r.study(study.BiasKind, health.StoredChecks{Master: "block", Since: begin.Add(-time.Hour)}, 0)
	if err != nil || len(all.Readings) != 4+1+2+20 {
		t.Errorf("%d readings since the begin, %v", len(all.Readings), err)
	}
	stable, err := r.study(study.StabilityKind, health.StoredChecks{Master: "block"}, 0)
	if err != nil || len(stable.Readings) != 11 || stable.Readings[1].Value != "25.0005" {
		t.Errorf("stability takes the mean of each check: %+v, %v", stable, err)
	}
	capable, err := r.study(study.CapabilityKind, health.StoredChecks{Master: "block"}, 0.1)
	if err != nil || capable.Headline.Word != study.Capable || capable.Headline.Cg == nil {
		t.Errorf("%+v, %v", capable, err)
	}
	for _, c := range []struct {
		kind   study.Kind
		checks health.StoredChecks
		is     error
		want   string
	}{
		{study.CrossedKind, health.StoredChecks{}, gauge.ErrInput, "wrong input: a study of the kind crossed cannot be made from checks, which know no parts and persons: it takes bias, linearity, stability or capability"},
		{study.BiasKind, health.StoredChecks{Master: "x"}, gauge.ErrNotFound, `not found: there is no master "x"`},
		{study.BiasKind, health.StoredChecks{Since: r.clock().Add(time.Hour)}, gauge.ErrRefused, "refused: there are no checks of gauge strict that the study could take: check it, or ask for an earlier time"},
		{study.BiasKind, health.StoredChecks{}, gauge.ErrRefused, "refused: this study cannot be computed: strict: the readings are of 2 masters or reference values (block, zero), and a mean over them can hide errors that cancel: study one at a time, or ask for linearity, which takes them together"},
		{study.LinearityKind, health.StoredChecks{}, gauge.ErrRefused, "refused: this study cannot be computed: strict: too few reference values, 2: two always lie on a line; give 3 at least, better 5, over the range of the gauge"},
		{study.CapabilityKind, health.StoredChecks{}, gauge.ErrRefused, "refused: this study cannot be computed: strict: the indices compare the gauge with a tolerance: give its width"},
	} {
		if _, err := r.study(c.kind, c.checks, 0); !errors.Is(err, c.is) || said(err) != c.want {
			t.Errorf("got  %v\nwant %s", said(err), c.want)
		}
	}
}

// TestStudyIsKept: a stored study is there after a restart, the health of the gauge
// does not change with it, and the history can be read on.
func TestStudyIsKept(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigAt(t, path)
	request := health.StudyRequest{Gauge: "dial", By: "quality", Plan: study.Plan{Kind: study.CapabilityKind, Options: study.Options{Tolerance: 0.2, Seed: 1}}}
	for i := range 12 {
		p := r.at("dial", "block", fmt.Sprintf("25.00%d", i%4))
		request.Rows = append(request.Rows, health.StudyRow{Seq: p.Readings[0], Master: "block", Trial: fmt.Sprint(i + 1)})
	}
	stored, err := r.RecordStudy(t.Context(), request)
	if err != nil {
		t.Fatal(err)
	}
	r.stop()
	if err := r.store.Close(); err != nil {
		t.Fatal(err)
	}
	r = rigAt(t, path)
	again, err := r.Study(t.Context(), stored.Seq)
	if err != nil || string(again.Figures) != string(stored.Figures) || len(again.Readings) != 12 || again.By != "quality" || again.Headline.Cg == nil || *again.Headline.Cg != *stored.Headline.Cg {
		t.Errorf("%+v, %v", again, err)
	}
	h, err := r.Health("dial")
	if err != nil || h.Standing != health.InService || h.Checks != 0 {
		t.Errorf("%+v, %v", h, err)
	}
	all, err := r.Studies(t.Context(), "", gauge.Query{Limit: 10})
	if err != nil || len(all) != 1 {
		t.Errorf("%d studies, %v", len(all), err)
	}
	if _, err := r.Study(t.Context(), stored.Seq-1); !errors.Is(err, gauge.ErrNotFound) || said(err) != fmt.Sprintf("not found: there is no study %d", stored.Seq-1) {
		t.Errorf("got %v", err)
	}
	request.Rows[3].Master = "old"
	if _, err := r.RecordStudy(t.Context(), request); !errors.Is(err, gauge.ErrRefused) || said(err) != "refused: row 4: the calibration of master old was due on 1 Jan 2026: take another, or have it calibrated" {
		t.Errorf("got %v", err)
	}
	request.Rows = make([]health.StudyRow, 10_001)
	if _, err := r.RecordStudy(t.Context(), request); !errors.Is(err, gauge.ErrInput) || said(err) != "wrong input: 10001 readings are more than the 10000 of one study" {
		t.Errorf("got %v", err)
	}
}

// TestStudyOfZeroReturns: a zero return is a check at the master zero.
func TestStudyOfZeroReturns(t *testing.T) {
	r := newRig(t)
	for i := range 4 {
		p := r.at("clock", "zero", fmt.Sprintf("0.000%d", i))
		if _, err := r.RecordZeroReturn(t.Context(), ZeroRequest{Gauge: "clock", By: "q", Reading: p.Readings[0]}); err != nil {
			t.Fatal(err)
		}
	}
	bias := func(master string) (*health.StudyRecord, error) {
		return r.EvaluateStudy(t.Context(), health.StudyRequest{Gauge: "clock", Checks: &health.StoredChecks{Master: master}, Plan: study.Plan{Kind: study.BiasKind}})
	}
	s, err := bias("zero")
	if err != nil || len(s.Readings) != 4 || s.Readings[3].Seq == 0 || s.Readings[3].Value != "0.0003" || s.Readings[3].Known != "0" {
		t.Errorf("%+v, %v", s, err)
	}
	if _, err := bias("block"); !errors.Is(err, gauge.ErrRefused) {
		t.Errorf("got %v", err)
	}
}
