package doubt

import (
	"strings"

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

// Source names a contribution: its kind, and what it is of.
func Source(name string) gauge.Message {
	kind := kindOf(name)
	if of, ok := strings.CutPrefix(kind, "expansion of the "); ok && of != "part" {
		if of, unstated := strings.CutSuffix(of, ", not stated"); unstated {
			return gauge.Say("contribution.expansion_unstated", gauge.Text("gauge", of))
		}
		return gauge.Say("contribution.expansion", gauge.Text("gauge", of))
	}
	plain, more, _ := strings.Cut(kind, " (")
	code, ok := sources[plain]
	if !ok {
		return gauge.Plain(name)
	}
	var args []gauge.Arg
	if of := strings.TrimSuffix(strings.TrimSuffix(name, kind), ": "); of != "" {
		args = append(args, gauge.Text("of", of))
	}
	if n := strings.TrimSuffix(more, ")"); n != "" {
		args = append(args, gauge.Text("n", n))
	}
	return gauge.Say(code, args...)
}
