package chart

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

func sampleBars() Bars {
	return Bars{
		Title: "Shares", Description: "of <two> things", Along: "percent",
		Series: []Series{{"first", '#'}, {"second", '='}},
		Groups: []Group{{"a & b", []float64{100, 25}}, {"nothing", []float64{0, 3.14159}}},
	}
}

func TestBarsAsText(t *testing.T) {
	want := `Shares
percent
a & b   |####################### 100
        |====== 25
nothing | 0
        |= 3.142
  #  first
  =  second
`
	if got := sampleBars().Text(40, 0); got != want {
		t.Errorf("got\n%s", got)
	}
}

// TestBarsAsSVG: each bar is as long as its value says, in the fill of its series, whose name
// stands beside it: there is no legend.
func TestBarsAsSVG(t *testing.T) {
	got := sampleBars().SVG()
	bar := regexp.MustCompile(`<rect x="(\d+)" y="\d+" width="([0-9.]+)" height="12" fill="(.+?)"/>`)
	var widths []float64
	var fills string
	for _, m := range bar.FindAllStringSubmatch(got, -1) {
		w, err := strconv.ParseFloat(m[2], 64)
		if err != nil {
			t.Fatal(err)
		}
		widths, fills = append(widths, w), fills+m[3]+" "
	}
	if len(widths) != 4 || fills != strings.Repeat("currentColor var(--line, #aaa) ", 2) || fmt.Sprintf("%.2f", widths[1]/widths[0]) != "0.25" || widths[2] != 0 {
		t.Errorf("widths %v, fills %s", widths, fills)
	}
	for _, text := range []string{"<desc>of &lt;two&gt; things</desc>", ">a &amp; b</text>", ">3.142</text>", ">percent</text>"} {
		if !strings.Contains(got, text) {
			t.Errorf("%q is not in\n%s", text, got)
		}
	}
	if strings.Count(got, `text-anchor="end">first</text>`) != 2 || strings.Count(got, ">second</text>") != 2 {
		t.Errorf("not every bar has its name in\n%s", got)
	}
}

// TestLabelsKeepApart: no label along the axis runs into the next, or out of the drawing.
func TestLabelsKeepApart(t *testing.T) {
	c := Chart{From: 0, To: 11, Marks: []Marks{{Rune: 'o', Shape: Dot, Points: []Point{{X: 1, Y: 1}, {X: 10, Y: 2}}}}}
	for i := range 10 {
		c.Ticks = append(c.Ticks, Tick{float64(i + 1), strings.Repeat("w", 3*i+1) + "."})
	}
	c.Ticks = append(c.Ticks, Tick{11, "the end of the axis, and much longer than there is room for"})
	placed := regexp.MustCompile(`<text x="(\d+)" y="398" text-anchor="middle">(.*?)</text>`)
	end, found := 0, 0
	for _, m := range placed.FindAllStringSubmatch(c.SVG(), -1) {
		x, err := strconv.Atoi(m[1])
		if err != nil {
			t.Fatal(err)
		}
		half := charWidth * len(m[2]) / 2
		if x-half < end || x+half > drawingWidth {
			t.Errorf("%s at %d lies over its neighbour, which ends at %d, or outside", m[2], x, end)
		}
		end = x + half
		found++
	}
	if found < 4 {
		t.Errorf("%d labels in\n%s", found, c.SVG())
	}
}

func TestTicks(t *testing.T) {
	var got []string
	for _, tick := range Ticks(1.99, 10.8, 6, nil) {
		got = append(got, tick.Label)
	}
	if strings.Join(got, " ") != "2 4 6 8 10" || Ticks(1, 1, 5, nil) != nil {
		t.Errorf("%v", got)
	}
}

// TestFarOffBar: a bar that would flatten all others is cut, with an arrow and its value.
func TestFarOffBar(t *testing.T) {
	b := Bars{Title: "T", Series: []Series{{"one", '#'}}, Groups: []Group{{"a", []float64{2}}, {"b", []float64{1}}, {"far", []float64{900}}, {"c", []float64{4}}}}
	svg := b.SVG()
	if !strings.Contains(svg, ">900</text>") || strings.Count(svg, `class="cut"`) != 1 {
		t.Error(svg)
	}
	text := b.Text(40, 0)
	if !strings.Contains(text, "#> 900\n") || !strings.Contains(text, strings.Repeat("#", 13)+" 2\n") {
		t.Error(text)
	}
}

// TestLongestValueIsInside: the longest bar leaves room for its value.
func TestLongestValueIsInside(t *testing.T) {
	b := Bars{Series: []Series{{"one", '#'}}, Groups: []Group{{"a", []float64{2}}, {"b", []float64{1}}}, Value: func(float64) string { return "0.123456789012 mm" }}
	for _, m := range regexp.MustCompile(`<text x="(\d+)" y="\d+" text-anchor="start">(0\.1.*?)</text>`).FindAllStringSubmatch(b.SVG(), -1) {
		if x := number(t, m[1]); x+float64(charWidth*len(m[2])) > drawingWidth {
			t.Errorf("%s begins at %g", m[2], x)
		}
	}
}
