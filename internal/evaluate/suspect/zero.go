package suspect

import (
	"cmp"
	"slices"
	"strings"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// Apart is a result of readings that have no common zero, because they came from several
// gauges: the measurements that are to be taken again, and what is said of it.
type Apart struct {
	Steps []string
	Says  gauge.Message
}

// TwoZeros are the results, of what was measured before fitting or after, that are the
// difference of two readings on one zero, as of an indicator on a shaft that is pushed and
// pulled, and came from several gauges: such a difference says nothing.
func TwoZeros(j *compute.Job, after bool) (all []Apart) {
	look := func(x *formula.Expression, felt, proof bool) {
		a, b, two := j.DifferenceOf(x)
		again := slices.ContainsFunc(all, func(o Apart) bool { return slices.Equal(o.Steps, []string{a.Name, b.Name}) })
		if gauges := gaugesOf(j, a, b); two && !again && len(gauges) > 1 && onOneZero(j, a, b, felt, proof) {
			all = append(all, Apart{[]string{a.Name, b.Name}, gauge.Say("found.two_zeros", gauge.Text("a", a.Name), gauge.Text("b", b.Name), gauge.Texts("gauges", gauges))})
		}
	}
	judged, values, closing := j.P.Judge, j.P.Values, j.P.Gap
	if after {
		judged, values, closing = j.P.Proof, j.P.Proven, j.P.VerifyPlay
	}
	if k := j.P.KeepWhen; k != nil && !after {
		judged = append(slices.Clip(judged), *k)
	}
	for _, n := range values {
		if n.Play == procedure.PlayFelt {
			look(inCase(j, n), true, false)
		}
	}
	for _, r := range judged {
		look(inCase(j, r.Named), false, false)
	}
	if after || !j.P.ChoosesPart() {
		look(closing, false, after)
	}
	return all
}

// inCase is the formula of a result in the case that the marks say; nil where it has none.
func inCase(j *compute.Job, n procedure.Named) *formula.Expression {
	x, _ := j.Formula(n)
	return x
}

// RangeApart says so when a range was read with several gauges.
func RangeApart(j *compute.Job, s procedure.Step) (says gauge.Message, ok bool) {
	gauges := gaugesOf(j, s)
	if s.Take != procedure.TakeRange || len(gauges) < 2 {
		return says, false
	}
	return gauge.Say("found.two_zeros_in_range", gauge.Text("step", s.Name), gauge.Texts("gauges", gauges)), true
}

// onOneZero tells two readings on a zero that somebody set from two dimensions, such as a bore
// and a shaft, each of which may have a gauge of its own. Two dimensions are where the
// procedure names two instruments, or says that a measurement is no play, or where neither may
// be zero. Two readings are what must be felt as a play, what is a play after fitting, and
// what may be below zero, as no dimension is.
func onOneZero(j *compute.Job, a, b procedure.Step, felt, proof bool) bool {
	switch {
	case a.Play == procedure.PlayNone, b.Play == procedure.PlayNone, a.Instrument != b.Instrument && a.Instrument != "" && b.Instrument != "":
		return false
	case felt:
		return true
	case aboveZero(a) && aboveZero(b):
		return false
	}
	return proof || belowZero(j, a) || belowZero(j, b)
}

func aboveZero(s procedure.Step) bool { return s.Plausible.Min != nil && *s.Plausible.Min > 0 }

// belowZero reports whether a measurement may be below zero, or was.
func belowZero(j *compute.Job, s procedure.Step) bool {
	return s.Plausible.Min != nil && *s.Plausible.Min < 0 ||
		slices.ContainsFunc(j.In.Readings, func(r procedure.Reading) bool { return counts(r, s) && r.Value < 0 })
}

// gaugesOf are the gauges from which the readings of measurements came, in their order. What
// was typed in came from the instrument that was named with it; without one, none is known.
func gaugesOf(j *compute.Job, steps ...procedure.Step) (gauges []string) {
	for _, s := range steps {
		for _, r := range j.In.Readings {
			of := strings.TrimPrefix(cmp.Or(r.Gauge, j.In.Bound[s.Name]), gauge.TypedIn+": ")
			if counts(r, s) && of != "" && of != gauge.TypedIn && !slices.Contains(gauges, of) {
				gauges = append(gauges, of)
			}
		}
	}
	return gauges
}

func counts(r procedure.Reading, s procedure.Step) bool {
	return r.Measurement == s.Name && r.Discarded == ""
}
