package chart

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Bars are values of 0 and more, as bars that lie side by side in groups.
type Bars struct {
	Title       string
	Description string // as in a Chart
	Along       string // what the bars count, with its unit
	Series      []Series
	Groups      []Group
	Number      func(string) string // as in a Chart
}

// Series is the bars of one kind, one in each group.
type Series struct {
	Name string
	Rune rune // in text; ASCII
}

// Group is the bars of one thing, in the order of the series.
type Group struct {
	Label  string
	Values []float64
}

// fills tell series apart in SVG; from the fourth on they come again.
var fills = []string{"currentColor", "var(--line, #aaa)", ground}

// The measures of the drawing.
const (
	barHeight   = 14
	barsApart   = 16 // between groups
	barsTop     = 44
	valueRoom   = 70 // right of the longest bar
	charWidth   = 8  // of the font, about that of its digits
	longestName = 40 // characters of a label that are shown
	seriesRow   = 20
)

// farOff is how many times the middle one of the values a bar is, for it to be cut: a whole
// one would flatten all others. The number is ours.
const farOff = 20

// most is the greatest value that is drawn whole; 1 when all are 0.
func (b Bars) most() float64 {
	var values []float64
	for _, g := range b.Groups {
		for _, v := range g.Values {
			if v > 0 {
				values = append(values, v)
			}
		}
	}
	if len(values) == 0 {
		return 1
	}
	slices.Sort(values)
	most := values[len(values)-1]
	for _, v := range slices.Backward(values) {
		if most = v; v <= farOff*values[(len(values)-1)/2] {
			break
		}
	}
	return most
}

// drawn is the part of the field that a value takes; one that is cut takes all of it.
func (b Bars) drawn(v float64) (part float64, cut bool) {
	part = max(v, 0) / b.most()
	return min(part, 1), part > 1
}

// figure is a value with four digits.
func figure(x float64) string {
	if x == 0 {
		return "0"
	}
	decimals := max(0, 3-int(math.Floor(math.Log10(math.Abs(x)))))
	text := strconv.FormatFloat(x, 'f', min(decimals, 12), 64)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

// labelled is the longest label in characters.
func (b Bars) labelled() (width int) {
	for _, g := range b.Groups {
		width = max(width, len([]rune(short(g.Label))))
	}
	return width
}

// short cuts a label that has no room.
func short(text string) string {
	if r := []rune(text); len(r) > longestName {
		return string(r[:longestName-3]) + "..."
	}
	return text
}

// SVG draws the bars as a document of its own.
func (b Bars) SVG() string {
	left := 24 + charWidth*b.labelled()
	field := drawingWidth - left - valueRoom
	each := barHeight*len(b.Series) + barsApart
	bottom := barsTop + each*len(b.Groups)
	height := bottom + 30
	if len(b.Series) > 1 { // a single one is named by the axis
		height += seriesRow * len(b.Series)
	}
	var out strings.Builder
	begin(&out, b.Title, b.Description, height, false)
	words := []string{heading(10, 22, b.Title)}
	for i, g := range b.Groups {
		top := barsTop + barsApart/2 + each*i
		words = append(words, label(left-8, top+barHeight*len(b.Series)/2+4, "end", short(g.Label)))
		for k, v := range g.Values {
			part, cut := b.drawn(v)
			y, width := top+barHeight*k, float64(field)*part
			fmt.Fprintf(&out, `<rect x="%d" y="%d" width="%.1f" height="%d" fill="%s"/>`+"\n", left, y+1, width, barHeight-2, fills[k%len(fills)])
			after := left + int(width) + 6
			if cut {
				fmt.Fprintf(&out, `<path class="cut" d="M%d %dl8 %dl-8 %dz" fill="currentColor"/>`+"\n", after-3, y+1, barHeight/2-1, barHeight/2-1)
				after += 10
			}
			words = append(words, label(after, y+barHeight-3, "start", written(b.Number, figure(v))))
		}
	}
	fmt.Fprintf(&out, `<path d="M%d %dV%d"/>`+"\n", left, barsTop, bottom)
	words = append(words, label(left, bottom+18, "start", b.Along))
	for k, s := range b.Series {
		if len(b.Series) == 1 {
			break
		}
		y := bottom + 22 + seriesRow*(k+1) - 8
		fmt.Fprintf(&out, `<rect x="%d" y="%d" width="30" height="%d" fill="%s"/>`+"\n", left, y-barHeight/2, barHeight-2, fills[k%len(fills)])
		words = append(words, label(left+42, y+4, "start", s.Name))
	}
	end(&out, words)
	return out.String()
}

// Text draws the bars in lines of about width characters; the height follows
// from their number.
func (b Bars) Text(width, _ int) string {
	margin := b.labelled()
	field := max(width-margin-10, 10)
	var out strings.Builder
	fmt.Fprintf(&out, "%s\n%s\n", b.Title, b.Along)
	for _, g := range b.Groups {
		for k, v := range g.Values {
			name := ""
			if k == 0 {
				name = short(g.Label)
			}
			part, cut := b.drawn(v)
			bar := strings.Repeat(string(b.Series[k].Rune), int(math.Round(float64(field)*part)))
			if cut {
				bar += ">"
			}
			fmt.Fprintf(&out, "%s\n", strings.TrimRight(fmt.Sprintf("%-*s |%s %s", margin, name, bar, written(b.Number, figure(v))), " "))
		}
	}
	for _, s := range b.Series {
		fmt.Fprintf(&out, "  %c  %s\n", s.Rune, s.Name)
	}
	return out.String()
}
