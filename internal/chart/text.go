package chart

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Text draws the chart in a field of width times height characters, with its
// axes and legend around it, in ASCII.
func (c Chart) Text(width, height int) string {
	b := c.bounds()
	field := make([][]rune, height)
	for i := range field {
		field[i] = []rune(strings.Repeat(" ", width))
	}
	set := func(column int, y float64, mark rune) {
		row := height - 1 - place(b.up(y), height)
		field[row][column] = mark
	}
	for _, l := range c.Lines {
		for column := range width {
			x := b.left + (b.right-b.left)*(float64(column)+0.5)/float64(width)
			if y, ok := l.at(x); ok && b.inside(y) {
				set(column, y, l.Rune)
			}
		}
	}
	for _, f := range c.Flags {
		set(place(b.across(f.X), width), f.Y, flagRune)
	}
	marks := slices.Clone(c.Marks) // dots under letters, which say more where they have one place
	slices.SortStableFunc(marks, func(a, b Marks) int { return cmp.Compare(b.Shape.small(), a.Shape.small()) })
	for _, m := range marks {
		for _, p := range m.Points {
			column := place(b.across(p.X), width)
			if b.inside(p.Y) {
				set(column, p.Y, m.Rune)
				continue
			}
			c.setOutside(field, b, column, p.Y)
		}
	}
	var out strings.Builder
	fmt.Fprintf(&out, "%s\n%s\n", c.Title, c.Up)
	labels, margin := c.rowLabels(b, height)
	for i, row := range field {
		fmt.Fprintf(&out, "%s\n", strings.TrimRight(fmt.Sprintf("%*s |%s", margin, labels[i], string(row)), " "))
	}
	out.WriteString(c.axis(b, margin, width))
	for _, m := range c.Marks {
		fmt.Fprintf(&out, "  %c  %s\n", m.Rune, m.Name)
	}
	for _, l := range c.Lines {
		if l.Name != "" {
			fmt.Fprintf(&out, "  %c  %s\n", l.Rune, l.Name)
		}
	}
	for _, f := range c.Flags {
		fmt.Fprintf(&out, "  %c  %s\n", flagRune, f.Label)
	}
	return out.String()
}

// flagRune marks a flag.
const flagRune = '@'

// setOutside puts an arrow at the edge towards a value that is cut, and the value beside it
// where there is room.
func (c Chart) setOutside(field [][]rune, b box, column int, y float64) {
	row, text := field[0], "^"+written(c.Number, figure(y))
	if y < b.low {
		row, text = field[len(field)-1], "v"+written(c.Number, figure(y))
	}
	if column+len(text) > len(row) || strings.TrimSpace(string(row[column:column+len(text)])) != "" {
		text = text[:1]
	}
	copy(row[column:], []rune(text))
}

// place is the cell of n that holds the part of the way.
func place(part float64, n int) int { return min(max(int(part*float64(n)), 0), n-1) }

// rowLabels returns the label of each row, most of them empty, and the widest.
func (c Chart) rowLabels(b box, height int) (labels map[int]string, margin int) {
	labels = map[int]string{}
	values, texts := b.steps(height/3, c.Number)
	for i, v := range values {
		labels[height-1-place(b.up(v), height)] = texts[i]
		margin = max(margin, len(texts[i]))
	}
	return labels, margin
}

// axis returns the x axis and the labels under it, as many as there is room for.
func (c Chart) axis(b box, margin, width int) string {
	line := []rune(strings.Repeat("-", width))
	labels := []rune(strings.Repeat(" ", width+margin+2))
	free := 0
	for _, t := range c.Ticks {
		if t.X < b.left || t.X > b.right {
			continue
		}
		column := place(b.across(t.X), width)
		from := min(margin+2+column, len(labels)-len(t.Label))
		if from < free {
			continue
		}
		line[column] = '+'
		copy(labels[from:], []rune(t.Label))
		free = from + len(t.Label) + 2
	}
	along := ""
	if c.Along != "" {
		along = strings.Repeat(" ", margin+2) + c.Along + "\n"
	}
	return fmt.Sprintf("%s+%s\n%s\n%s", strings.Repeat(" ", margin+1), string(line), strings.TrimRight(string(labels), " "), along)
}
