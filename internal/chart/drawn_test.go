package chart

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// flat is a chart whose limits are 4 from zero, and one of whose points lies far away.
func flat() Chart {
	return Chart{
		Title: "T", Near: []float64{-4, 4},
		Lines: []Line{{Name: "limit +4", Tone: Limit, Points: []Point{{X: 0, Y: 4}, {X: 3, Y: 4}}}, {Name: "limit -4", Tone: Limit, Points: []Point{{X: 0, Y: -4}, {X: 3, Y: -4}}}},
		Marks: []Marks{{Name: "found", Rune: 'o', Shape: Circle, Joined: true, Points: []Point{{X: 0, Y: 1, Bar: 2}, {X: 1, Y: 500, Bar: 1}, {X: 2, Y: -1, Bar: 400}, {X: 3, Y: -900}}}},
	}
}

// TestFarPointDoesNotFlatten: what is near the limits fills the field; what lies outside is an
// arrow with its value, and nothing is drawn beyond the field.
func TestFarPointDoesNotFlatten(t *testing.T) {
	svg := flat().SVG()
	for _, want := range []string{">500</text>", ">-900</text>"} {
		if !strings.Contains(svg, want) {
			t.Errorf("no %s in\n%s", want, svg)
		}
	}
	at := regexp.MustCompile(`<path d="M80\.0 ([0-9.]+)L[0-9.]+ [0-9.]+" stroke="var\(--bad, currentColor\)"`).FindAllStringSubmatch(svg, -1)
	if len(at) != 2 {
		t.Fatalf("%d limits in\n%s", len(at), svg)
	}
	apart := number(t, at[1][1]) - number(t, at[0][1])
	if apart < fieldHeight/4 {
		t.Errorf("the limits are %g apart in a field of %d", apart, fieldHeight)
	}
	for _, y := range regexp.MustCompile(`[ML]\d+\.\d (-?[0-9.]+)`).FindAllStringSubmatch(svg, -1) {
		if v := number(t, y[1]); v < fieldTop-12 || v > fieldTop+fieldHeight+12 {
			t.Errorf("something is drawn at %g, outside", v)
		}
	}
	text := flat().Text(40, 12)
	if !strings.Contains(text, "^500") || !strings.Contains(text, "v") {
		t.Error(text)
	}
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// TestErrorBars: a bar goes as far as the uncertainty says; the end of one that is cut has an
// arrow in the place of its cap.
func TestErrorBars(t *testing.T) {
	svg := flat().SVG()
	bars := regexp.MustCompile(`class="bar" d="M[0-9.]+ ([0-9.]+)V([0-9.]+)"/>(.*)`).FindAllStringSubmatch(svg, -1)
	if len(bars) != 2 {
		t.Fatalf("%v in\n%s", bars, svg)
	}
	perUnit := (number(t, bars[0][1]) - number(t, bars[0][2])) / 4
	at := regexp.MustCompile(`<path d="M80\.0 ([0-9.]+)L`).FindAllStringSubmatch(svg, 2)
	limits := (number(t, at[1][1]) - number(t, at[0][1])) / 8
	if fmt.Sprintf("%.1f", perUnit) != fmt.Sprintf("%.1f", limits) {
		t.Errorf("the bar has %g for each unit, the limits %g", perUnit, limits)
	}
	if strings.Count(bars[0][3], "h8") != 2 || strings.Count(bars[1][3], "h8") != 0 || strings.Count(bars[1][3], "l4 ") != 4 {
		t.Errorf("caps %q, arrows %q", bars[0][3], bars[1][3])
	}
	whole := Chart{Marks: []Marks{{Rune: 'o', Points: []Point{{X: 0, Y: 0, Bar: 1000}, {X: 1, Y: 2}}}}}
	if b := whole.bounds(); b.high > 5 || b.low < -5 {
		t.Errorf("an error bar flattens the drawing: %+v", b)
	}
}

// TestNamesAtTheirLines: each name stands right of the field at the end of its line, and none
// over another; there is no legend.
func TestNamesAtTheirLines(t *testing.T) {
	c := Chart{Title: "T"}
	for i := range 30 {
		c.Lines = append(c.Lines, Line{Name: fmt.Sprintf("a name that takes two rows, %d", i), Points: []Point{{X: 0}, {X: 1, Y: float64(i%7) / 10}}})
	}
	p := c.plan()
	free := float64(fieldTop)
	for _, e := range p.edges {
		if len(e.words) < 2 || e.at-e.height()/2 < free-0.01 || e.at+e.height()/2 > float64(fieldTop+p.height)+0.01 {
			t.Errorf("%v at %g, free from %g", e.words, e.at, free)
		}
		free = e.at + e.height()/2
	}
	alone := Chart{Lines: []Line{{Name: "alone", Points: []Point{{X: 0}, {X: 1, Y: 3}}}}}.plan()
	if alone.edges[0].at != alone.y(3) || alone.right()+edgeRoom(alone.edges) != drawingWidth {
		t.Errorf("%+v", alone)
	}
}

// TestNamesAreLedTo: what ends in the midst of the field, or whose name has no room at its
// height, is led to its name by dots.
func TestNamesAreLedTo(t *testing.T) {
	marks := func(name string, x, y float64) Marks {
		return Marks{Name: name, Rune: 'o', Shape: Circle, Points: []Point{{X: 0, Y: 0}, {X: x, Y: y}}}
	}
	c := Chart{From: 0, To: 10, Marks: []Marks{marks("early", 4, 1), marks("last", 10, 5), marks("beside it", 10, 5.01)}}
	p := c.plan()
	leads := regexp.MustCompile(`class="lead" d="M([0-9.]+) `).FindAllStringSubmatch(c.SVG(), -1)
	if len(leads) != 2 || number(t, leads[0][1]) != float64(p.right()) || number(t, leads[1][1]) != p.x(4)+edgeClear {
		t.Errorf("%v, the field ends at %d", leads, p.right())
	}
	c.Marks = c.Marks[1:2]
	if alone := c.SVG(); strings.Contains(alone, `class="lead"`) {
		t.Error(alone)
	}
}

// TestPointsLead: a point that leads somewhere is a link with a name, large enough to touch, and
// the drawing is then no image, in which nobody finds a link. One that leads nowhere has its note.
func TestPointsLead(t *testing.T) {
	c := Chart{Title: "T <1>", Description: "D", Marks: []Marks{{Rune: 'o', Points: []Point{{Note: "check & all", Link: "/gauges/a?x=1&y=2#check-7"}, {X: 1, Note: "no link"}}}}}
	svg := c.SVG()
	for _, want := range []string{`role="group" aria-label="T &lt;1&gt;. D"`, `<a href="/gauges/a?x=1&amp;y=2#check-7" aria-label="check &amp; all"><title>check &amp; all</title><circle`, `r="14"`, "<g><title>no link</title>"} {
		if !strings.Contains(svg, want) {
			t.Errorf("no %s in\n%s", want, svg)
		}
	}
	if none := flat().SVG(); !strings.Contains(none, `role="img"`) || strings.Contains(none, "<a ") {
		t.Error(none)
	}
}

// TestDrawingTakesTheColoursOfItsPage: no colour is fixed, and there is nothing that a page
// could have twice or forbids.
func TestDrawingTakesTheColoursOfItsPage(t *testing.T) {
	for _, svg := range []string{flat().SVG(), sampleBars().SVG()} {
		for d := xml.NewDecoder(strings.NewReader(svg)); ; {
			token, err := d.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatal(err)
			}
			e, ok := token.(xml.StartElement)
			if !ok {
				continue
			}
			if e.Name.Local == "style" || e.Name.Local == "script" {
				t.Errorf("there is a %s", e.Name.Local)
			}
			for _, a := range e.Attr {
				switch v := a.Value; a.Name.Local {
				case "id", "style":
					t.Errorf("%s has %s=%q", e.Name.Local, a.Name.Local, v)
				case "fill", "stroke":
					if v != "none" && v != "currentColor" && v != "transparent" && !strings.HasPrefix(v, "var(--") {
						t.Errorf("%s has %s=%q", e.Name.Local, a.Name.Local, v)
					}
				}
			}
		}
	}
}

// TestFlag: the place is ringed, and what is said of it stands beside it, inside the drawing.
func TestFlag(t *testing.T) {
	for _, x := range []float64{0.2, 9.8} {
		c := flat()
		c.From, c.To = 0, 10
		c.Flags = []Flag{{X: x, Y: 4, Label: "limit on 4 December"}}
		m := regexp.MustCompile(`<text x="(\d+)" y="\d+" text-anchor="(\w+)" font-weight="bold">limit on 4 December<`).FindStringSubmatch(c.SVG())
		if m == nil || (m[2] == "start") != (x < 5) || !strings.Contains(c.SVG(), `r="7"`) {
			t.Errorf("%v in\n%s", m, c.SVG())
		}
		if text := c.Text(40, 12); !strings.Contains(text, "  @  limit on 4 December\n") || strings.Count(text, "@") != 2 {
			t.Error(text)
		}
	}
}
