package procedure

import (
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// shortened is a text for a problem; a long one ends with dots.
func shortened(text string) string {
	const most = 80
	runes := []rune(text)
	if len(runes) <= most {
		return text
	}
	return string(runes[:most-3]) + "..."
}

// What a file may cost before it is tried. Each bound is far above what a manual needs.
const (
	mostTerms = 1000    // of one formula: names, numbers and signs
	mostRun   = 100_000 // terms of all formulas times examples
)

// tried refuses a formula, or examples, that would take the program long, and
// tries the others with try. A version that is in the history is read all the same.
func (r *procedureReader) tried(m *shopfile.Map, try func(*Procedure, *shopfile.Map)) {
	for _, long := range r.long {
		long.Wrong(gauge.Say("entry.formula-long", shopfile.Quoted("formula", shortened(long.Text())), gauge.Count("most", mostTerms)))
	}
	if run := r.terms * len(r.p.Examples); run > mostRun {
		m.Get("examples").Wrong(gauge.Say("entry.examples-long", gauge.Count("terms", r.terms), gauge.Count("examples", len(r.p.Examples)), gauge.Count("run", run), gauge.Count("most", mostRun)))
		return
	}
	if len(r.long) == 0 {
		try(r.p, m)
		r.instruments(m)
	}
}
