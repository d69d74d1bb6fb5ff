package procedure

import (
	"slices"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// Forbidden stands in a table for marks that must not come together.
const Forbidden = "forbidden"

// mostCodes bounds the marks that one table combines.
const mostCodes = 4

// codes reads a table that chooses by marks: the steps whose marks are looked
// at, and for each combination a part number or that it is forbidden.
func (r *familyReader) codes(v shopfile.Value) {
	if !v.Given() {
		return
	}
	m := v.Map()
	by := m.Need("by")
	r.f.CodeSteps = by.Texts()
	if n := len(r.f.CodeSteps); by.Given() && (n < 1 || n > mostCodes) {
		by.Wrong(gauge.Say("entry.codes-by", gauge.Count("most", mostCodes)))
	}
	r.f.CodeRows = map[string][]string{}
	r.codeRows(m.Need("rows"), nil)
	m.Done()
}

func (r *familyReader) codeRows(v shopfile.Value, marks []string) {
	if !v.Given() || len(r.f.CodeSteps) > mostCodes {
		return
	}
	if len(marks) < len(r.f.CodeSteps) {
		for _, e := range v.Map().Entries() {
			r.codeRows(e.Value, append(slices.Clip(marks), e.Key.Text()))
		}
		return
	}
	r.f.CodeRows[CodeKey(marks)] = r.codeParts(v)
	if len(r.f.CodeRows) == maxGrades+1 {
		v.Wrong(gauge.Say("entry.codes-rows", gauge.Count("most", maxGrades)))
	}
}

// codeParts reads the part that a row gives, a list of several that are all
// right, or that there is none.
func (r *familyReader) codeParts(v shopfile.Value) []string {
	var parts []string
	if v.IsList() {
		parts = v.Texts()
	} else if text := v.Text(); text != Forbidden {
		parts = []string{text}
	}
	for _, part := range parts {
		if r.gradeOf(part) < 0 {
			v.Wrong(gauge.Say("entry.codes-part", shopfile.Quoted("part", part), gauge.Text("none", Forbidden)))
		}
	}
	return parts
}
