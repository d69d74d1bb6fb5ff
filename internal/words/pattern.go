package words

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// pattern is a text with named placeholders, taken apart:
//
//	{part}               what the argument of that name is
//	{places:and}         a list with "and" before the last one; "or" likewise
//	{results:named}      results by the names that an evaluation has for them; joined likewise
//	{problems:lines}     a list with each on its own line
//	{pieces:piece|pieces} the first word for one, the second for any other count
//	{field:unsaid}       nothing: it is for programs
//	{since:day}          the day of a moment alone
//	[; it gives {play}]  left out when one of the arguments in it is not there
//	{{min: 0.1}} [[a]]    brackets that are shown
type pattern []piece

// piece is text as it stands, a placeholder, or what stands in square brackets.
type piece struct {
	text   string
	name   string
	form   string
	inside pattern
}

var placeholder = regexp.MustCompile(`^\{([a-z][a-z0-9_]*)(?::([^{}\[\]]+))?\}`)

// parsePattern takes a text apart.
func parsePattern(text string) (pattern, error) {
	var all pattern
	for rest := text; rest != ""; {
		i := strings.IndexAny(rest, "{}[]")
		if i < 0 {
			return append(all, piece{text: rest}), nil
		}
		if i > 0 {
			all, rest = append(all, piece{text: rest[:i]}), rest[i:]
		}
		switch {
		case len(rest) > 1 && rest[1] == rest[0]:
			all, rest = append(all, piece{text: rest[:1]}), rest[2:]
		case rest[0] == '{':
			m := placeholder.FindStringSubmatch(rest)
			if m == nil {
				return nil, fmt.Errorf("no placeholder begins at %q: write it as {name} or {name:form}", rest)
			}
			all, rest = append(all, piece{name: m[1], form: m[2]}), rest[len(m[0]):]
		case rest[0] == '[':
			end := strings.IndexByte(rest, ']')
			if end < 0 {
				return nil, fmt.Errorf("the bracket at %q is not closed", rest)
			}
			inside, err := parsePattern(rest[1:end])
			if err != nil {
				return nil, err
			}
			if len(inside.names()) == 0 {
				return nil, fmt.Errorf("nothing is filled in between the brackets of %q", rest)
			}
			all, rest = append(all, piece{inside: inside}), rest[end+1:]
		default:
			return nil, fmt.Errorf("nothing was opened before %q", rest)
		}
	}
	return all, nil
}

// outline is the text as a reader of the codes sees it: a placeholder as its name in
// braces, or as its word for several; what may be left out in brackets; and brackets and
// braces that are shown as they are.
func (p pattern) outline() string {
	var text strings.Builder
	for _, piece := range p {
		_, several, ok := strings.Cut(piece.form, "|")
		switch {
		case piece.inside != nil:
			text.WriteString("[" + piece.inside.outline() + "]")
		case ok:
			text.WriteString(several)
		case piece.name != "":
			text.WriteString("{" + piece.name + "}")
		default:
			text.WriteString(piece.text)
		}
	}
	return text.String()
}

// names are the placeholders, sorted; with a question mark behind those that stand in
// brackets alone.
func (p pattern) names() []string {
	var needed, optional []string
	for _, piece := range p {
		switch {
		case piece.name != "":
			needed = append(needed, piece.name)
		case piece.inside != nil:
			optional = append(optional, piece.inside.names()...)
		}
	}
	for _, name := range optional {
		if name = strings.TrimSuffix(name, "?"); !slices.Contains(needed, name) {
			needed = append(needed, name+"?")
		}
	}
	slices.Sort(needed)
	return slices.Compact(needed)
}
