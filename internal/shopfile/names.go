package shopfile

import (
	"strings"

	"gauged/internal/gauge"
)

// Names are names of things by what they are without capitals. Two that differ in capitals
// only are a problem, since people mix them up.
type Names map[string]Value

// Take reports whether a name is free, and takes it. Where it is not, that is told as a
// problem: what same says of one that is there already, given its place; or that the two
// differ in capitals only. A version that was in force once keeps such names.
func (n Names) Take(name Value, same func(at gauge.Arg) gauge.Message) bool {
	if !name.Given() {
		return true
	}
	folded := strings.ToLower(name.node.Value)
	before, there := n[folded]
	if !there {
		n[folded] = name
		return true
	}
	at := gauge.Text("at", before.Position())
	switch {
	case before.node.Value == name.node.Value:
		name.Wrong(same(at))
	case name.doc.once:
		return true
	default:
		name.Wrong(gauge.Say("entry.capitals", before.As("other"), name.As("name"), at))
	}
	return false
}

// Names is Entries of a mapping whose keys are names of things.
func (m *Map) Names() []Entry {
	entries, names := m.Entries(), Names{}
	for _, e := range entries {
		names.Take(e.Key, func(gauge.Arg) gauge.Message { return gauge.Say("entry.key-twice", e.Key.As("key")) })
	}
	return entries
}
