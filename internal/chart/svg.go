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
	apart        = 14 // of labels along the x axis, at least
)

// SVG draws the chart as a document of its own. It inherits the colour of its
// text, holds no script and loads nothing.
func (c Chart) SVG() string {
	b := c.bounds()
	row := fieldTop + fieldHeight + 55
	if c.Along != "" {
		row += legendRow
	}
	var out strings.Builder
	begin(&out, c.Title, c.Description, row+legendRow*c.legends()-5)
	fmt.Fprintf(&out, `<path d="M%d %dV%dH%d"/>`+"\n", fieldLeft, fieldTop, fieldTop+fieldHeight, fieldLeft+fieldWidth)
	words := []string{heading(10, 22, c.Title), label(10, 42, "start", c.Up)}
	words = append(words, c.drawAxes(&out, b)...)
	for _, l := range c.Lines {
		drawLine(&out, l, b)
		if l.Name == "" {
			continue
		}
		fmt.Fprintf(&out, `<path d="M%d %dh30"%s/>`+"\n", fieldLeft, row, dash(l.Dash))
		words = append(words, label(fieldLeft+42, row+4, "start", l.Name))
		row += legendRow
	}
	for _, m := range c.Marks {
		if m.Joined {
			drawLine(&out, Line{Dash: m.Dash, Points: m.Points}, b)
			fmt.Fprintf(&out, `<path d="M%d %dh30"%s/>`+"\n", fieldLeft, row, dash(m.Dash))
		}
		for _, p := range m.Points {
			x, y := b.drawn(p)
			m.Shape.draw(&out, x, y)
		}
		m.Shape.draw(&out, fieldLeft+15, float64(row))
		words = append(words, label(fieldLeft+42, row+4, "start", m.Name))
		row += legendRow
	}
	end(&out, words)
	return out.String()
}

// legends is how many rows the legend has.
func (c Chart) legends() int {
	rows := len(c.Marks)
	for _, l := range c.Lines {
		if l.Name != "" {
			rows++
		}
	}
	return rows
}

// drawAxes draws the ticks of both axes and returns their labels.
func (c Chart) drawAxes(out *strings.Builder, b box) (words []string) {
	values, texts := b.steps(8, c.Number)
	for i, v := range values {
		_, y := b.drawn(Point{b.left, v})
		fmt.Fprintf(out, `<path d="M%d %.1fh-6"/>`+"\n", fieldLeft, y)
		words = append(words, label(fieldLeft-10, int(y)+4, "end", texts[i]))
	}
	free := 0.0
	for _, t := range c.Ticks {
		x, _ := b.drawn(Point{t.X, b.low})
		text := short(t.Label)
		half := float64(charWidth*len([]rune(text))) / 2
		middle := min(x, drawingWidth-half-4) // the last one must not run out of the drawing
		if t.X < b.left || t.X > b.right || middle-half < free {
			continue
		}
		fmt.Fprintf(out, `<path d="M%.1f %dv6"/>`+"\n", x, fieldTop+fieldHeight)
		words = append(words, label(int(middle), fieldTop+fieldHeight+22, "middle", text))
		free = middle + half + apart
	}
	if c.Along != "" {
		words = append(words, label(fieldLeft+fieldWidth/2, fieldTop+fieldHeight+44, "middle", c.Along))
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

// draw draws a mark. Those that enclose something hide the line under them.
func (s Shape) draw(out *strings.Builder, x, y float64) {
	fill := "white"
	if s == Dot {
		fill = "black"
	}
	fmt.Fprintf(out, "<path d=\"%s\" fill=\"%s\"/>\n", s.path(x, y), fill)
}

func (s Shape) path(x, y float64) string {
	switch s {
	case Cross:
		return fmt.Sprintf("M%.1f %.1fl8 8m0 -8l-8 8", x-4, y-4)
	case Square:
		return fmt.Sprintf("M%.1f %.1fh10v10h-10z", x-5, y-5)
	case Triangle:
		return fmt.Sprintf("M%.1f %.1fl6 11h-12z", x, y-7)
	case Plus:
		return fmt.Sprintf("M%.1f %.1fh12m-6 -6v12", x-6, y)
	case Dot:
		return fmt.Sprintf("M%.1f %.1fa1 1 0 1 0 2 0a1 1 0 1 0 -2 0z", x-1, y)
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
