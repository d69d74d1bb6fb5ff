package evaluate

import (
	_ "embed"
	"slices"
	"strings"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/evaluate/rounds"
	"gauged/internal/gauge"
)

// roundJob is a procedure with its readings, for one round after the other.
type roundJob struct {
	t      *testing.T
	p      *procedure.Procedure
	parts  procedure.Families
	in     compute.Input
	rounds int
}

func startRounds(t *testing.T, written, family string) *roundJob {
	t.Helper()
	p, err := readProcedure("p.yaml", []byte(written))
	if err != nil {
		t.Fatal(err)
	}
	f, err := procedure.ReadFamily("f.yaml", []byte(family))
	if err != nil {
		t.Fatal(err)
	}
	return &roundJob{t: t, p: p, parts: procedure.Families{f.ID: f}}
}

func (j *roundJob) read(measurement string, shown ...string) *roundJob {
	j.t.Helper()
	for _, text := range shown {
		r, err := j.p.Typed(measurement, text, typedIn(j.p, measurement))
		if err != nil {
			j.t.Fatal(err)
		}
		j.in.Readings = append(j.in.Readings, r)
	}
	return j
}

func (j *roundJob) fit(parts ...procedure.Fitted) *roundJob {
	j.in.Fitted = parts
	return j
}

func (j *roundJob) come() Evaluation {
	j.t.Helper()
	e, err := Evaluate(j.p, j.parts, j.in)
	if err != nil {
		j.t.Fatal(err)
	}
	return e
}

// next goes on with the next round, from the procedure of the first.
func (j *roundJob) next(first *procedure.Procedure) *roundJob {
	j.t.Helper()
	e := j.come()
	j.rounds++
	r := rounds.Round{Number: j.rounds, Readings: j.in.Readings}
	if e.Together != nil {
		r.Total = &e.Together.Wanted
	}
	for _, f := range e.EachFit() {
		r.Fitted = append(r.Fitted, *f.Fitted)
	}
	p, readings, _, err := rounds.Next(first, r, j.parts)
	if err != nil {
		j.t.Fatal(err)
	}
	return &roundJob{t: j.t, p: p, parts: j.parts, in: compute.Input{Readings: readings}, rounds: j.rounds}
}

func sumsText(e Evaluation) string {
	var lines []string
	for _, s := range e.Sums {
		lines = append(lines, s.Name+" = "+s.Expression+" = "+s.Worked)
	}
	return strings.Join(lines, "; ")
}

const ringRounds = `procedure: p
title: t
unit: mm
instruments: {dial: {error: 0.004}, micrometer: {error: 0.002}}
measure: {gap_read: {title: gap, instrument: dial}}
gap: gap_read
allow: {play: {min: 0.10, max: 0.20}}
parts: kit
choose: {method: middle, measured_with: micrometer}
verify:
  measure: {pushed: {title: in, instrument: dial}, pulled: {title: out, instrument: dial}}
  play: pulled - pushed
`

const ringKit = `family: kit
title: kit
unit: mm
grades:
  - {part: A, thickness: 1.50, tolerance: 0.01}
  - {part: B, thickness: 1.60, tolerance: 0.01}
`

func contributionsText(e Evaluation, name string) string {
	for _, b := range e.Budgets {
		if b.Of == name {
			var all []string
			for _, c := range b.Contributions {
				all = append(all, c.Source)
			}
			return strings.Join(all, "; ")
		}
	}
	return ""
}

// TestTheGapOfTheNextRound: what is in and the play that it left. The error of the
// gauge cancels in the play, as it does in any difference; the part counts with its
// micrometer, or with what is stated of it.
func TestTheGapOfTheNextRound(t *testing.T) {
	measured := gauge.MustLength("1.498", gauge.Millimetre)
	cases := []struct {
		fitted     procedure.Fitted
		sums, from string
	}{
		{procedure.Fitted{Part: "A"}, "play_1 = pulled_1 - pushed_1 = 0.250 - 0.000; gap = fitted_1 + play_1 = 1.500 + 0.250", "fitted_1: tolerance"},
		{procedure.Fitted{Part: "A", Thickness: &measured}, "play_1 = pulled_1 - pushed_1 = 0.250 - 0.000; gap = fitted_1 + play_1 = 1.498 + 0.250", "fitted_1: error"},
	}
	for _, c := range cases {
		j := startRounds(t, ringRounds, ringKit)
		first := j.p
		j.read("gap_read", "1.65").fit(c.fitted).read("pushed", "0.00").read("pulled", "0.25")
		if e := j.come(); e.Outcome != DoesNotConform {
			t.Fatal(e.Outcome)
		}
		next := j.next(first)
		e := next.come()
		got := contributionsText(e, "gap")
		if e.Recommended() != "B" || sumsText(e) != c.sums || !strings.Contains(got, c.from) {
			t.Errorf("%s: %s, %q of %q", c.fitted.Part, e.Recommended(), sumsText(e), got)
		}
		third := next.fit(procedure.Fitted{Part: "B"}).read("pushed", "0.00").read("pulled", "0.22").next(first)
		if e := third.come(); !strings.HasSuffix(sumsText(e), "gap = fitted_2 + play_2 = 1.600 + 0.220") || e.Outcome != FitPart && e.Outcome != NothingFits {
			t.Errorf("%s, %s", e.Outcome, sumsText(e))
		}
	}
}

// TestSharedErrorOfTheNextRound: a gauge that measured the part, too, counts once
// with both; one that reads the play directly counts in the gap and in the proof,
// and cancels only in their difference.
func TestSharedErrorOfTheNextRound(t *testing.T) {
	written := strings.NewReplacer("measured_with: micrometer", "measured_with: dial",
		"pushed: {title: in, instrument: dial}, pulled: {title: out, instrument: dial}", "end_play: {title: play, instrument: dial}",
		"pulled - pushed", "end_play").Replace(ringRounds)
	j := startRounds(t, written, ringKit)
	first := j.p
	thickness := gauge.MustLength("1.500", gauge.Millimetre)
	j.read("gap_read", "1.65").fit(procedure.Fitted{Part: "A", Thickness: &thickness}).read("end_play", "0.25")
	e := j.next(first).come()
	for _, b := range e.Budgets {
		if b.Of != "gap" {
			continue
		}
		// Twice the 4 um of one gauge: 8/sqrt(3) um, not 4*sqrt(2)/sqrt(3).
		if got := b.Standard.Text(gauge.Micrometre, 2); got != "4.62" || len(b.Contributions) != 1 {
			t.Errorf("%s um, %+v", got, b.Contributions)
		}
		return
	}
	t.Errorf("the gap has no budget: %+v", e.Budgets)
}

// TestAPreloadGoesBack: what is measured of a preload is a negative play, and a
// play of nought says nothing.
func TestAPreloadGoesBack(t *testing.T) {
	const written = `procedure: p
title: t
unit: mm
measure: {gap_read: {title: gap, plausible: {min: 1, max: 2}}}
gap: gap_read
allow: {preload: {min: 0.04, max: 0.08}}
parts: kit
choose: {method: middle}
verify:
  measure: {free: {title: free height}, closed: {title: height when closed}}
  play: closed - free
`
	kit := "family: kit\ntitle: kit\nunit: mm\nseries: {from: 1.00, to: 2.00, step: 0.02}\n"
	for closed, want := range map[string]string{"9.98": "gap = fitted_1 + play_1 = 1.560 + (-0.020): 1.60", "10.00": "no next round", "10.05": "gap = fitted_1 + play_1 = 1.560 + 0.050: 1.66"} {
		j := startRounds(t, written, kit)
		first := j.p
		j.read("gap_read", "1.50").fit(procedure.Fitted{Part: "1.56"}).read("free", "10.00").read("closed", closed)
		e := j.next(first).come()
		if got := sumsText(e) + ": " + e.Recommended() + findingsText(e); !strings.Contains(got, want) || (e.Outcome == MeasureAgain) != (closed == "10.00") {
			t.Errorf("closed at %s: %s, %s", closed, e.Outcome, got)
		}
	}
}

//go:embed testdata/carrier_rounds.yaml
var carrierRounds string

// TestBothSidesGoOn: packs that are in and the lash of the proof; the end play is
// then the preload that is in, so that it does not come in twice.
func TestBothSidesGoOn(t *testing.T) {
	j := startRounds(t, carrierRounds, "family: kit\ntitle: kit\nunit: mm\nseries: {from: 1.00, to: 4.00, step: 0.02}\n")
	first := j.p
	j.read("gears", "new").read("left_trial", "2.50").read("right_trial", "3.30").read("end_play", "0.12").read("lash", "0.19", "0.18")
	if e := j.come(); e.Fits[0].Recommended() != "2.60" && e.Fits[0].Pack == nil {
		t.Fatalf("%+v", e.Fits[0])
	}
	j.fit(procedure.Fitted{Place: "left", Part: "1.00 + 1.60"}, procedure.Fitted{Place: "right", Part: "3.40"})
	thickness := gauge.MustLength("2.60", gauge.Millimetre)
	j.in.Fitted[0].Thickness = &thickness
	j.read("lash_after", "0.22", "0.23")
	if e := j.come(); e.Outcome != DoesNotConform {
		t.Fatalf("%s %s", e.Outcome, findingsText(e))
	}
	next := j.next(first)
	e := next.come()
	want := "left_trial = left_fitted_1 = 2.600; right_trial = right_fitted_1 = 3.400; end_play = -preload = -0.080; move = (lash - wanted) * shim_for_lash = (0.220 - 0.180) * 2"
	if !strings.Contains(sumsText(e), want) {
		t.Errorf("%s", sumsText(e))
	}
	if got := *e.Fits[0].Aim + *e.Fits[1].Aim; got != gauge.MustLength("6.00", gauge.Millimetre) || *e.Fits[0].Aim != gauge.MustLength("2.68", gauge.Millimetre) {
		t.Errorf("the total becomes %s, left %s", got.Text(gauge.Millimetre, 3), e.Fits[0].Aim.Text(gauge.Millimetre, 3))
	}
	// Fed with the wanted lash, a round names what is in.
	next.fit(procedure.Fitted{Place: "left", Part: "2.68", Thickness: e.Fits[0].Aim}, procedure.Fitted{Place: "right", Part: "3.32"})
	next.read("lash_after", "0.18", "0.19")
	e = next.next(first).come()
	if *e.Fits[0].Aim != gauge.MustLength("2.68", gauge.Millimetre) || *e.Fits[1].Aim != gauge.MustLength("3.32", gauge.Millimetre) {
		t.Errorf("%s", sumsText(e))
	}
}

// TestAValueWithoutATitleGoesOnWithoutOne: a value of the proof that has no title is
// called by its name in the next round too, not by the round alone; one with a title
// has the round behind it.
func TestAValueWithoutATitleGoesOnWithoutOne(t *testing.T) {
	for given, want := range map[string]string{"pulled - pushed": "", "{title: lash, value: pulled - pushed}": "lash (round 1)"} {
		written := strings.Replace(ringRounds, "play: pulled - pushed", "values: {left: "+given+"}\n  play: left", 1) +
			"rounds: {next: {gap_read: fitted + left}}\n"
		j := startRounds(t, written, ringKit)
		first := j.p
		j.read("gap_read", "1.75")
		thickness := gauge.MustLength("1.50", gauge.Millimetre)
		j.fit(procedure.Fitted{Part: "A", Thickness: &thickness, Measured: true}).read("pushed", "0.00").read("pulled", "0.25")
		next := j.next(first)
		i := slices.IndexFunc(next.p.Values, func(n procedure.Named) bool { return n.Name == "left_1" })
		if i < 0 || next.p.Values[i].Title != want {
			t.Errorf("%s: want the value left_1 with the title %q: %+v", given, want, next.p.Values)
		}
		if got := sumsText(next.come()); !strings.Contains(got, "gap_read = fitted_1 + left_1 = 1.500 + 0.250") {
			t.Errorf("%s: %s", given, got)
		}
	}
}

// TestRoundsAreRead: what cannot be is found when the file is loaded.
func TestRoundsAreRead(t *testing.T) {
	cases := []struct{ base, old, new, problem string }{
		{ringRounds, "verify:", "rounds: {most: 0}\nverify:", `p.yaml:10:16: "0" is not a whole number from 1 to 20`},
		{carrierRounds, "left_trial: fitted(left)", "left: fitted(left)", `p.yaml:22:10: "left" is no measurement before fitting with a number`},
		{carrierRounds, "left_trial: fitted(left)", "gears: fitted(left)", `"gears" is no measurement before fitting with a number`},
		{carrierRounds, "left_trial: fitted(left)", "left_trial: fitted(middle)", `p.yaml:22:22: "fitted(middle)" is not known here`},
		{carrierRounds, "left_trial: fitted(left)", "left_trial: left_trial", `"left_trial" is not known here`},
		{carrierRounds, "left_trial: fitted(left)", "left_trial: fitted(left) * shim_for_lash * wanted", "length is needed here"},
		{carrierRounds, "lash: lash_after", "lash: lash_after + 0", `p.yaml:22:64: "range(lash)" looks at the readings of lash, and a formula has none`},
		{carrierRounds, "min: 0.17", "min: left_trial - 2.33", `the limits of lash_left follow from left_trial, which would be another in the next round`},
		{carrierRounds, "next: {left_trial: fitted(left), right_trial: fitted(right), lash: lash_after, end_play: -preload}", "next: {}", "say at least of one measurement how it follows from the proof"},
		{ringRounds[:strings.Index(ringRounds, "verify:")], "parts: kit", "parts: kit\nrounds: {most: 2}", "a round follows from a proof: give verify"},
	}
	for _, c := range cases {
		_, err := readProcedure("p.yaml", []byte(strings.Replace(c.base, c.old, c.new, 1)))
		if err == nil || !strings.Contains(err.Error(), c.problem) {
			t.Errorf("%s: %v", c.new, err)
		}
	}
}

// TestWhyNoRoundFollows: where neither the usual way nor the file says how.
func TestWhyNoRoundFollows(t *testing.T) {
	cases := []struct{ procedure, why string }{
		{carrierRounds[:strings.Index(carrierRounds, "rounds:")], "fits several places and does not say how each measurement of the next round follows"},
		{strings.NewReplacer("gap: gap_read\n", "thickness: gap_read\n", "allow: {play: {min: 0.10, max: 0.20}}\n", "", "method: middle", "method: nearest", "  play: pulled - pushed\n", "  judge: {pulled: {max: 1}}\n").Replace(ringRounds), "is not a gap less a play"},
		{strings.Replace(ringRounds, "  play: pulled - pushed\n", "  judge: {pulled: {max: 1}}\n", 1), "proves no play"},
		{ringRounds[:strings.Index(ringRounds, "verify:")], "measures nothing after fitting"},
	}
	for _, c := range cases {
		p, err := readProcedure("p.yaml", []byte(c.procedure))
		if err != nil {
			t.Fatal(err)
		}
		if err := p.GoesOn(); err == nil || !strings.Contains(english().Error(err), c.why) {
			t.Errorf("%v, wanted %s", err, c.why)
		}
	}
}
