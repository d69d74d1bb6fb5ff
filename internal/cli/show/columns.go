package show

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"
)

// Columns writes aligned rows, each cell ended by a tab. Empty cells at the end
// of a row leave no blanks.
func Columns(w io.Writer, rows func(tab io.Writer)) {
	var aligned bytes.Buffer
	tab := tabwriter.NewWriter(&aligned, 0, 0, 2, ' ', 0)
	rows(tab)
	_ = tab.Flush() // a bytes.Buffer takes everything
	for line := range bytes.Lines(aligned.Bytes()) {
		fmt.Fprintf(w, "%s\n", bytes.TrimRight(line, " \n"))
	}
}

// mostInColumn is how many characters of a text that somebody typed stand in a column.
const mostInColumn = 40

// Cut is a text as a column of a list has it: a long one ends with …, and is whole elsewhere.
func Cut(text string) string {
	if runes := []rune(text); len(runes) > mostInColumn {
		return string(runes[:mostInColumn-1]) + "…"
	}
	return text
}

// Counted counts a noun.
func Counted(n uint64, what string) string {
	if n != 1 {
		what += "s"
	}
	return fmt.Sprintf("%d %s", n, what)
}

// Rendered is the text that is written of something.
func Rendered[T any](render func(io.Writer, T), what T) string {
	var text strings.Builder
	render(&text, what)
	return text.String()
}
