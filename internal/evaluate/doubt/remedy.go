package doubt

import "strings"

// Remedy says what would make a result more certain, by its greatest contribution.
func (a *Assessed) Remedy() string {
	if a == nil {
		return "measure again"
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
func remedyFor(source string) string {
	kind := kindOf(source)
	if strings.HasPrefix(kind, "expansion of ") && kind != "expansion of the part" {
		return "state " + strings.TrimSuffix(kind, ", not stated") + " closer, or let part and gauge come to 20 degC"
	}
	of := strings.TrimSuffix(strings.TrimSuffix(source, kind), ": ")
	switch kind {
	case "tolerance", "tolerance of the part":
		return "measure " + of + " itself instead of taking it as it is stated"
	case "repeatability", "repeatability, pooled":
		return "take more readings of " + of
	case "between the blades":
		return "try the blades between, or measure with an indicator"
	case "angle", "out of line":
		return "set the gauge of " + of + " up in line"
	case "temperature", "temperature apart from the gauge's", "expansion of the part":
		return "let part and gauge come to 20 degC"
	case "error taken off":
		return "have the gauge checked"
	}
	return "measure " + of + " with a better gauge"
}
