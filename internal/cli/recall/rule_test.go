package recall

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	pb "gauged/api/gauged/v1"
	"gauged/internal/evaluate"
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/uncertainty"
	"gauged/internal/vet"
	"gauged/internal/wire"
)

// ruled is a job to be decided: a measured value, its limits, of which one may be
// missing, and what is known of it.
type ruled struct {
	value, low, high, standard gauge.Length
	freedom                    int
	oneSided                   string // the limit that is missing
}

func picometres(l gauge.Length) string { return l.Text(gauge.Millimetre, 9) }

// line is the job in a file of jobs.
func (r ruled) line(number int) string {
	low, high, freedom := picometres(r.low), picometres(r.high), ""
	switch r.oneSided {
	case "lower":
		low = ""
	case "upper":
		high = ""
	}
	if r.freedom > 0 {
		freedom = fmt.Sprint(r.freedom)
	}
	return fmt.Sprintf("%d,U,2026-03-02,%s,%s,%s,mm,%s,%s\n", number, picometres(r.value), low, high, picometres(r.standard), freedom)
}

// evaluated is the same job under a procedure, with the error of the gauge, known
// to standard, taken off.
func (r ruled) evaluated(t *testing.T, off, standard gauge.Length, required uncertainty.Probability) evaluate.Judgement {
	t.Helper()
	limits := ""
	if r.oneSided != "lower" {
		limits = "min: " + picometres(r.low)
	}
	if r.oneSided != "upper" {
		limits += ", max: " + picometres(r.high)
	}
	doubt := ""
	if r.freedom > 0 {
		doubt = fmt.Sprint(", freedom: ", r.freedom)
	}
	p, err := vet.ReadProcedure("p.yaml", fmt.Appendf(nil, `procedure: p
title: t
unit: mm
measure: {reading: {title: r}}
constants: {rest: {value: 0, title: what else is not known, tolerance: %s, distribution: normal, k: 1%s}}
gap: reading + rest
allow: {result: {%s}}
decide: {guard band: %.4f}
`, picometres(r.standard), doubt, strings.TrimPrefix(limits, ", "), required.Float()))
	if err != nil {
		t.Fatal(err)
	}
	in := compute.Input{
		Readings: []procedure.Reading{{Measurement: "reading", Value: r.value - off, Shown: "-", Unit: gauge.Millimetre}},
		TakenOff: []compute.TakenOff{{Name: "error taken off", Of: map[string]gauge.Length{"reading": standard}}},
	}
	e, err := evaluate.Evaluate(p, nil, in)
	if err != nil {
		t.Fatal(err)
	}
	return e.Judgements[0]
}

// drawRuled draws a job whose probability is often next to one that decides, and
// next to where its last digit is rounded.
func drawRuled(r *rand.Rand) ruled {
	j := ruled{low: 100_000_000, standard: gauge.Length(1 + r.Int64N(20_000_000))}
	j.high = j.low + gauge.Length(r.Float64()*8*float64(j.standard))
	j.oneSided = []string{"", "", "lower", "upper"}[r.IntN(4)]
	j.freedom = []int{0, 0, 1, 3, 20, 400}[r.IntN(6)]
	edge := []float64{0.95, 0.94995, 0.05, 0.05005, 0.99, 0.01}[r.IntN(6)] + 1e-6*r.NormFloat64()
	b := uncertainty.Budget{Standard: float64(j.standard), Freedom: 1e9}
	if j.freedom > 0 {
		b.Freedom = float64(j.freedom)
	}
	inside := gauge.Length(b.Coverage(2*edge-1) * b.Standard)
	if edge < 0.5 {
		inside = -gauge.Length(b.Coverage(1-2*edge) * b.Standard)
	}
	switch r.IntN(3) {
	case 0:
		j.value = j.low + inside
	case 1:
		j.value = j.high - inside
	default:
		j.value = j.low + gauge.Length(r.Int64N(int64(j.high-j.low)+1))
	}
	return j
}

// TestRecallDecidesAsEvaluate: the same numbers give the same answer and the same
// probability in a recall of a file and in an evaluation, before and after an
// error is taken off.
func TestRecallDecidesAsEvaluate(t *testing.T) {
	const count = 3000
	r := rand.New(rand.NewPCG(14253, 1))
	// In the middle of a window of 3.5 standard uncertainties a value has 92 %.
	jobs := []ruled{{value: 1_017_500, low: 1_000_000, high: 1_035_000, standard: 10_000}}
	for len(jobs) < count {
		jobs = append(jobs, drawRuled(r))
	}
	var table strings.Builder
	table.WriteString("job,unit_serial,started,measured,lower,upper,unit,standard_uncertainty,freedom\n")
	for i, j := range jobs {
		table.WriteString(j.line(i + 1))
	}
	name := filepath.Join(t.TempDir(), "jobs.csv")
	if err := os.WriteFile(name, []byte(table.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	seen := map[pb.Outcome]int{}
	for _, c := range []struct {
		off, standard gauge.Length
		required      uncertainty.Probability
	}{{0, 0, 9500}, {2_000_000, 3_000_000, 9500}, {-500_000, 0, 9900}} {
		request := &pb.RecallRequest{Error: picometres(c.off), StandardUncertainty: picometres(c.standard), Unit: wire.Unit(gauge.Millimetre)}
		answer, err := recallFile(name, request, recallFlags{required: c.required.Float()})
		if err != nil {
			t.Fatal(err)
		}
		if len(answer.GetItems()) != count {
			t.Fatalf("%d items", len(answer.GetItems()))
		}
		for _, item := range answer.GetItems() {
			j := jobs[item.GetJobId()-1]
			before, after := j.evaluated(t, 0, 0, c.required), j.evaluated(t, c.off, c.standard, c.required)
			if got, want := item.GetOutcomeBefore(), wire.Outcome(before.Outcome); got != want {
				t.Errorf("%+v: before %v, evaluated %v", j, got, want)
			}
			if got, want := item.GetOutcomeAfter(), wire.Outcome(after.Outcome); got != want || item.GetProbability() != after.Probability.Float() {
				t.Errorf("%+v less %d: after %v with %v, evaluated %v with %v", j, c.off, got, item.GetProbability(), want, after.Probability.Float())
			}
			seen[item.GetOutcomeBefore()]++
		}
	}
	for _, o := range []pb.Outcome{pb.Outcome_OUTCOME_CONFORMS, pb.Outcome_OUTCOME_DOES_NOT_CONFORM, pb.Outcome_OUTCOME_UNDECIDED} {
		if seen[o] < count/10 {
			t.Errorf("%v was met %d times", o, seen[o])
		}
	}
}
