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
	Number      func(string) string  // as in a Chart
	Value       func(float64) string // writes a value with its unit, in the language; nil: its first digits
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
	groupRow    = 20 // the name of a group over its bars
	barsTop     = 44
	charWidth   = 8  // of the font, about that of its digits
	longestName = 40 // characters of a label that are shown
	barRow      = 17
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

// said is a value as it is written.
func (b Bars) said(v float64) string {
	if b.Value != nil {
		return b.Value(v)
	}
	return written(b.Number, figure(v))
}

// row is one bar of a drawing, or the name of a group over its bars.
type row struct {
	label string
	group bool
	value float64
	fill  string
	high  int
}

// rows are those of the drawing from top to bottom. Each bar has its name beside it: that of
// its group, or of its series where a group has several.
func (b Bars) rows() (rows []row) {
	for _, g := range b.Groups {
		if len(b.Series) > 1 {
			rows = append(rows, row{label: short(g.Label), group: true, high: groupRow})
		}
		for k, v := range g.Values {
			name := g.Label
			if len(b.Series) > 1 {
				name = b.Series[k].Name
			}
			rows = append(rows, row{label: short(name), value: v, fill: fills[k%len(fills)], high: barRow})
		}
		rows[len(rows)-1].high += barsApart
	}
	return rows
}

// SVG draws the bars as a document of its own.
func (b Bars) SVG() string {
	rows, left, right, bottom := b.rows(), 0, 0, barsTop+barsApart/2
	for _, r := range rows {
		bottom += r.high
		if !r.group {
			left, right = max(left, 24+charWidth*len([]rune(r.label))), max(right, 24+charWidth*len([]rune(b.said(r.value))))
		}
	}
	field := drawingWidth - left - right
	var out strings.Builder
	begin(&out, b.Title, b.Description, bottom+30, false)
	words, y := []string{heading(10, 22, b.Title)}, barsTop+barsApart/2
	for _, r := range rows {
		if r.group {
			words = append(words, strong(10, y+barHeight-3, "start", r.label))
		} else {
			words = append(words, label(left-8, y+barHeight-3, "end", r.label), b.drawBar(&out, r, left, y, field))
		}
		y += r.high
	}
	fmt.Fprintf(&out, `<path d="M%d %dV%d"/>`+"\n", left, barsTop, bottom)
	words = append(words, label(left, bottom+18, "start", b.Along))
	end(&out, words)
	return out.String()
}

// drawBar draws one bar, and returns its value, which stands behind it.
func (b Bars) drawBar(out *strings.Builder, r row, left, y, field int) string {
	part, cut := b.drawn(r.value)
	width := float64(field) * part
	fmt.Fprintf(out, `<rect x="%d" y="%d" width="%.1f" height="%d" fill="%s"/>`+"\n", left, y+1, width, barHeight-2, r.fill)
	after := left + int(width) + 6
	if cut {
		fmt.Fprintf(out, `<path class="cut" d="M%d %dl8 %dl-8 %dz" fill="currentColor"/>`+"\n", after-3, y+1, barHeight/2-1, barHeight/2-1)
		after += 10
	}
	return label(after, y+barHeight-3, "start", b.said(r.value))
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
			fmt.Fprintf(&out, "%s\n", strings.TrimRight(fmt.Sprintf("%-*s |%s %s", margin, name, bar, b.said(v)), " "))
		}
	}
	for _, s := range b.Series {
		fmt.Fprintf(&out, "  %c  %s\n", s.Rune, s.Name)
	}
	return out.String()
}
