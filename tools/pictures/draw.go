package main

import (
	"bytes"
	"fmt"
	"strings"
)

// Sizes of the picture, in its own units.
const (
	width      = 1000
	margin     = 20
	between    = 14 // two boxes
	lineHeight = 18
	letter     = 7.2 // width of a letter of the small text, at most
)

// style is readable on light and on dark ground: the picture has a ground of its own.
const style = `<style>
.ground{fill:#ffffff}.box{fill:#f3f6fa;stroke:#41617f}.roof{fill:#fff6e5;stroke:#8a6a1f}
text{font:13px sans-serif;fill:#1c2530}.name{font-weight:bold;font-size:15px}.on,.floor{fill:#4a5866}.on{font-style:italic}
@media (prefers-color-scheme:dark){.ground{fill:#12181f}.box{fill:#1d2833;stroke:#86a9c9}.roof{fill:#2e2716;stroke:#d2ab52}
text{fill:#e8eef4}.on,.floor{fill:#b4c1ce}}
</style>
`

// draw draws the floors, the highest on top. Each line of the picture is a line
// of the file, so that a change of one package changes few of them.
func draw(floors [][]*room) []byte {
	var body bytes.Buffer
	y := margin
	for i := len(floors) - 1; i >= 0; i-- {
		what := fmt.Sprintf("floor %d", i)
		switch i {
		case 0:
			what = "ground floor: imports nothing of ours"
		case len(floors) - 1:
			what = "under the roof: commands and tools, which may import all"
		}
		fmt.Fprintf(&body, "<text class=\"floor\" x=\"%d\" y=\"%d\">%s</text>\n", margin, y+lineHeight-4, what)
		y += lineHeight + 4
		y = drawFloor(&body, floors[i], y) + between
	}
	var all bytes.Buffer
	fmt.Fprintf(&all, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %d %d\" role=\"img\" aria-labelledby=\"title what\">\n", width, y)
	all.WriteString("<title id=\"title\">The packages of gauged</title>\n")
	all.WriteString("<desc id=\"what\">Each box is a package with those below it in its directory. It imports from floors below its own alone; its last lines name what it imports.</desc>\n")
	all.WriteString(style)
	fmt.Fprintf(&all, "<rect class=\"ground\" width=\"%d\" height=\"%d\"/>\n", width, y)
	all.Write(body.Bytes())
	all.WriteString("</svg>\n")
	return all.Bytes()
}

// drawFloor draws boxes side by side, at most seven in a row, and returns where they end.
func drawFloor(w *bytes.Buffer, floor []*room, y int) int {
	const most = 7
	for len(floor) > 0 {
		row := floor[:min(len(floor), most)]
		floor = floor[len(row):]
		wide := (width - 2*margin - (len(row)-1)*between) / len(row)
		wide = min(wide, 470)
		texts, high := make([][2][]string, len(row)), 0
		for i, r := range row {
			texts[i] = r.lines(int(float64(wide-20) / letter))
			high = max(high, len(texts[i][0])+len(texts[i][1]))
		}
		for i, r := range row {
			drawBox(w, r, texts[i], margin+i*(wide+between), y, wide, (high+1)*lineHeight+12)
		}
		y += (high+1)*lineHeight + 12 + between
	}
	return y - between
}

func drawBox(w *bytes.Buffer, r *room, texts [2][]string, x, y, wide, high int) {
	class := "box"
	if r.all {
		class = "roof"
	}
	fmt.Fprintf(w, "<rect class=\"%s\" x=\"%d\" y=\"%d\" width=\"%d\" height=\"%d\" rx=\"6\"/>\n", class, x, y, wide, high)
	at := y + lineHeight + 2
	fmt.Fprintf(w, "<text class=\"name\" x=\"%d\" y=\"%d\">%s</text>\n", x+10, at, r.name)
	for i, class := range []string{"part", "on"} {
		for _, line := range texts[i] {
			at += lineHeight
			fmt.Fprintf(w, "<text class=\"%s\" x=\"%d\" y=\"%d\">%s</text>\n", class, x+10, at, line)
		}
	}
}

// lines are the parts of a room and what it imports, in lines of so many letters.
func (r *room) lines(letters int) (texts [2][]string) {
	if len(r.parts) > 0 {
		texts[0] = wrap(strings.Join(r.parts, ", "), letters)
	}
	if len(r.on) > 0 && !r.all {
		texts[1] = wrap("on "+strings.Join(r.on, ", "), letters)
	}
	return texts
}

func wrap(text string, letters int) (lines []string) {
	line := ""
	for word := range strings.FieldsSeq(text) {
		if line != "" && len(line)+1+len(word) > letters {
			lines, line = append(lines, line), ""
		}
		line = strings.TrimPrefix(line+" "+word, " ")
	}
	return append(lines, line)
}
