package vet

import (
	"gauged/internal/evaluate"
	"gauged/internal/evaluate/doubt"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// CheckWidths reports limits of a procedure between which nothing can be decided
// with what it states of instruments and constants, each at its line. path and
// content are those of its file.
func CheckWidths(p *procedure.Procedure, path string, content []byte) error {
	content, _ = shopfile.Split(content) // its tables were read with the procedure
	doc := shopfile.Parse(path, content)
	m := doc.Root().Map()
	for _, n := range evaluate.NarrowOf(p) {
		resultAt(m, n.Result, n.Place).Wrong(gauge.Say("entry.narrow", gauge.Text("result", n.Result), gauge.Nested("says", n.Says)))
	}
	return doc.Err()
}

// resultAt is where the limits of a result stand.
func resultAt(m *shopfile.Map, name, place string) shopfile.Value {
	for _, judges := range []shopfile.Value{m.Get("judge"), m.Get("verify")} {
		if !judges.IsMap() {
			continue
		}
		in := judges.Map()
		if after := in.Get("judge"); after.IsMap() {
			in = after.Map()
		}
		if v := in.Get(name); v.Given() {
			return v
		}
	}
	if fit := m.Get("fit"); fit.IsMap() && place != "" {
		return fit.Map().Get(place)
	}
	return m.Get("allow")
}

// answersInTime refuses a procedure whose results would take a station too long.
func answersInTime(p *procedure.Procedure, m *shopfile.Map) {
	terms := 0
	for _, b := range doubt.BentOf(p) {
		if terms += b.Terms; terms > doubt.MostBent {
			resultAt(m, b.Result, b.Place).Wrong(gauge.Say("entry.bent-long", gauge.Count("terms", terms), gauge.Count("most", doubt.MostBent)))
			return
		}
	}
}
