package doubt

import (
	"strings"

	"gauged/internal/gauge"
)

// Remedy says what would make a result more certain, by its greatest contribution.
func (a *Assessed) Remedy() gauge.Message {
	if a == nil {
		return gauge.Say("remedy.again")
	}
	return remedyFor(a.greatest().Name)
}

// kindOf is what a source of doubt is, without what it is of.
func kindOf(source string) string {
	if i := strings.LastIndex(source, ": "); i >= 0 {
		return source[i+2:]
	}
	return source
}

// remedyFor says what can be done about a contribution, by its kind.
func remedyFor(source string) gauge.Message {
	kind := kindOf(source)
	if gaugeOf, ok := strings.CutPrefix(kind, "expansion of the "); ok && gaugeOf != "part" {
		return gauge.Say("remedy.expansion", gauge.Text("gauge", strings.TrimPrefix(strings.TrimSuffix(gaugeOf, ", not stated"), gaugeOfStep)))
	}
	of := gauge.Text("of", strings.TrimSuffix(strings.TrimSuffix(source, kind), ": "))
	switch kind {
	case "tolerance", "tolerance of the part":
		return gauge.Say("remedy.tolerance", of)
	case "repeatability", "repeatability, pooled":
		return gauge.Say("remedy.readings", of)
	case "between the blades":
		return gauge.Say("remedy.blades")
	case "angle", "out of line":
		return gauge.Say("remedy.line", of)
	case "temperature", "temperature apart from the gauge's", "expansion of the part":
		return gauge.Say("remedy.temperature")
	case "error taken off":
		return gauge.Say("remedy.checked")
	}
	return gauge.Say("remedy.gauge", of)
}
