package study

import (
	"slices"

	"gauged/internal/gauge"
)

// lengths are the arguments of sentences that are lengths, by the code of the sentence. Their
// unit is that of the readings, which a study of plain numbers does not know.
var lengths = map[string][]string{
	"judged.no_bias": {"low", "high"},
	"judged.biased":  {"low", "high", "error"},
	"judged.sloped":  {"change"},
	"judged.drifts":  {"trend"},
}

// In is what a study says, with the unit of its readings at each length. A unit that is not
// known leaves it as it is.
func (h Headline) In(u gauge.Unit) Headline {
	if !u.Known() || u == gauge.One {
		return h
	}
	if h.Verdict != nil {
		verdict := *h.Verdict
		verdict.Text = WithUnit(verdict.Text, u)
		h.Verdict = &verdict
	}
	h.Notes = slices.Clone(h.Notes)
	for i := range h.Notes {
		h.Notes[i] = WithUnit(h.Notes[i], u)
	}
	return h
}

// WithUnit is a sentence of a study with the unit at each length, in what is nested in it too.
func WithUnit(m gauge.Message, u gauge.Unit) gauge.Message {
	if !u.Known() || u == gauge.One {
		return m
	}
	m.Args = argsIn(m.Args, u, lengths[m.Code])
	if m.Code == belowZeroCode && !slices.ContainsFunc(m.Args, func(a gauge.Arg) bool { return a.Name == "unit" }) {
		m.Args = append(m.Args, gauge.Text("unit", u.String()+"²")) // of a variance
	}
	return m
}

func argsIn(args []gauge.Arg, u gauge.Unit, of []string) []gauge.Arg {
	args = slices.Clone(args)
	for i, a := range args {
		switch {
		case a.Digits != "" && slices.Contains(of, a.Name):
			args[i].Unit = u
		case a.Message != nil:
			m := WithUnit(*a.Message, u)
			args[i].Message = &m
		case a.List != nil:
			args[i].List = argsIn(a.List, u, nil)
		}
	}
	return args
}
