package chart

import (
	"fmt"
	"html"
	"strings"
)

// The measures of the drawing, in its own units.
const (
	drawingWidth = 830
	fieldLeft    = 90
	fieldTop     = 50
	fieldWidth   = 680
	fieldHeight  = 320
	legendRow    = 20
	apart        = 100 // of labels along the x axis, at least
)

// SVG draws the chart as a document of its own. It inherits the colour of its
// text, holds no script and loads nothing.
func (c Chart) SVG() string {
	b := c.bounds()
	height := fieldTop + fieldHeight + 60 + legendRow*(len(c.Lines)+len(c.Marks))
	var out strings.Builder
	fmt.Fprintf(&out, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" role="img" aria-labelledby="title desc" font-family="sans-serif" font-size="13">`+"\n", drawingWidth, height)
	fmt.Fprintf(&out, "<title id=\"title\">%s</title>\n<desc id=\"desc\">%s</desc>\n", html.EscapeString(c.Title), html.EscapeString(c.Description))
	fmt.Fprintf(&out, `<rect width="%d" height="%d" fill="white"/>`+"\n<g stroke=\"black\" fill=\"none\">\n", drawingWidth, height)
	fmt.Fprintf(&out, `<path d="M%d %dV%dH%d"/>`+"\n", fieldLeft, fieldTop, fieldTop+fieldHeight, fieldLeft+fieldWidth)
	words := []string{label(fieldLeft, 22, "start", c.Title), label(fieldLeft, 42, "start", c.Up)}
	words = append(words, c.drawAxes(&out, b)...)
	row := fieldTop + fieldHeight + 55
	for _, l := range c.Lines {
		drawLine(&out, l, b)
		fmt.Fprintf(&out, `<path d="M%d %dh30"%s/>`+"\n", fieldLeft, row, dash(l.Dash))
		words = append(words, label(fieldLeft+42, row+4, "start", l.Name))
		row += legendRow
	}
	for _, m := range c.Marks {
		for _, p := range m.Points {
			x, y := b.drawn(p)
			fmt.Fprintf(&out, "<path d=\"%s\"/>\n", m.Shape.path(x, y))
		}
		fmt.Fprintf(&out, "<path d=\"%s\"/>\n", m.Shape.path(fieldLeft+15, float64(row)))
		words = append(words, label(fieldLeft+42, row+4, "start", m.Name))
		row += legendRow
	}
	fmt.Fprintf(&out, "</g>\n<g fill=\"black\">\n%s</g>\n</svg>\n", strings.Join(words, ""))
	return out.String()
}

// drawAxes draws the ticks of both axes and returns their labels.
func (c Chart) drawAxes(out *strings.Builder, b box) (words []string) {
	values, texts := b.steps(8)
	for i, v := range values {
		_, y := b.drawn(Point{b.left, v})
		fmt.Fprintf(out, `<path d="M%d %.1fh-6"/>`+"\n", fieldLeft, y)
		words = append(words, label(fieldLeft-10, int(y)+4, "end", texts[i]))
	}
	free := 0.0
	for _, t := range c.Ticks {
		x, _ := b.drawn(Point{t.X, b.low})
		if t.X < b.left || t.X > b.right || x < free {
			continue
		}
		fmt.Fprintf(out, `<path d="M%.1f %dv6"/>`+"\n", x, fieldTop+fieldHeight)
		words = append(words, label(int(x), fieldTop+fieldHeight+22, "middle", t.Label))
		free = x + apart
	}
	return words
}

func drawLine(out *strings.Builder, l Line, b box) {
	for i, p := range l.Points {
		x, y := b.drawn(p)
		if i == 0 {
			fmt.Fprintf(out, `<path d="M%.1f %.1f`, x, y)
		} else {
			fmt.Fprintf(out, "L%.1f %.1f", x, y)
		}
	}
	if len(l.Points) > 0 {
		fmt.Fprintf(out, "\"%s/>\n", dash(l.Dash))
	}
}

// drawn returns where a point lies in the drawing.
func (b box) drawn(p Point) (x, y float64) {
	return fieldLeft + fieldWidth*b.across(p.X), fieldTop + fieldHeight*(1-b.up(p.Y))
}

func (s Shape) path(x, y float64) string {
	switch s {
	case Cross:
		return fmt.Sprintf("M%.1f %.1fl8 8m0 -8l-8 8", x-4, y-4)
	case Square:
		return fmt.Sprintf("M%.1f %.1fh10v10h-10z", x-5, y-5)
	case Diamond:
		return fmt.Sprintf("M%.1f %.1fl7 7l-7 7l-7 -7z", x, y-7)
	}
	return fmt.Sprintf("M%.1f %.1fa4 4 0 1 0 8 0a4 4 0 1 0 -8 0z", x-4, y)
}

func label(x, y int, anchor, text string) string {
	return fmt.Sprintf("<text x=\"%d\" y=\"%d\" text-anchor=\"%s\">%s</text>\n", x, y, anchor, html.EscapeString(text))
}

func dash(lengths string) string {
	if lengths == "" {
		return ""
	}
	return fmt.Sprintf(` stroke-dasharray="%s"`, html.EscapeString(lengths))
}
