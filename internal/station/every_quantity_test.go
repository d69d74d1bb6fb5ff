package station

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/job"
	"gauged/internal/vet"
)

// quantity is something that a procedure of the walk measures.
type quantity struct {
	name, unit string
	mark       bool
}

var walkQuantities = []quantity{
	{name: "len", unit: "mm"},
	{name: "pull", unit: "N"},
	{name: "drag", unit: "lbf"},
	{name: "torque", unit: "N m"},
	{name: "turning", unit: "lbf in"},
	{name: "oil", unit: "degC"},
	{name: "lean", unit: "deg"},
	{name: "count", unit: gauge.Number},
	{name: "stamp", mark: true},
}

// drawnProcedure is a procedure that does something with every kind of quantity,
// by every construct of the language that takes one.
func drawnProcedure(draw *rand.Rand) string {
	pick := func(words ...string) string { return words[draw.IntN(len(words))] }
	var b strings.Builder
	b.WriteString("procedure: ring\ntitle: t\nunit: mm\nother_units: " + pick("refuse", "convert") + "\ninstruments:\n")
	for i, q := range walkQuantities {
		if !q.mark {
			fmt.Fprintf(&b, "  known%d: {unit: %s, %s}\n", i, q.unit, pick("error: 0.05", "resolution: 0.01", "calibration: {uncertainty: 0.02, k: 2}", "error: 0.01, repeatability: {deviation: 0.02, readings: 20}"))
		}
	}
	b.WriteString("measure:\n  gears: {title: gears, one_of: [used, new]}\n")
	for i, q := range walkQuantities {
		writeStep(&b, draw, "  ", q, i)
	}
	b.WriteString("constants:\n  gasket: {value: 0.3, tolerance: 0.02}\n  spare: {value: 2, unit: N m, tolerance: 0.5}\n  arm: 12.5\n")
	b.WriteString("values:\n")
	for _, q := range walkQuantities {
		if !q.mark {
			fmt.Fprintf(&b, "  v_%s: {value: \"%s\", unit: %s}\n", q.name, strings.ReplaceAll(pick("NAME * 2", "abs(NAME - NAME)", "largest(NAME, NAME)", "mean(NAME, NAME) / 3", "NAME / 4 + NAME", "range(NAME)", "median(NAME)"), "NAME", q.name), q.unit)
		}
	}
	b.WriteString("  moment: {value: pull * arm, unit: N m}\n  cased: {by: gears, cases: {used: torque + spare, new: torque}}\n")
	b.WriteString("judge:\n")
	for _, q := range walkQuantities {
		switch then := pick("does not conform", "measure again", "advise", "wrong part"); {
		case q.mark:
			fmt.Fprintf(&b, "  %s: {is: A, then: %s}\n", q.name, then)
		case draw.IntN(2) == 0:
			fmt.Fprintf(&b, "  %s: {%s, then: %s}\n", q.name, pick("min: 2, max: 4", "max: 3.01", "min: 2.99"), then)
		default:
			fmt.Fprintf(&b, "  j_%s: {value: %s, unit: %s, %s, then: %s}\n", q.name, pick(q.name, "v_"+q.name, "2 * "+q.name), q.unit, pick("min: 0, max: 40", "max: 6.01", "min: "+q.name, "max: 3 * "+q.name), then)
		}
	}
	b.WriteString("  moment: {max: 100}\n  cased: {min: 1}\n")
	b.WriteString(pick("", "decide: guard band\n", "decide: {guard band: 0.9}\n", "decide: simple acceptance\n"))
	if draw.IntN(3) > 0 {
		q := walkQuantities[draw.IntN(len(walkQuantities)-1)]
		b.WriteString(pick("", fmt.Sprintf("keep_when: {value: %s, unit: %s, min: 2.9, max: 3.05}\n", q.name, q.unit)))
		b.WriteString("gap: len + gasket\nallow: {play: {min: 0.1, max: 0.2}}\npart: made to size\nchoose: {method: middle}\nverify:\n  measure:\n")
		var after []quantity
		for i, q := range walkQuantities {
			q.name = "after_" + q.name
			after = append(after, q)
			writeStep(&b, draw, "    ", q, i)
		}
		b.WriteString("  play: after_len / 20\n  judge:\n")
		for i, q := range after {
			if q.mark {
				fmt.Fprintf(&b, "    %s: {is: A, then: %s}\n", q.name, pick("advise", "wrong part", "measure again"))
			} else {
				fmt.Fprintf(&b, "    %s: {%s}\n", q.name, pick("max: 4", "min: "+walkQuantities[i].name+", max: 2 * "+walkQuantities[i].name))
			}
		}
	}
	return b.String()
}

func writeStep(b *strings.Builder, draw *rand.Rand, indent string, q quantity, known int) {
	pick := func(words ...string) string { return words[draw.IntN(len(words))] }
	if q.mark {
		fmt.Fprintf(b, "%s%s: {title: %s, one_of: [A, B]}\n", indent, q.name, q.name)
		return
	}
	details := pick("", ", repeats: 2", ", repeats: 2, agree: 5", ", repeats: 3, closes: 5, agree: 9", ", repeats: 2, take: smallest", ", repeats: 2, take: largest", ", repeats: 3, take: median", ", repeats: 3, take: {truncated mean: 1}", ", repeats: 2, outliers: none")
	details += pick("", ", plausible: {min: -50, max: 50}") + pick("", fmt.Sprintf(", instrument: known%d", known), ", instrument: unknown")
	if indent == "  " {
		details += pick("", "", "", ", when: {gears: used}")
	}
	fmt.Fprintf(b, "%s%s: {title: %s, unit: %s%s}\n", indent, q.name, q.name, q.unit, details)
}

// TestEveryQuantityEverywhere walks procedures with every kind of quantity through
// what reads them, what evaluates them, and a live job: nothing panics, and
// nothing that was rightly given is refused.
func TestEveryQuantityEverywhere(t *testing.T) {
	for seed := range uint64(24) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			draw := rand.New(rand.NewPCG(seed, 13))
			text := drawnProcedure(draw)
			p, err := vet.ReadProcedure("p.yaml", []byte(text))
			if err != nil {
				t.Fatalf("%v\n%s", err, text)
			}
			if err := vet.CheckWidths(p, "p.yaml", []byte(text)); err != nil && !strings.HasPrefix(err.Error(), "p.yaml:") {
				t.Errorf("%v\n%s", err, text)
			}
			walkJob(t, draw, p, text)
		})
	}
}

// walkJob takes a job through everything that it asks for.
func walkJob(t *testing.T, draw *rand.Rand, p *procedure.Procedure, text string) {
	r := rigWith(t, filepath.Join(t.TempDir(), "history.db"), text)
	j, err := r.StartJob(t.Context(), StartRequest{Procedure: "ring", UnitSerial: "X-1", Technician: "ann"})
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	for range 120 {
		next := j
		switch {
		case j.Stage == job.StageChoose || j.Stage == job.StageFit:
			next, err = r.Fit(t.Context(), FitRequest{Job: j.ID, Thickness: "3.15", Unit: gauge.Millimetre})
		case j.Stage == job.StageMeasure && j.Measuring != "", j.Stage == job.StageVerify && j.Measuring != "":
			s, _, _ := p.Step(j.Measuring)
			given := EnterRequest{Job: j.ID, Measurement: s.Name, Shown: []string{"3.00", "3.01", "2.99", "3.00"}[draw.IntN(4)], Unit: s.Unit}
			wrong := given
			if wrong.Unit = gauge.Kelvin; len(s.Codes) > 0 {
				given.Shown, given.Unit = s.Codes[draw.IntN(len(s.Codes))].Mark, gauge.UnitUnknown
				wrong.Shown = given.Shown
			}
			if _, _, no := r.Enter(t.Context(), wrong); !errors.Is(no, gauge.ErrRefused) && !errors.Is(no, gauge.ErrInput) {
				t.Fatalf("%s in K for %s: %v\n%s", wrong.Shown, s.Name, no, text)
			}
			next, _, err = r.Enter(t.Context(), given)
		default:
			if j.Stage == job.StageDecided {
				if _, err = r.Verify(t.Context(), j.ID, "ann"); err != nil {
					t.Fatal(err)
				}
			}
			if _, err = r.CloseJob(t.Context(), j.ID, "walked", "ann"); err != nil {
				t.Fatalf("closing at %s, %s: %v\n%s", j.Stage, j.Evaluation.Outcome, err, text)
			}
			if replay, err := r.ReplayVerdicts(t.Context(), j.ID); err != nil || len(replay.Differences) > 0 {
				t.Fatalf("%+v, %v", replay, err)
			}
			return
		}
		if err != nil {
			t.Fatalf("at %s of %s, %s: %v\n%s", j.Stage, j.Measuring, j.Evaluation.Outcome, err, text)
		}
		j = next
	}
	t.Fatalf("the job does not end: %s, %s\n%s", j.Stage, j.Evaluation.Outcome, text)
}
