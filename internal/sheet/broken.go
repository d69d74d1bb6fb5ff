package sheet

import (
	"regexp"
	"slices"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/words"
)

const (
	bind     = "\u00a0" // stands for a blank that no line ends at
	longWord = 22.0     // in millimetres: a longer word of a cell may be broken

	// sizes of letters in points: the least, that for which words are broken, and a step
	leastSize, wordsSize, lessSize = 6.0, 7.0, 0.25
)

// besideANumber is a unit or a percent sign after a number.
var besideANumber = func() *regexp.Regexp {
	units := []string{"%"}
	for _, u := range gauge.Units() {
		if u != gauge.One {
			units = append(units, regexp.QuoteMeta(words.Unit(u)))
		}
	}
	slices.SortFunc(units, func(a, b string) int { return len(b) - len(a) }) // kgf cm before kgf
	return regexp.MustCompile(`[0-9] (?:` + strings.Join(units, "|") + `)(?:[^\pL0-9]|$)`)
}()

// aNumber is a piece of a text that is one, or begins with one.
var aNumber = regexp.MustCompile(`^[-+±( ]*[0-9]`)

// pieces are the parts of a line between which it may be broken: words, and numbers with
// their signs and units.
func pieces(line string) []string {
	line = strings.ReplaceAll(line, "± ", "±"+bind)
	line = besideANumber.ReplaceAllStringFunc(line, func(found string) string {
		inner := strings.TrimRight(found, " ")
		return strings.ReplaceAll(inner, " ", bind) + found[len(inner):]
	})
	all := strings.Split(line, " ")
	for i := range all {
		all[i] = strings.ReplaceAll(all[i], bind, " ")
	}
	return all
}

// broken breaks a text into lines of a cell of a width; a word that is wider is broken, too.
func (w *writer) broken(text string, width float64) (lines []string) {
	room := width - 2*gap
	for _, paragraph := range strings.Split(strings.TrimRight(text, "\n"), "\n") {
		line := ""
		for i, piece := range pieces(paragraph) {
			switch longer := line + " " + piece; {
			case i == 0:
				line = piece
			case w.GetStringWidth(longer) <= room:
				line = longer
			default:
				lines, line = append(lines, line), piece
			}
			if parts := w.narrow(line, room); len(parts) > 1 {
				lines, line = append(lines, parts[:len(parts)-1]...), parts[len(parts)-1]
			}
		}
		lines = append(lines, line)
	}
	return lines
}

// narrow breaks one line that has no blank to break it at.
func (w *writer) narrow(line string, width float64) (lines []string) {
	runes := []rune(line)
	for len(runes) > 0 {
		n := len(runes)
		for n > 1 && w.GetStringWidth(string(runes[:n])) > width {
			n--
		}
		lines, runes = append(lines, string(runes[:n])), runes[n:]
	}
	return lines
}

// needs are how wide the columns of a table are at least, so that no head, no number and, with
// words, no usual word is broken.
func (w *writer) needs(t *Table, words bool) []float64 {
	need := make([]float64, len(t.Head))
	w.SetFont("go", "B", w.size)
	for i, head := range t.Head {
		for _, word := range strings.Fields(head) {
			need[i] = max(need[i], w.GetStringWidth(word)+2*gap+hair)
		}
	}
	for _, row := range t.Rows {
		w.SetFont("go", weight(row.Strong), w.size)
		for i, cell := range row.Cells {
			for _, piece := range pieces(strings.ReplaceAll(cell, "\n", " ")) {
				wide := w.GetStringWidth(piece) + 2*gap + hair
				if number := aNumber.MatchString(piece); number || words && wide <= longWord {
					need[i] = max(need[i], wide)
				}
			}
		}
	}
	return need
}

// headed are the shares of a table's columns, each wide enough for what it needs. The others
// give way, and then the size of the letters; usual words are broken before these get tiny.
func (w *writer) headed(t *Table) []float64 {
	need, usual := w.needs(t, true), true
	for sum(need) > inside && w.size > leastSize {
		if w.size -= lessSize; w.size < wordsSize {
			usual = false
		}
		need = w.needs(t, usual)
	}
	total, left := sum(t.Shares), inside
	wide := make([]bool, len(t.Head))
	for again := true; again; {
		again = false
		for i := range need {
			if !wide[i] && left*t.Shares[i]/total < need[i] {
				wide[i], again = true, true
				left, total = left-need[i], total-t.Shares[i]
			}
		}
	}
	widths := make([]float64, len(t.Head))
	for i := range widths {
		if widths[i] = need[i]; !wide[i] {
			widths[i] = left * t.Shares[i] / total
		}
	}
	return widths
}

func weight(strong bool) string {
	if strong {
		return "B"
	}
	return ""
}
