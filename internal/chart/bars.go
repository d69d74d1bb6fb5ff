package chart

import (
	"fmt"
	"html"
	"math"
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
var fills = []string{"black", "#aaa", "white"}

// The measures of the drawing.
const (
	barHeight   = 14
	barsApart   = 16 // between groups
	barsTop     = 44
	valueRoom   = 70 // right of the longest bar
	charWidth   = 8  // of the font, about that of its digits
	longestName = 40 // characters of a label that are shown
)

// most is the greatest value; 1 when all are 0.
func (b Bars) most() float64 {
	most := 0.0
	for _, g := range b.Groups {
		for _, v := range g.Values {
			most = max(most, v)
		}
	}
	if most == 0 {
		return 1
	}
	return most
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
		height += legendRow * len(b.Series)
	}
	var out strings.Builder
	begin(&out, b.Title, b.Description, height)
	words := []string{heading(10, 22, b.Title)}
	for i, g := range b.Groups {
		top := barsTop + barsApart/2 + each*i
		words = append(words, label(left-8, top+barHeight*len(b.Series)/2+4, "end", short(g.Label)))
		for k, v := range g.Values {
			y, width := top+barHeight*k, float64(field)*max(v, 0)/b.most()
			fmt.Fprintf(&out, `<rect x="%d" y="%d" width="%.1f" height="%d" fill="%s"/>`+"\n", left, y+1, width, barHeight-2, fills[k%len(fills)])
			words = append(words, label(left+int(width)+6, y+barHeight-3, "start", written(b.Number, figure(v))))
		}
	}
	fmt.Fprintf(&out, `<path d="M%d %dV%d"/>`+"\n", left, barsTop, bottom)
	words = append(words, label(left, bottom+18, "start", b.Along))
	for k, s := range b.Series {
		if len(b.Series) == 1 {
			break
		}
		y := bottom + 22 + legendRow*(k+1) - 8
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
			bar := strings.Repeat(string(b.Series[k].Rune), int(math.Round(float64(field)*max(v, 0)/b.most())))
			fmt.Fprintf(&out, "%s\n", strings.TrimRight(fmt.Sprintf("%-*s |%s %s", margin, name, bar, written(b.Number, figure(v))), " "))
		}
	}
	for _, s := range b.Series {
		fmt.Fprintf(&out, "  %c  %s\n", s.Rune, s.Name)
	}
	return out.String()
}

// begin opens a drawing whose lines are black on white.
func begin(out *strings.Builder, title, description string, height int) {
	fmt.Fprintf(out, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" role="img" aria-labelledby="title desc" font-family="sans-serif" font-size="13">`+"\n", drawingWidth, height)
	fmt.Fprintf(out, "<title id=\"title\">%s</title>\n<desc id=\"desc\">%s</desc>\n", html.EscapeString(title), html.EscapeString(description))
	fmt.Fprintf(out, `<rect width="%d" height="%d" fill="white"/>`+"\n<g stroke=\"black\" fill=\"none\">\n", drawingWidth, height)
}

// end writes the words over the lines and closes the drawing.
func end(out *strings.Builder, words []string) {
	fmt.Fprintf(out, "</g>\n<g fill=\"black\">\n%s</g>\n</svg>\n", strings.Join(words, ""))
}

func heading(x, y int, text string) string {
	return fmt.Sprintf("<text x=\"%d\" y=\"%d\" font-size=\"15\" font-weight=\"bold\">%s</text>\n", x, y, html.EscapeString(text))
}
