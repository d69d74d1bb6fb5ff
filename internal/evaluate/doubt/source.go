package doubt

import (
	"slices"
	"strings"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// sources are the kinds of contributions, each with the message that names it.
var sources = map[string]string{
	"tolerance": "contribution.tolerance", "tolerance of the part": "contribution.tolerance_of_the_part",
	"repeatability": "contribution.repeatability", "repeatability, pooled": "contribution.repeatability_pooled", "resolution": "contribution.resolution",
	"error of the gauge": "contribution.error", "error of the gauge, varying": "contribution.error_varying", "calibration": "contribution.calibration",
	"between the blades": "contribution.blades", "out of line": "contribution.line", "angle": "contribution.angle", "angle, second order": "contribution.angle_second_order",
	"temperature": "contribution.temperature", "temperature apart from the gauge's": "contribution.temperature_apart",
	"expansion of the part": "contribution.expansion_of_the_part", "expansion and temperature together": "contribution.expansion_and_temperature",
	"near the next step": "contribution.next_step", "error taken off": "contribution.taken_off",
}

// What may stand behind the name of a contribution.
const (
	onlyOnce  = " (once; varies is not stated)" // see once
	cancels   = ", cancels"                     // its effects on the result make nothing together
	takenAway = ", taken away"                  // it makes the result smaller
)

// remarks are what may stand behind the name of a contribution, each with its text.
var remarks = map[string]string{
	onlyOnce: "contribution.remark.once", cancels: "contribution.remark.cancels", takenAway: "contribution.remark.taken_away",
}

// taken are the statistics of readings that a contribution may be of.
var taken = map[procedure.Take]string{
	procedure.TakeMean: "contribution.of.mean", procedure.TakeMedian: "contribution.of.median", procedure.TakeSmallest: "contribution.of.smallest",
	procedure.TakeLargest: "contribution.of.largest", procedure.TakeRange: "contribution.of.range", procedure.TakeTruncated: "contribution.of.truncated_mean",
}

// Source names a contribution: its kind, what it is of, and what is remarked about it.
func Source(name string) gauge.Message { return sourceOf(name, nil) }

// source is Source for a contribution of this job.
func (d *Doubts) source(name string) gauge.Message { return sourceOf(name, d.In.TakenOff) }

func sourceOf(name string, off []compute.TakenOff) gauge.Message {
	name, remarked := withoutRemarks(name)
	source := unremarked(name)
	if i := slices.IndexFunc(off, func(o compute.TakenOff) bool { return o.Name == name && !o.Says.IsZero() }); i >= 0 {
		source = off[i].Says
	}
	if len(remarked) > 0 {
		return gauge.Say("contribution.remarked", gauge.Nested("source", source), gauge.List("remarks", remarked...))
	}
	return source
}

// withoutRemarks takes what is remarked off the end of a name.
func withoutRemarks(name string) (rest string, remarked []gauge.Arg) {
	for again := true; again; {
		again = false
		for end, key := range remarks {
			if rest, ok := strings.CutSuffix(name, end); ok {
				name, again = rest, true
				remarked = append([]gauge.Arg{gauge.Word("", key)}, remarked...)
			}
		}
	}
	return name, remarked
}

func unremarked(name string) gauge.Message {
	kind := kindOf(name)
	if of, ok := strings.CutPrefix(kind, "expansion of the "); ok && of != "part" {
		code := "contribution.expansion"
		if stated, unstated := strings.CutSuffix(of, ", not stated"); unstated {
			code, of = "contribution.expansion_unstated", stated
		}
		if step, unnamed := strings.CutPrefix(of, gaugeOfStep); unnamed {
			return gauge.Say(code, gauge.Nested("gauge", gauge.Say("contribution.gauge_of", gauge.Text("step", step))))
		}
		return gauge.Say(code, gauge.Text("gauge", of))
	}
	plain, more, _ := strings.Cut(kind, " (")
	code, ok := sources[plain]
	if !ok {
		return gauge.Plain(name)
	}
	var args []gauge.Arg
	if of := strings.TrimSuffix(strings.TrimSuffix(name, kind), ": "); of != "" {
		args = append(args, contributionOf(of))
	}
	if n := strings.TrimSuffix(more, ")"); n != "" {
		args = append(args, gauge.Text("n", n))
	}
	return gauge.Say(code, args...)
}

// contributionOf is what a contribution is of: a measurement, several, a part, a table, or
// a statistic of the readings of a measurement.
func contributionOf(name string) gauge.Arg {
	var all []gauge.Arg
	statistics := false
	for one := range strings.SplitSeq(name, ", ") {
		arg := gauge.Text("", one)
		for take, code := range taken {
			if step, ok := strings.CutPrefix(one, string(take)+ofStep); ok {
				arg, statistics = gauge.Nested("", gauge.Say(code, gauge.Text("step", step))), true
			}
		}
		all = append(all, arg)
	}
	switch {
	case !statistics:
		return gauge.Text("of", name)
	case len(all) == 1:
		return gauge.Nested("of", *all[0].Message)
	}
	return gauge.List("of", all...)
}

// What stands between a statistic and its measurement, and before a measurement whose
// gauge has no name.
const (
	ofStep      = " of "
	gaugeOfStep = "gauge of "
)
