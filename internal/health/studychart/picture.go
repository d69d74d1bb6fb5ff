// Package studychart draws the studies of a gauge: by part and person, ranges,
// components of variation, errors over reference values, readings in their order.
package studychart

import (
	"math"
	"strconv"
	"strings"

	"gauged/internal/chart"
	"gauged/internal/health/study"
	"gauged/internal/uncertainty"
)

// Drawing is a chart in its two forms.
type Drawing interface {
	// SVG is a document of its own.
	SVG() string
	// Text is about width by height characters of ASCII.
	Text(width, height int) string
}

// Named is a drawing with a name that fits into the name of a file.
type Named struct {
	Name string
	Drawing
}

// Words have the texts of drawings by their keys, below "study.", in any language.
type Words interface {
	Say(key string, args ...any) (string, error)
	// Number writes decimal text with a point as the language does.
	Number(text string) string
}

// About says of a reading in a drawing what it is, and the address of more about it.
type About func(study.Row) (note, link string)

// Of draws a study, whose values are in the unit; an empty one stands for plain
// numbers. What is drawn from readings is left out of a study that was read back
// and given no data. A nil about leaves the points without notes. The error names a text that
// is missing.
func Of(s *study.Study, unit string, w Words, about About) ([]Named, error) {
	p := &painter{Study: s, unit: unit, words: w, about: about}
	var all []Named
	if s.Data != nil {
		all = p.readings()
	}
	switch {
	case s.Variation != nil:
		all = append(all, Named{"components", p.components(s.Variation)})
	case s.Levels != nil:
		all = append(all, Named{"levels", p.levels(s.Levels)})
	}
	for i, one := range all {
		switch d := one.Drawing.(type) {
		case chart.Chart:
			d.Number = w.Number
			all[i].Drawing = d
		case chart.Bars:
			d.Number = w.Number
			all[i].Drawing = d
		}
	}
	return all, p.err
}

type painter struct {
	*study.Study
	unit  string
	words Words
	about About
	err   error // the first text that is missing
}

// say is a text of studies.
func (p *painter) say(key string, args ...any) string {
	said, err := p.words.Say("study."+key, args...)
	if err != nil && p.err == nil {
		p.err = err
	}
	return said
}

// text is a text on a drawing.
func (p *painter) text(key string, args ...any) string { return p.say("drawing."+key, args...) }

// title is what a drawing is called.
func (p *painter) title(name string) string { return p.say("chart." + name) }

// shows says what a drawing shows.
func (p *painter) shows(name string, args ...any) string { return p.text("about."+name, args...) }

// source is the name of a component of the variation.
func (p *painter) source(name string) string {
	return p.say("source." + strings.ReplaceAll(name, " ", "-"))
}

// readings are the drawings in which single readings are seen.
func (p *painter) readings() []Named {
	switch {
	case p.Variation != nil && p.Variation.Design == string(study.NestedKind):
		return []Named{{"by-person", p.byPerson()}}
	case p.Variation != nil:
		return []Named{{"by-part", p.byPart()}, {"ranges", p.ranges()}}
	case p.OneWay != nil:
		return []Named{{"groups", p.groups()}}
	case p.Bias != nil:
		return []Named{{"bias", p.bias()}}
	case p.Linearity != nil:
		return []Named{{"linearity", p.linearity()}}
	case p.Stability != nil:
		return []Named{{"run-chart", p.stability()}}
	case p.Capability != nil:
		return []Named{{"readings", p.capability()}}
	}
	return nil
}

// in names what is counted, with the unit.
func (p *painter) in(what string) string {
	if p.unit == "" {
		return p.text(what)
	}
	return p.text(what) + " in " + p.unit
}

// plain writes a figure without a unit.
func (p *painter) plain(x float64) string { return p.words.Number(study.Number(x)) }

// number writes a figure with the unit.
func (p *painter) number(x float64) string { return strings.TrimSpace(p.plain(x) + " " + p.unit) }

// known writes a figure of a standard uncertainty with the unit, rounded to it.
func (p *painter) known(x, u float64) string {
	if !(u > 0) {
		return p.number(x)
	}
	written, _ := uncertainty.TwoDigits(x, u)
	return strings.TrimSpace(p.words.Number(written) + " " + p.unit)
}

// scattered writes a standard deviation of n readings, or what goes with it, with the digits
// that it has: it is known to one part in the root of 2(n-1), about (JCGM 100, E.4.3).
func (p *painter) scattered(x float64, n int) string {
	return p.known(x, math.Abs(x)/math.Sqrt(2*float64(max(n-1, 1))))
}

// index writes an index, which has no unit, in the same way.
func (p *painter) index(x float64, n int) string {
	return strings.TrimSpace(strings.TrimSuffix(p.scattered(x, n), p.unit))
}

// value is a reading as it was.
func (p *painter) value(r study.Row) float64 { return p.Data.Origin + r.Value }

// reading is the point of a reading.
func (p *painter) reading(x, y float64, r study.Row) chart.Point {
	at := chart.Point{X: x, Y: y}
	if p.about != nil {
		at.Note, at.Link = p.about(r)
	}
	return at
}

// level is a line at one height.
func level(name string, r rune, dash string, from, to, y float64) chart.Line {
	return chart.Line{Name: name, Rune: r, Dash: dash, Points: []chart.Point{{X: from, Y: y}, {X: to, Y: y}}}
}

// limit is a line that is passed only by what is wrong.
func limit(name string, r rune, dash string, from, to, y float64) chart.Line {
	l := level(name, r, dash, from, to, y)
	l.Tone = chart.Limit
	return l
}

// inOrder are the labels in the order in which they come first, and their places from 1.
func inOrder(rows []study.Row, label func(study.Row) string) (labels []string, place map[string]float64) {
	place = map[string]float64{}
	for _, r := range rows {
		if l := label(r); place[l] == 0 {
			labels = append(labels, l)
			place[l] = float64(len(labels))
		}
	}
	return labels, place
}

func ticks(labels []string) (all []chart.Tick) {
	for i, l := range labels {
		all = append(all, chart.Tick{X: float64(i + 1), Label: l})
	}
	return all
}

// counted are the ticks of n readings, labelled by label where there is one.
func counted(n int, label func(int) string) (all []chart.Tick) {
	for i := range n {
		text := label(i)
		if text == "" {
			text = strconv.Itoa(i + 1)
		}
		all = append(all, chart.Tick{X: float64(i + 1), Label: text})
	}
	return all
}

// shapes and letters tell people apart. From the seventh on the shapes come
// again; the letters, and the dashes of the lines, go on.
var shapes = []chart.Shape{chart.Circle, chart.Square, chart.Triangle, chart.Diamond, chart.Cross, chart.Plus}

var dashes = []string{"", "9 4", "3 3", "12 3 3 3", "1 4", "6 2 1 2 1 2", "15 5"}

const letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"

func shape(i int) chart.Shape { return shapes[i%len(shapes)] }
func dash(i int) string       { return dashes[i%len(dashes)] }
func letter(i int) rune       { return rune(letters[i%len(letters)]) }

// legend names a person, and in text the letter that stands for them.
func (p *painter) legend(name string) string { return p.text("mean-of") + " " + name }
