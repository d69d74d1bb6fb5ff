package evaluate

import (
	"slices"

	"gauged/internal/shopfile"
)

// forbidden stands in a table for marks that must not come together.
const forbidden = "forbidden"

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
		by.Problemf("a table combines from 1 to %d marks", mostCodes)
	}
	r.f.CodeRows = map[string]string{}
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
	part := v.Text()
	if part == forbidden {
		part = ""
	} else if _, ok := r.parts[part]; !ok {
		v.Problemf("there is no part %q among the grades; write %s for marks that must not come together", part, forbidden)
	}
	r.f.CodeRows[codeKey(marks)] = part
	if len(r.f.CodeRows) == maxGrades+1 {
		v.Problemf("the table has more than %d rows", maxGrades)
	}
}
