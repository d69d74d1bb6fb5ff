package formula

import "strings"

// Formulas may name the parts of places. fitted(PLACE) is the part that was
// really fitted there; a later place may use it. part(PLACE) is the part that
// was fitted there or, until then, is recommended; judge may use it, with part
// for the one place of a procedure and parts for those of all places together.
const (
	namePart   = "part"
	NameParts  = "parts"
	NameFitted = "fitted"
)

// FittedName is the name of the part that was really fitted at a place.
func FittedName(place string) string { return ofPlace(NameFitted, place) }

// PartName is the name of the part at a place.
func PartName(place string) string { return ofPlace(namePart, place) }

// ofPlace is a name of one place of several, or of the only one.
func ofPlace(name, place string) string {
	if place == "" {
		return name
	}
	return name + "(" + place + ")"
}

// PlaceOf is the place that a name of a kind speaks of, such as a in fitted(a) of the
// kind NameFitted; false where it is no such name.
func PlaceOf(kind, name string) (place string, ok bool) {
	inner, ok := strings.CutPrefix(name, kind+"(")
	return strings.TrimSuffix(inner, ")"), ok
}

// placeName reads the name of the part of a place, which is written like a
// function of the place.
func (p *parser) placeName(t token) (*Node, bool) {
	if t.text != namePart && t.text != NameFitted || p.next+2 >= len(p.tokens) {
		return nil, false
	}
	open, place, end := p.tokens[p.next], p.tokens[p.next+1], p.tokens[p.next+2]
	if open.text != "(" || place.kind != tokenName || end.text != ")" {
		return nil, false
	}
	p.next += 3
	return &Node{Op: OpName, Name: t.text + "(" + place.text + ")", at: t.at}, true
}
