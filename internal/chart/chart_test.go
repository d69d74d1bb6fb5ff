package chart

import (
	"encoding/xml"
	"errors"
	"io"
	"math"
	"regexp"
	"strings"
	"testing"
)

func sample() Chart {
	return Chart{
		Title: "Error <of> the gauge", Description: "three checks & a limit", Up: "error in um",
		Ticks: []Tick{{0, "begin"}, {5, "middle"}, {10, "end"}, {99, "outside"}},
		Lines: []Line{{Name: "limit", Rune: '=', Dash: "4 2", Points: []Point{{X: 0, Y: 4}, {X: 10, Y: 4}}}, {Name: "rise", Rune: '.', Points: []Point{{X: 0, Y: 0}, {X: 10, Y: 4}}}},
		Marks: []Marks{{Name: "found", Rune: 'o', Shape: Circle, Points: []Point{{X: 0, Y: 0}, {X: 5, Y: 2}, {X: 10, Y: 3}}}, {Name: "left", Rune: 'x', Shape: Cross, Points: []Point{{X: 5, Y: 1}}}},
	}
}

func TestText(t *testing.T) {
	want := `Error <of> the gauge
error in um
4 |===================.
  |                ...
  |              ..   o
  |           ...
2 |         .o
  |      ...
  |    ..    x
  | ...
0 |o
  ++---------+---------
   begin     middle
  o  found
  x  left
  =  limit
  .  rise
`
	got := sample().Text(20, 9)
	for _, line := range strings.Split(got, "\n") {
		if strings.TrimRight(line, " ") != line {
			t.Errorf("blanks at the end of %q", line)
		}
	}
	for _, r := range got {
		if r > 126 {
			t.Errorf("%q is not ASCII", r)
		}
	}
	if got != want {
		t.Errorf("got\n%s", got)
	}
}

// TestDotsLieUnderLetters: in text a dot does not hide what else has its place, in whatever
// order they come.
func TestDotsLieUnderLetters(t *testing.T) {
	c := Chart{Marks: []Marks{{Rune: 'A', Shape: Circle, Points: []Point{{X: 0, Y: 1}}}, {Rune: '.', Shape: Dot, Points: []Point{{X: 0, Y: 1}, {X: 1, Y: 1}}}}}
	if text := c.Text(20, 3); !regexp.MustCompile(`\|.*A.*\.`).MatchString(text) {
		t.Error(text)
	}
}

// TestSVG: it is well formed, has title and description, and every line and
// every kind of mark differs from the others without colour.
func TestSVG(t *testing.T) {
	got := sample().SVG()
	decoder := xml.NewDecoder(strings.NewReader(got))
	texts, paths, dashes := map[string]string{}, 0, 0
	element := ""
	for {
		token, err := decoder.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("%v in\n%s", err, got)
		}
		switch token := token.(type) {
		case xml.StartElement:
			element = token.Name.Local
			if element == "path" {
				paths++
			}
			for _, a := range token.Attr {
				if a.Name.Local == "stroke-dasharray" && a.Value != "1 3" { // those lead to names
					dashes++
				}
			}
		case xml.CharData:
			texts[element] += string(token)
		}
	}
	if !strings.HasPrefix(texts["title"], "Error <of> the gauge") || !strings.HasPrefix(texts["desc"], "three checks & a limit") {
		t.Errorf("%q", texts)
	}
	for _, label := range []string{"found", "left", "limit", "rise", "error in um", "begin", "end"} {
		if !strings.Contains(texts["text"], label) {
			t.Errorf("%q is not in %q", label, texts["text"])
		}
	}
	if strings.Contains(got, "outside") || strings.Contains(got, "NaN") || dashes != 2 || paths < 10 {
		t.Errorf("%d dashes, %d paths in\n%s", dashes, paths, got)
	}
	shapes := map[string]bool{}
	for _, s := range []Shape{Circle, Cross, Square, Diamond} {
		shapes[s.path(0, 0)] = true
	}
	if len(shapes) != 4 {
		t.Errorf("%v", shapes)
	}
}

// TestOddCharts: nothing, one point, one height.
func TestOddCharts(t *testing.T) {
	one := Chart{Marks: []Marks{{Rune: 'o', Points: []Point{{X: 3, Y: -7}}}}}
	level := Chart{Lines: []Line{{Rune: '-', Points: []Point{{X: 0, Y: 1e-9}, {X: 1, Y: 1e-9}}}, {Rune: '.'}}}
	for _, c := range []Chart{{}, one, level} {
		text, svg := c.Text(30, 9), c.SVG()
		if strings.Contains(svg, "NaN") || strings.Contains(svg, "Inf") || strings.Contains(text, "NaN") {
			t.Errorf("%s\n%s", text, svg)
		}
	}
	if strings.Count(one.Text(30, 9), "o") != 2 {
		t.Error("the point is missing")
	}
}

func TestStepsOfAxis(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		want      string
	}{{-1, 1, "-1.0 -0.5 0.0 0.5 1.0"}, {0, 100, "0 20 40 60 80 100"}, {0.0011, 0.0019, "0.0012 0.0014 0.0016 0.0018"}} {
		values, labels := box{0, 1, c.low, c.high}.steps(5, nil)
		if got := strings.Join(labels, " "); got != c.want {
			t.Errorf("%g to %g: %s", c.low, c.high, got)
		}
		for _, v := range values {
			if v < c.low-1e-12 || v > c.high+1e-12 || math.IsNaN(v) {
				t.Errorf("%g is outside", v)
			}
		}
	}
}
