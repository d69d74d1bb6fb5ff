package procedure

import (
	"slices"
	"strings"
	"unicode"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// instruments points out a slip in the name of an instrument: what is stated of it
// would count for nothing. A name that is not stated may be that of a gauge of the
// station, unless it is nearly one that is stated.
func (r *procedureReader) instruments(m *shopfile.Map) {
	after := shopfile.Value{}
	if v := m.Get("verify"); v.IsMap() {
		after = v.Map().Get("measure")
	}
	for _, steps := range []shopfile.Value{m.Get("measure"), after} {
		if !steps.IsMap() {
			continue
		}
		for _, e := range steps.Map().Entries() {
			if !e.Value.IsMap() || !e.Value.Map().Get("instrument").Given() {
				continue
			}
			of := e.Value.Map().Get("instrument")
			if near := r.nearInstrument(of.Text()); near != "" {
				of.Wrong(gauge.Say("entry.instrument-near", of.As("instrument"), gauge.Text("near", near)))
			}
		}
	}
}

// nearInstrument is the stated instrument that a name nearly is; empty when there is
// none, or the name itself is stated.
func (r *procedureReader) nearInstrument(name string) string {
	if _, stated := r.p.Instruments[name]; stated {
		return ""
	}
	for stated := range r.p.Instruments {
		if slip(name, stated) {
			return stated
		}
	}
	return ""
}

// slip reports whether two names differ by a slip of the pen: in one word of four
// letters or more one letter too many, too few, another, or two changed over. Names
// with other figures in them are other names.
func slip(a, b string) bool {
	one, two := strings.Fields(strings.ToLower(a)), strings.Fields(strings.ToLower(b))
	if len(one) != len(two) {
		return false
	}
	differ := 0
	for i := range one {
		if one[i] == two[i] {
			continue
		}
		differ++
		x, y := []rune(one[i]), []rune(two[i])
		if slices.ContainsFunc(append(slices.Clone(x), y...), unicode.IsDigit) || min(len(x), len(y)) < 3 || max(len(x), len(y)) < 4 || !oneEdit(x, y) {
			return false
		}
	}
	return differ <= 1
}

// oneEdit reports whether one letter more, less or other, or two changed over, make
// one word of the other.
func oneEdit(x, y []rune) bool {
	if len(x) < len(y) {
		x, y = y, x
	}
	from := 0
	for from < len(y) && x[from] == y[from] {
		from++
	}
	switch len(x) - len(y) {
	case 0:
		return slices.Equal(x[from+1:], y[from+1:]) ||
			from+1 < len(x) && x[from] == y[from+1] && x[from+1] == y[from] && slices.Equal(x[from+2:], y[from+2:])
	case 1:
		return slices.Equal(x[from+1:], y[from:])
	}
	return false
}
