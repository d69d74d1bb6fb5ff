package shopfile

import (
	"bytes"
	"regexp"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"

	"gauged/internal/gauge"
)

// checkCode reports a file that is not UTF-8, at its first character that is not.
func (d *Document) checkCode() (fine bool) {
	content := d.content
	switch {
	case bytes.HasPrefix(content, []byte{0xFF, 0xFE}), bytes.HasPrefix(content, []byte{0xFE, 0xFF}):
		d.add(1, 1, gauge.Say("entry.utf16"))
		return false
	case utf8.Valid(content):
		return true
	}
	line, column := 1, 1
	for len(content) > 0 {
		c, size := utf8.DecodeRune(content)
		if c == utf8.RuneError && size == 1 {
			break
		}
		if column++; c == '\n' {
			line, column = line+1, 1
		}
		content = content[size:]
	}
	d.add(line, column, gauge.Say("entry.not-utf8", gauge.Text("letter", string(rune(content[0])))))
	return false
}

// What the YAML library says of the slips that people make most, and what is told of each.
var slips = []struct{ said, code string }{
	{"mapping values are not allowed in this context", "entry.yaml.colon"},
	{"found character that cannot start any token", "entry.yaml.first-character"},
	{"did not find expected ',' or '}'", "entry.yaml.brace"},
	{"did not find expected ',' or ']'", "entry.yaml.bracket"},
	{"found unknown escape character", "entry.yaml.backslash"},
	{"did not find expected key", "entry.yaml.indent"},
	{"could not find expected ':'", "entry.yaml.no-colon"},
	{"found unexpected end of stream", "entry.yaml.quote-open"},
	{"did not find expected node content", "entry.yaml.content"},
	{"expected single document", "entry.yaml.documents"},
}

// syntax reports what the YAML library found, in words that say what to do.
func (d *Document) syntax(line, column int, said string) {
	line, column = max(line, 1), max(column, 1)
	if at, tab := d.tabNear(line); tab > 0 {
		d.add(at, tab, gauge.Say("entry.tab"))
		return
	}
	for _, s := range slips {
		if strings.Contains(said, s.said) {
			d.add(line, column, gauge.Say(s.code))
			return
		}
	}
	d.add(line, column, gauge.Say("entry.yaml.other", Quoted("said", said)))
}

// tabNear finds a tab in the indent of a line, or of one beside it.
func (d *Document) tabNear(line int) (at, column int) {
	for _, at = range []int{line, line + 1, line - 1} {
		text := nthLine(string(d.content), at)
		indent := text[:len(text)-len(strings.TrimLeft(text, " \t"))]
		if tab := strings.IndexByte(indent, '\t'); tab >= 0 {
			return at, tab + 1
		}
	}
	return 0, 0
}

var (
	leadingDigits  = regexp.MustCompile(`^[+-]?[0-9]+$`)
	lastOfSum      = regexp.MustCompile(`[-+*/(] *[0-9]+$`)
	trailingDigits = regexp.MustCompile(`^[0-9]+$`)
)

// torn reports a key without a value that is the rest of the value before it,
// torn off by a comma in { }, and puts that value together again, so that reading
// goes on with what was meant.
func (m *Map) torn(key, value *yaml.Node) bool {
	if m.at.node.Style&yaml.FlowStyle == 0 || value.Tag != "!!null" || value.Value != "" || key.Kind != yaml.ScalarNode || len(m.keys) == 0 {
		return false
	}
	before := m.values[m.keys[len(m.keys)-1].node.Value].node
	if before == nil || before.Kind != yaml.ScalarNode || before.Tag == "!!null" || before.Style&(yaml.SingleQuotedStyle|yaml.DoubleQuotedStyle) != 0 {
		return false
	}
	if line := []rune(nthLine(string(m.at.doc.content), key.Line)); key.Column-1+len([]rune(key.Value)) < len(line) {
		if strings.HasPrefix(strings.TrimLeft(string(line[key.Column-1+len([]rune(key.Value)):]), " "), ":") {
			return false // a key whose value is left empty
		}
	}
	at := Value{m.at.doc, key}
	if before.Line == key.Line && key.Column < m.tornTo {
		return true // of a text that has been told
	}
	whole := *before
	rest := ""
	if line := []rune(nthLine(string(m.at.doc.content), before.Line)); before.Column-1 <= len(line) {
		rest = string(line[before.Column-1:])
	}
	raw := before.Value + ", " + key.Value
	if end := key.Column - before.Column + len([]rune(key.Value)); before.Line == key.Line && end <= len([]rune(rest)) {
		raw = string([]rune(rest)[:end])
	}
	start := Value{m.at.doc, before}
	if limits, after, ok := asLimits(rest); ok && strings.ContainsAny(after[:min(1, len(after))], ",}") {
		text := strings.TrimSpace(rest[:len(rest)-len(after)])
		start.Causes(gauge.Say("entry.limits-torn", Quoted("text", text), gauge.Text("limits", limits)))
		m.tornTo = before.Column + len([]rune(text))
		m.at.doc.tell(&whole)
	} else if one := withUnit.FindStringSubmatch(raw); one != nil {
		start.Wrong(gauge.Say("entry.number-alone", Quoted("text", raw), gauge.Text("number", point(one[1]))))
		m.at.doc.tell(&whole)
	} else if (leadingDigits.MatchString(before.Value) || lastOfSum.MatchString(before.Value)) && trailingDigits.MatchString(key.Value) {
		whole.Value = before.Value + "." + key.Value
		at.Wrong(gauge.Say("entry.number-torn", Quoted("text", before.Value+","+key.Value), Quoted("number", whole.Value)))
	} else {
		whole.Value = raw
		at.Wrong(gauge.Say("entry.text-torn", Quoted("rest", key.Value), Quoted("whole", whole.Value)))
	}
	m.values[m.keys[len(m.keys)-1].node.Value] = Value{m.at.doc, &whole}
	return true
}

// tell marks a value whose problem has been reported, so that no reader tells it again.
func (d *Document) tell(n *yaml.Node) {
	if d.told == nil {
		d.told = map[*yaml.Node]bool{}
	}
	d.told[n] = true
}

// NameIn is the name that a file gives itself under a key, also when it has
// problems; empty when it gives none. What refers to it is then not told that
// there is no such thing.
func NameIn(content []byte, key string) string {
	if root := Parse("", content).Root(); root.IsMap() {
		return root.Map().Get(key).Text()
	}
	for line := range strings.Lines(string(content)) { // a file that is no YAML
		if name, ok := strings.CutPrefix(line, key+":"); ok {
			return strings.Trim(strings.TrimSpace(name), `"'`)
		}
	}
	return ""
}
