package sheet

import (
	"strings"
	"unicode"
)

// drawable is the sheet in characters that a font of the PDF can have: those beyond
// the first 65536 and those that cannot be seen stand as a mark that says so.
func (s *Sheet) drawable() *Sheet {
	d := *s
	d.Title, d.Outcome, d.Foot = drawn(s.Title), drawn(s.Outcome), drawn(s.Foot)
	d.Signs = allDrawn(s.Signs)
	d.Head = make([]Pair, len(s.Head))
	for i, p := range s.Head {
		d.Head[i] = Pair{drawn(p.Name), drawn(p.Value)}
	}
	d.Sections = make([]Section, len(s.Sections))
	for i, section := range s.Sections {
		d.Sections[i] = Section{Title: drawn(section.Title), Notes: allDrawn(section.Notes)}
		if t := section.Table; t != nil {
			table := &Table{Head: allDrawn(t.Head), Shares: t.Shares}
			for _, row := range t.Rows {
				row.Cells = allDrawn(row.Cells)
				table.Rows = append(table.Rows, row)
			}
			d.Sections[i].Table = table
		}
	}
	return &d
}

func allDrawn(texts []string) []string {
	all := make([]string, len(texts))
	for i, text := range texts {
		all[i] = drawn(text)
	}
	return all
}

func drawn(text string) string {
	return strings.Map(func(c rune) rune {
		switch {
		case c == '\n':
			return c
		case c == '\t':
			return ' '
		case c > 0xFFFF, !unicode.IsGraphic(c):
			return '\uFFFD'
		}
		return c
	}, text)
}
