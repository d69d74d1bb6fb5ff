package chart

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
)

// The measures of the names beside the field.
const (
	edgeWords  = 24 // characters in a line of a name, about
	edgeRow    = 16 // between lines of a name
	edgeApart  = 6  // between names
	edgeSample = 22 // width of the sample of a line before its name
	edgeMargin = 14 // between the field and the samples
	edgeClear  = 9  // between a mark and the dots that lead to its name
	leadless   = 40 // what ends no further from the edge needs none where its name is at its height
)

// edge is the name of a line or of marks, at the height at which they end, with a sample of
// how they are drawn.
type edge struct {
	of    float64 // height in the chart
	ended float64 // where along the chart it ends
	at    float64 // in the drawing, once it is settled
	words []string
	line  bool
	tone  Tone
	dash  string
	shape Shape   // empty: none
	from  float64 // where it ends in the drawing
	where float64 // at which height
}

// named are the names of what is drawn.
func (c Chart) named() (all []edge) {
	for _, l := range c.Lines {
		if n := len(l.Points); l.Name != "" && n > 0 {
			all = append(all, edge{of: l.Points[n-1].Y, ended: l.Points[n-1].X, words: wrapped(l.Name), line: true, tone: l.Tone, dash: l.Dash})
		}
	}
	for _, m := range c.Marks {
		if n := len(m.Points); m.Name != "" && n > 0 {
			all = append(all, edge{of: m.Points[n-1].Y, ended: m.Points[n-1].X, words: wrapped(m.Name), line: m.Joined, tone: m.Tone, dash: m.Dash, shape: m.Shape})
		}
	}
	return all
}

// wrapped is a name in lines of about so many characters.
func wrapped(name string) (lines []string) {
	for _, word := range strings.Fields(name) {
		if n := len(lines); n > 0 && len([]rune(lines[n-1]))+1+len([]rune(word)) <= edgeWords {
			lines[n-1] += " " + word
		} else {
			lines = append(lines, short(word))
		}
	}
	return lines
}

// edgeRoom is how wide the names beside the field are.
func edgeRoom(all []edge) int {
	longest := 0
	for _, e := range all {
		for _, line := range e.words {
			longest = max(longest, len([]rune(line)))
		}
	}
	if longest == 0 {
		return 30
	}
	return edgeMargin + edgeSample + 8 + charWidth*longest
}

func (e edge) height() float64 { return float64(edgeRow*len(e.words) + edgeApart) }

// edgesHeight is how high they are together.
func edgesHeight(all []edge) int {
	sum := 0.0
	for _, e := range all {
		sum += e.height()
	}
	return int(sum)
}

// settle moves names apart, each as near to its place as the others let it.
func settle(all []edge, top, bottom float64) {
	for i := range all {
		all[i].where = all[i].at
	}
	slices.SortStableFunc(all, func(a, b edge) int { return cmp.Compare(a.at, b.at) })
	free := top
	for i, e := range all {
		all[i].at = max(e.at, free+e.height()/2)
		free = all[i].at + e.height()/2
	}
	free = bottom
	for i, e := range slices.Backward(all) {
		all[i].at = min(e.at, free-e.height()/2)
		free = all[i].at - e.height()/2
	}
}

// draw draws the sample right of the field, and returns the name.
func (e edge) draw(out *strings.Builder, right int) (words []string) {
	from := right + edgeMargin
	if math.Abs(e.at-e.where) > 3 || e.from < float64(right)-leadless { // from its end to its name
		fmt.Fprintf(out, `<path class="lead" d="M%.1f %.1fH%dL%d %.1f" stroke-opacity="0.5" stroke-dasharray="1 3"%s/>`+"\n", min(e.from+edgeClear, float64(right)), e.where, right, from-2, e.at, stroke(e.tone))
	}
	if e.line {
		fmt.Fprintf(out, `<path d="M%d %.1fh%d"%s%s/>`+"\n", from, e.at, edgeSample, stroke(e.tone), dash(e.dash))
	}
	if e.shape != "" {
		e.shape.draw(out, float64(from+edgeSample/2), e.at)
	}
	y := e.at + 4 - float64(edgeRow*(len(e.words)-1))/2
	for i, line := range e.words {
		words = append(words, label(from+edgeSample+8, int(y)+edgeRow*i, "start", line))
	}
	return words
}
