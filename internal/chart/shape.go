package chart

import (
	"fmt"
	"html"
	"strings"
)

// draw draws a mark. Those that enclose something hide the line under them.
func (s Shape) draw(out *strings.Builder, x, y float64) {
	fill := ground
	if s == Dot {
		fill = "currentColor"
	}
	fmt.Fprintf(out, "<path d=\"%s\" fill=\"%s\"/>\n", s.path(x, y), fill)
}

// small is 1 of a shape that another one hides.
func (s Shape) small() int {
	if s == Dot {
		return 1
	}
	return 0
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

// begin opens a drawing: an image, or where its points lead somewhere a group of them.
func begin(out *strings.Builder, title, description string, height int, leads bool) {
	role := "img"
	if leads {
		role = "group"
	}
	title, description = html.EscapeString(title), html.EscapeString(description)
	fmt.Fprintf(out, `<svg xmlns="http://www.w3.org/2000/svg" class="chart" viewBox="0 0 %d %d" role="%s" aria-label="%s. %s" font-family="sans-serif" font-size="13">`+"\n", drawingWidth, height, role, title, description)
	fmt.Fprintf(out, "<title>%s</title>\n<desc>%s</desc>\n", title, description)
	fmt.Fprintf(out, `<rect width="%d" height="%d" fill="%s"/>`+"\n<g stroke=\"currentColor\" fill=\"none\">\n", drawingWidth, height, ground)
}

// end writes the words over the lines and closes the drawing. Each has the colour of the
// ground around it, so that a line that goes through it does not strike it out.
func end(out *strings.Builder, words []string) {
	fmt.Fprintf(out, "</g>\n<g fill=\"currentColor\" stroke=\"%s\" stroke-width=\"4\" stroke-linejoin=\"round\" paint-order=\"stroke\">\n%s</g>\n</svg>\n", ground, strings.Join(words, ""))
}

func heading(x, y int, text string) string {
	return fmt.Sprintf("<text class=\"title\" x=\"%d\" y=\"%d\" font-size=\"15\" font-weight=\"bold\">%s</text>\n", x, y, html.EscapeString(text))
}

func label(x, y int, anchor, text string) string {
	return fmt.Sprintf("<text x=\"%d\" y=\"%d\" text-anchor=\"%s\">%s</text>\n", x, y, anchor, html.EscapeString(text))
}

// strong is a label that is looked for.
func strong(x, y int, anchor, text string) string {
	return fmt.Sprintf("<text x=\"%d\" y=\"%d\" text-anchor=\"%s\" font-weight=\"bold\">%s</text>\n", x, y, anchor, html.EscapeString(text))
}

func dash(lengths string) string {
	if lengths == "" {
		return ""
	}
	return fmt.Sprintf(` stroke-dasharray="%s"`, html.EscapeString(lengths))
}

func stroke(t Tone) string {
	if t == Plain {
		return ""
	}
	return fmt.Sprintf(` stroke="%s"`, t.colour())
}
