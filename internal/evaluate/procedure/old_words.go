package procedure

import (
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// number is what the unit of a plain number is called in files.
var number = map[string]string{"1": gauge.Number}

// oldInProcedure are words that procedures had once. Versions in a history have them.
var oldInProcedure = append(inEachPlace([]shopfile.OldWord{
	{Path: "choose/aim", Now: "method", Values: map[string]string{"code": "marks"}, Plain: true},
	{Path: "choose/border", Now: "at_limit", Values: map[string]string{"inside": "fits", "outside": "does not fit"}, Plain: true},
}), []shopfile.OldWord{
	{Path: "measure/*/codes", Now: "one_of"},
	{Path: "verify/measure/*/codes", Now: "one_of"},
	{Path: "measure/*/unit", Values: number},
	{Path: "verify/measure/*/unit", Values: number},
	{Path: "instruments/*/unit", Values: number},
	{Path: "constants/*/unit", Values: number},
	{Path: "values/*/unit", Values: number},
	{Path: "tables/*/unit", Values: number},
	{Path: "tables/*/by/*", Values: number},
	{Path: "tables/*/by/*/unit", Values: number},
}...)

// oldInFamily are words that part families had once.
var oldInFamily = []shopfile.OldWord{
	{Path: "codes", Now: "by_marks"},
	{Path: "unit", Values: number},
}

// inEachPlace are words of a place: of the only one, or of one of several under fit.
func inEachPlace(words []shopfile.OldWord) []shopfile.OldWord {
	all := words
	for _, w := range words {
		w.Path = "fit/*/" + w.Path
		all = append(all, w)
	}
	return all
}
