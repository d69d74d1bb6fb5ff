package page

import (
	"fmt"
	"html/template"
	"strconv"
	"strings"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/health/drift"
	"gauged/internal/health/study"
	"gauged/internal/page/assets"
	"gauged/internal/page/drawn"
	"gauged/internal/page/figures"
	"gauged/internal/page/guard"
	"gauged/internal/page/memory"
	"gauged/internal/page/place"
	"gauged/internal/page/say"
	"gauged/internal/words"
)

// functions are what templates can call.
func functions(w words.Words, a assets.Assets) template.FuncMap {
	return template.FuncMap{
		"say": w.Say, "number": w.Number, "day": w.Date, "moment": w.Moment, "age": w.Age,
		"once":      guard.Field,
		"asset":     a.Path,
		"word":      words.Key,
		"unit":      words.Unit,
		"length":    func(l gauge.Length, u gauge.Unit) string { return say.Length(w, l, u) },
		"percent":   func(p *float64) string { return w.Number(strconv.FormatFloat(*p*100, 'f', 1, 64)) + " %" },
		"error":     func(x, standard float64, u gauge.Unit) string { return say.Error(w, x, standard, u) },
		"around":    func(x, expanded float64, u gauge.Unit) string { return say.Around(w, x, expanded, u) },
		"metres":    func(x float64, u gauge.Unit) string { return signedMetres(w, x, u) },
		"languages": func() any { return words.Languages },
		"count":     func(n *int) int { return *n },
		"tidy":      gauge.Digits,
		"shown":     func(text string, u gauge.Unit) (string, error) { return say.Shown(w, text, u) },
		"titled":    func(s procedure.Step) (string, error) { return say.Step(w, s) },
		"size":      func(text string) int { return min(max(len([]rune(text)), 4), 14) },
		"negative":  func(text string) bool { return strings.HasPrefix(text, "-") },
		"unsigned":  func(text string) string { return strings.TrimPrefix(text, "-") },
		"partname":  func(part string) (string, error) { return say.Part(w, part) },
		"tint":      tint,
		"limits":    func(l any, u gauge.Unit) (string, error) { return say.Limits(w, l, u) },
		"between":   func(l any, b *procedure.Limits, u gauge.Unit) (string, error) { return say.Between(w, l, b, u) },
		"judged":    func(j evaluate.Judgement) (string, error) { return say.Judged(w, j) },
		"wanted":    func(j evaluate.Judgement) (string, error) { return say.Wanted(w, j) },
		"typed":     func(p *procedure.Procedure, j evaluate.Judgement) (string, error) { return say.Typed(w, p, j) },
		"play": func(word procedure.Word, l any, b *procedure.Limits, u gauge.Unit) (string, error) {
			return say.Between(w, say.Called(word, l), word.CalledBetween(b), u)
		},
		"plays": func(word procedure.Word, l any, u gauge.Unit) (string, error) {
			if optional, ok := l.(*procedure.Limits); ok {
				l = *optional
			}
			return say.Limits(w, word.CalledLimits(l.(procedure.Limits)), u)
		},
		"leaves": func(word procedure.Word, l any, b *procedure.Limits, u gauge.Unit) (string, error) {
			return say.Leaves(w, word, l, b, u)
		},
		"left":        say.LeftWord,
		"suits":       func(v place.View, c *evaluate.Candidate) (string, error) { return say.Suits(w, v.Against(*c)) },
		"join":        func(names []string) string { return strings.Join(names, ", ") },
		"controlled":  drawn.Chart,
		"chance":      func(p *evaluate.Probability) string { return w.Chance(int(*p)) },
		"tell":        w.Tell,
		"cannot":      cannot,
		"keeps":       keeps,
		"unitname":    func(u gauge.Unit) (string, error) { return w.Say("unitname." + gauge.Key(strings.ToLower(u.Many()))) },
		"method":      func(method string) string { return adviceMethods[method] },
		"chart":       strings.ToLower,
		"expressed":   func(text string) string { return say.Expressed(w, text) },
		"term":        func(name string) string { return say.Term(w, name) },
		"share":       func(p *float64) string { return w.Number(strconv.FormatFloat(*p, 'f', 1, 64)) + " %" },
		"figure":      func(x *float64) string { return figures.Three(w, *x) },
		"verdicttint": wordTint,
		"placed": func(j jobPage, p place.View) any {
			return struct {
				Job   jobPage
				Place place.View
			}{j, p}
		},
		"next":   func(i int) int { return i + 1 },
		"pair":   func(a, b any) any { return struct{ A, B any }{a, b} },
		"row":    neighbour,
		"list":   func(items ...string) []string { return items },
		"lights": func() []string { return memory.Lights },
	}
}

// signedMetres writes a length of statistics with its sign, in the unit in which
// errors of a gauge are read.
func signedMetres(w words.Words, metres float64, u gauge.Unit) string {
	unit, size := say.ErrorUnit(u)
	return w.Number(fmt.Sprintf("%+.3g", metres/size)) + " " + unit
}

// tint is the class of an outcome's colours; its words say the same.
func tint(o evaluate.Outcome) string {
	switch o {
	case evaluate.Conforms, evaluate.Calculated:
		return "good"
	case evaluate.DoesNotConform, evaluate.NothingFits, evaluate.WrongPart:
		return "bad"
	case evaluate.MeasureAgain, evaluate.Undecided, evaluate.TooMany, evaluate.Advised:
		return "care"
	}
	return "next"
}

// wordTint is the class of the colours of a study's word; the word says the same.
func wordTint(word study.Word) string {
	switch word {
	case study.Acceptable, study.NoBias, study.Straight, study.Stable, study.Capable, study.NoDifference:
		return "good"
	case study.NotAcceptable, study.NotStable, study.NotCapable:
		return "bad"
	case study.NoWord:
		return "next"
	}
	return "care"
}

// neighbourRow is a grade beside others.
type neighbourRow struct {
	Job  jobPage
	Word procedure.Word // for the play
	C    *evaluate.Candidate
	Note string
	Out  bool // of stock
}

func neighbour(j jobPage, word procedure.Word, c *evaluate.Candidate, note string) neighbourRow {
	return neighbourRow{j, word, c, note, c.Stock != nil && *c.Stock == 0}
}

// adviceMethods are the methods of advice as the catalogue names them.
var adviceMethods = map[string]string{drift.StaircaseMethod: "staircase", drift.ControlChartMethod: "control-chart"}
