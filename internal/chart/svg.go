package chart

import (
	"fmt"
	"html"
	"math"
	"strings"
)

// The measures of the drawing, in its own units.
const (
	drawingWidth = 830
	fieldLeft    = 80
	fieldTop     = 56
	fieldHeight  = 320 // at least: more where many labels stand beside it
	apart        = 14  // of labels along the x axis, at least
	touchRadius  = 14  // of a point that leads somewhere
)

// The colours of a drawing: those of the page that it stands in, and black on white by itself.
const (
	ground = "var(--card, white)"
	alarm  = "var(--bad, currentColor)"
	quiet  = "var(--quiet, currentColor)"
)

// colour is the stroke of a tone; the text of a label has it too.
func (t Tone) colour() string {
	switch t {
	case Limit:
		return alarm
	case Quiet:
		return quiet
	}
	return "currentColor"
}

// SVG draws the chart as a document of its own, which can stand in a page too: it takes the
// colours of its page, holds no script, no style and no id, and loads nothing.
func (c Chart) SVG() string {
	p := c.plan()
	bottom := p.height + fieldTop
	total := bottom + 36
	if c.Along != "" {
		total += 22
	}
	var out strings.Builder
	begin(&out, c.Title, c.Description, total, c.leads())
	words := []string{heading(10, 22, c.Title), label(10, 44, "start", c.Up)}
	words = append(words, c.drawAxes(&out, p)...)
	for _, l := range c.Lines {
		p.drawLine(&out, l)
	}
	for _, f := range c.Flags {
		words = append(words, p.drawFlag(&out, f)...)
	}
	for _, m := range c.Marks {
		words = append(words, c.drawMarks(&out, p, m)...)
	}
	for _, e := range p.edges {
		words = append(words, e.draw(&out, p.right())...)
	}
	end(&out, words)
	return out.String()
}

// leads reports whether a point leads somewhere.
func (c Chart) leads() bool {
	for _, m := range c.Marks {
		for _, p := range m.Points {
			if p.Link != "" {
				return true
			}
		}
	}
	return false
}

// plan is where the field of a chart lies in the drawing.
type plan struct {
	box
	width, height int
	edges         []edge
}

func (c Chart) plan() plan {
	p := plan{box: c.bounds(), height: fieldHeight}
	p.edges = c.named()
	p.width = drawingWidth - fieldLeft - edgeRoom(p.edges)
	p.height = max(p.height, edgesHeight(p.edges))
	for i := range p.edges {
		p.edges[i].at, p.edges[i].from = p.y(p.edges[i].of), p.x(p.edges[i].ended)
	}
	settle(p.edges, fieldTop, float64(fieldTop+p.height))
	return p
}

func (p plan) right() int { return fieldLeft + p.width }

// x and y are where a value lies in the drawing; a height that is cut lies on the edge.
func (p plan) x(x float64) float64 { return fieldLeft + float64(p.width)*p.across(x) }

func (p plan) y(y float64) float64 {
	return fieldTop + float64(p.height)*(1-min(max(p.up(y), 0), 1))
}

// inside reports whether a height is drawn.
func (b box) inside(y float64) bool { return y >= b.low && y <= b.high }

// drawAxes draws the axes with their ticks, and returns the labels.
func (c Chart) drawAxes(out *strings.Builder, p plan) (words []string) {
	bottom := fieldTop + p.height
	values, texts := p.steps(8, c.Number)
	for i, v := range values {
		fmt.Fprintf(out, `<path d="M%d %.1fH%d" stroke-opacity="0.15"/>`+"\n", fieldLeft, p.y(v), p.right())
		words = append(words, label(fieldLeft-8, int(p.y(v))+4, "end", texts[i]))
	}
	fmt.Fprintf(out, `<path d="M%d %dV%dH%d"/>`+"\n", fieldLeft, fieldTop, bottom, p.right())
	free := 0.0
	for _, t := range c.Ticks {
		x, text := p.x(t.X), short(t.Label)
		half := float64(charWidth*len([]rune(text))) / 2
		middle := min(x, drawingWidth-half-4) // the last one must not run out of the drawing
		if t.X < p.box.left || t.X > p.box.right || middle-half < free {
			continue
		}
		fmt.Fprintf(out, `<path d="M%.1f %dv6"/>`+"\n", x, bottom)
		words = append(words, label(int(middle), bottom+22, "middle", text))
		free = middle + half + apart
	}
	if c.Along != "" {
		words = append(words, label(fieldLeft+p.width/2, bottom+44, "middle", c.Along))
	}
	return words
}

// drawLine draws what of a line is inside the field.
func (p plan) drawLine(out *strings.Builder, l Line) {
	var path strings.Builder
	var before Point
	drawn := false // the path ends at the point before
	for i, to := range l.Points {
		if i == 0 {
			before = to
			continue
		}
		a, b, ok := p.cut(before, to)
		if !ok {
			before, drawn = to, false
			continue
		}
		if !drawn || a != before {
			fmt.Fprintf(&path, "M%.1f %.1f", p.x(a.X), p.y(a.Y))
		}
		fmt.Fprintf(&path, "L%.1f %.1f", p.x(b.X), p.y(b.Y))
		drawn, before = b == to, to
	}
	if path.Len() > 0 {
		fmt.Fprintf(out, "<path d=\"%s\"%s%s/>\n", path.String(), stroke(l.Tone), dash(l.Dash))
	}
}

// cut is what of the way from a to b has a height that is drawn.
func (b box) cut(from, to Point) (Point, Point, bool) {
	from, to = Point{X: from.X, Y: from.Y}, Point{X: to.X, Y: to.Y}
	at := func(y float64) Point {
		return Point{X: from.X + (to.X-from.X)*(y-from.Y)/(to.Y-from.Y), Y: y}
	}
	low, high := min(from.Y, to.Y), max(from.Y, to.Y)
	if high < b.low || low > b.high {
		return from, to, false
	}
	ends := [2]Point{from, to}
	for i, p := range ends {
		if limit := min(max(p.Y, b.low), b.high); limit != p.Y {
			ends[i] = at(limit)
		}
	}
	return ends[0], ends[1], true
}

// drawFlag draws a place and what is said of it, beside the line down to the axis.
func (p plan) drawFlag(out *strings.Builder, f Flag) []string {
	x, y, bottom := p.x(f.X), p.y(f.Y), fieldTop+p.height
	fmt.Fprintf(out, `<path d="M%.1f %.1fV%d"%s/>`+"\n", x, y, bottom, dash("1 3"))
	fmt.Fprintf(out, `<circle cx="%.1f" cy="%.1f" r="7" stroke-width="2"/>`+"\n", x, y)
	anchor, at := "end", int(x)-10
	if int(x)-10-charWidth*len([]rune(f.Label)) < fieldLeft {
		anchor, at = "start", int(x)+10
	}
	return []string{strong(at, bottom-8, anchor, f.Label)}
}

// drawMarks draws points with their error bars and the line through them.
func (c Chart) drawMarks(out *strings.Builder, p plan, m Marks) (words []string) {
	if m.Joined {
		p.drawLine(out, Line{Dash: m.Dash, Tone: m.Tone, Points: m.Points})
	}
	free := math.Inf(-1)
	for _, at := range m.Points {
		var one strings.Builder
		p.drawBar(&one, at)
		if p.inside(at.Y) {
			m.Shape.draw(&one, p.x(at.X), p.y(at.Y))
		} else {
			text := written(c.Number, figure(at.Y))
			if half := float64(charWidth*len(text)) / 2; p.x(at.X)-half > free {
				words = append(words, p.outside(at, text))
				free = p.x(at.X) + half
			}
			fmt.Fprintf(&one, "<path d=\"%s\" fill=\"currentColor\"/>\n", p.arrow(at))
		}
		at.write(out, one.String(), p)
	}
	return words
}

// write writes a point, with what is said of it and where it leads.
func (at Point) write(out *strings.Builder, drawn string, p plan) {
	switch note := html.EscapeString(at.Note); {
	case note == "":
		out.WriteString(drawn)
	case at.Link == "":
		fmt.Fprintf(out, "<g><title>%s</title>%s</g>\n", note, drawn)
	default:
		fmt.Fprintf(out, "<a href=\"%s\" aria-label=\"%s\"><title>%s</title><circle cx=\"%.1f\" cy=\"%.1f\" r=\"%d\" stroke=\"none\" fill=\"transparent\"/>%s</a>\n",
			html.EscapeString(at.Link), note, note, p.x(at.X), p.y(at.Y), touchRadius, drawn)
	}
}

// drawBar draws an error bar; an end that is cut has an arrow instead of its cap.
func (p plan) drawBar(out *strings.Builder, at Point) {
	if at.Bar <= 0 {
		return
	}
	low, high, ok := p.cut(Point{X: at.X, Y: at.Y - at.Bar}, Point{X: at.X, Y: at.Y + at.Bar})
	if !ok {
		return
	}
	x := p.x(at.X)
	fmt.Fprintf(out, `<path class="bar" d="M%.1f %.1fV%.1f"/>`, x, p.y(low.Y), p.y(high.Y))
	for _, end := range []struct {
		at, whole Point
		sign      int
	}{{low, Point{Y: at.Y - at.Bar}, -1}, {high, Point{Y: at.Y + at.Bar}, 1}} {
		if end.at.Y == end.whole.Y {
			fmt.Fprintf(out, `<path d="M%.1f %.1fh8"/>`, x-4, p.y(end.at.Y))
		} else {
			fmt.Fprintf(out, `<path d="M%.1f %.1fl4 %dl4 %d"/>`, x-4, p.y(end.at.Y)+float64(6*end.sign), -6*end.sign, 6*end.sign)
		}
	}
	out.WriteString("\n")
}

// arrow points to where a point lies beyond the edge of the field.
func (p plan) arrow(at Point) string {
	if at.Y > p.high {
		return fmt.Sprintf("M%.1f %dl6 11h-12z", p.x(at.X), fieldTop)
	}
	return fmt.Sprintf("M%.1f %dl6 -11h-12z", p.x(at.X), fieldTop+p.height)
}

// outside is the value of a point beyond the edge.
func (p plan) outside(at Point, text string) string {
	y := fieldTop + 24
	if at.Y < p.low {
		y = fieldTop + p.height - 16
	}
	return label(int(p.x(at.X)), y, "middle", text)
}
