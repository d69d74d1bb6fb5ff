package evaluate

import (
	"fmt"
	"strings"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// TestAPlayOfTwoGauges: a play that is the difference of two readings on one zero is asked back
// where they came from two gauges, and two dimensions, each with its gauge, are not. Numbers ours.
func TestAPlayOfTwoGauges(t *testing.T) {
	const (
		result = "measure: {in: {title: in}, out: {title: out}}\ngap: out - in\nallow: {result: {min: 0.05, max: 0.25}}"
		proof  = "measure: {g: {title: g}}\ngap: g\nallow: {play: {min: 0.05, max: 0.25}}\npart: made to size\nchoose: {aim: {play: 0.15}}\nverify: {measure: {in: {title: in}, out: {title: out}}, SUM}"
		said   = "in and out are two readings on one zero, and came from left, right. Gauges have no common zero, so their difference is no play. Discard these readings, and measure both again with one gauge."
		other  = "out and in are two readings on one zero, and came from right, left. Gauges have no common zero, so their difference is no play. Discard these readings, and measure both again with one gauge."
	)
	below := func(s string) string {
		return strings.Replace(s, "{title: in}", "{title: in, plausible: {min: -1}}", 1)
	}
	direct := strings.Replace(proof, "SUM", "play: out - in", 1)
	for _, c := range []struct {
		name, procedure, readings, said string
	}{
		{"two dimensions", result, "in@left 10.00 out@right 10.20", ""},
		{"below zero", result, "in@left -0.10 out@right 0.10", other},
		{"perhaps below zero", below(result), "in@left 0.00 out@right 0.20", other},
		{"one gauge", below(result), "in@left 0.00 out@left 0.20", ""},
		{"one of them typed", below(result), "in@ 0.00 out@left 0.20", ""},
		{"typed, and no gauge was named", below(result), "in@left 0.00 out@typed 0.20", ""},
		{"typed from the same gauge", below(result), "in@left 0.00 out@typed:_left 0.20", ""},
		{"typed from another", below(result), "in@left 0.00 out@typed:_right 0.20", other},
		{"two instruments of the procedure", strings.NewReplacer("title: in", "title: in, instrument: a", "title: out", "title: out, instrument: b").Replace(below(result)), "in@left 0.00 out@right 0.20", ""},
		{"said to be no play", strings.Replace(below(result), "title: out", "title: out, play: no", 1), "in@left 0.00 out@right 0.20", ""},
		{"after fitting", direct, "g@left 1.70 in@left 0.10 out@right 0.30", other},
		{"after fitting, through a value", strings.Replace(proof, "SUM", "values: {p: out - in}, play: p", 1), "g@left 1.70 in@left 0.10 out@right 0.30", other},
		{"after fitting, judged", strings.Replace(below(proof), "SUM", "judge: {p: {value: out - in, min: 0.05}}", 1), "g@left 1.70 in@left 0.10 out@right 0.30", other},
		{"after fitting, two dimensions", strings.NewReplacer("title: in", "title: in, plausible: {min: 5}", "title: out", "title: out, plausible: {min: 5}").Replace(direct), "g@left 1.70 in@left 10.10 out@right 10.30", ""},
		{"felt", "measure: {in: {title: in}, out: {title: out}}\nvalues: {p: {value: in - out, play: must be felt}}\nthickness: 1 + p\npart: made to size", "in@left 0.30 out@right 0.10", said},
		{"a sum", "measure: {in: {title: in, plausible: {min: -1}}, out: {title: out}}\nconstants: {c: 1}\ngap: out + c - in\nallow: {result: {max: 2}}", "in@left 0.00 out@right 0.20", ""},
		{"a discarded one", below(result), "in@left 0.00 out@right! 0.20 out@left 0.20", ""},
		{"a range", "measure: {turn: {title: turn, take: range, repeats: 2}}\ngap: turn\nallow: {result: {max: 1}}", "turn@left 0.00 turn@right 0.20", "turn is the largest less the smallest reading, and these came from left, right. Gauges have no common zero. Discard them, and measure again with one gauge."},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, err := readProcedure("p.yaml", []byte("procedure: p\ntitle: t\nunit: mm\n"+c.procedure+"\n"))
			if err != nil {
				t.Fatal(err)
			}
			in := compute.Input{Fitted: []procedure.Fitted{{Part: "1.50"}}}
			if !p.ChoosesPart() {
				in.Fitted = nil
			} else {
				size := mm("1.5")
				in.Fitted[0].Thickness = &size
			}
			words := strings.Fields(c.readings)
			for i := 0; i < len(words); i += 2 {
				name, from, _ := strings.Cut(strings.ReplaceAll(words[i], "_", " "), "@")
				r, err := p.Typed(name, words[i+1], gauge.Millimetre)
				if err != nil {
					t.Fatal(err)
				}
				if r.Gauge = strings.TrimSuffix(from, "!"); r.Gauge != from {
					r.Discarded = "slipped"
				}
				in.Readings = append(in.Readings, r)
			}
			e, err := Evaluate(p, nil, in)
			if err != nil {
				t.Fatal(err)
			}
			if got := findingOf(e, FindingTwoZeros); got != c.said || (e.Outcome == MeasureAgain) != (c.said != "") {
				t.Errorf("%s: %q", e.Outcome, findingsText(e))
			}
			due := ""
			for _, m := range e.Measurements {
				if !m.Complete {
					due += m.Name
				}
			}
			if c.said != "" && due != "inout" && due != "turn" {
				t.Errorf("to be measured again: %q", due)
			}
			in.AnyZero = true
			if e, err = Evaluate(p, nil, in); err != nil || e.Outcome == MeasureAgain || findingOf(e, FindingTwoZeros) != "" {
				t.Error(fmt.Sprint("by the rules of before: ", e.Outcome, err, findingsText(e)))
			}
		})
	}
}
