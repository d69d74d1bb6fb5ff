package shopfile

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"go.yaml.in/yaml/v4"

	"gauged/internal/gauge"
)

// Value is a place in a document. The zero Value is one that the file does not
// have: its methods return zeros and report nothing.
type Value struct {
	doc  *Document
	node *yaml.Node
}

// Given reports whether the file has this value.
func (v Value) Given() bool { return v.node != nil }

// Wrong reports a mistake at this value.
func (v Value) Wrong(m gauge.Message) {
	if v.Given() {
		v.doc.add(v.node.Line, v.node.Column, m)
	}
}

// As is the scalar as an argument of a message, as it stands in the file.
func (v Value) As(name string) gauge.Arg {
	if !v.Given() || v.node.Kind != yaml.ScalarNode {
		return gauge.Text(name, "")
	}
	return Quoted(name, v.node.Value)
}

// Follows reports what may come of another mistake, such as a name that is not known
// because the key over it is misspelt: it is told only where no such mistake is.
func (v Value) Follows(m gauge.Message) {
	if v.Given() {
		owner := v.doc.owner()
		owner.follow = append(owner.follow, Problem{v.doc.name, v.node.Line, v.node.Column, m})
	}
}

// Causes reports a mistake that others follow from, such as one in what gives a name: who
// uses the name is then not told that there is none.
func (v Value) Causes(m gauge.Message) {
	if v.Wrong(m); v.Given() {
		v.doc.owner().caused = true
	}
}

// WrongInside reports a mistake at a line and column, from 1, of a text that
// stands as a block (svg: |): its place in the file. Of other texts the lines are
// not those of the file, and the place is where the text begins.
func (v Value) WrongInside(line, column int, m gauge.Message) {
	if !v.Given() {
		return
	}
	if v.node.Kind != yaml.ScalarNode || v.node.Style&yaml.LiteralStyle == 0 || line < 1 {
		v.Wrong(m)
		return
	}
	at := v.node.Line + line // the block begins on the line after its sign
	v.doc.add(at, v.indent(line, at)+max(column, 1), m)
}

// indent is by how much the file indents a line of a block.
func (v Value) indent(line, at int) int {
	written, read := nthLine(string(v.doc.content), at), nthLine(v.node.Value, line)
	if before, ok := strings.CutSuffix(written, read); ok && read != "" {
		return len(before)
	}
	return 0
}

// nthLine returns a line of a text, from 1, without its end; empty past the text.
func nthLine(text string, n int) string {
	at := 0
	for line := range strings.Lines(text) {
		if at++; at == n {
			return strings.TrimRight(line, "\r\n")
		}
	}
	return ""
}

// Position returns the value's place as file:line:column.
func (v Value) Position() string {
	if !v.Given() {
		return ""
	}
	return v.doc.name + ":" + strconv.Itoa(v.node.Line) + ":" + strconv.Itoa(v.node.Column)
}

// is reports whether the value is of a kind, and tells what is needed where it is not.
func (v Value) is(kind yaml.Kind, needed gauge.Message) bool {
	if !v.Given() {
		return false
	}
	if v.node.Kind == yaml.AliasNode {
		v.Wrong(gauge.Say("entry.alias"))
		return false
	}
	if v.doc.told[v.node] {
		return false
	}
	if v.node.Kind != kind || v.node.Tag == "!!null" {
		if limits, rest, ok := asLimits(v.node.Value); ok && rest == "" && kind == yaml.MappingNode {
			v.Causes(gauge.Say("entry.limits-as-text", Quoted("text", v.node.Value), gauge.Text("limits", limits)))
			return false
		}
		if pair := v.node.Content; kind == yaml.ScalarNode && v.node.Kind == yaml.MappingNode && len(pair) == 2 && pair[1].Kind == yaml.ScalarNode {
			v.Causes(gauge.Say("entry.needed-alone", gauge.Nested("needed", needed), Quoted("value", pair[1].Value), Quoted("key", pair[0].Value)))
			return false
		}
		if kind == yaml.SequenceNode && v.node.Kind == yaml.MappingNode {
			needed = gauge.Say("entry.needed.list-lines")
		}
		v.Wrong(needed)
		return false
	}
	return true
}

// IsMap reports whether the value is a mapping, without complaint if not.
func (v Value) IsMap() bool { return v.Given() && v.node.Kind == yaml.MappingNode }

// IsList reports whether the value is a list, without complaint if not.
func (v Value) IsList() bool { return v.Given() && v.node.Kind == yaml.SequenceNode }

// Text returns a scalar as written.
func (v Value) Text() string {
	if !v.is(yaml.ScalarNode, gauge.Say("entry.needed.value")) {
		return ""
	}
	return v.node.Value
}

// Word returns a scalar that must be an id: letters, digits, and . _ - inside.
func (v Value) Word() string {
	text := v.Text()
	for i, c := range text {
		letter := c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '_'
		if !letter && (i == 0 || c != '-' && c != '.') {
			v.Wrong(gauge.Say("entry.no-name", Quoted("text", text)))
			return ""
		}
	}
	if v.Given() && text == "" && v.node.Kind == yaml.ScalarNode {
		v.Wrong(gauge.Say("entry.name-empty"))
	}
	return text
}

// OneOf returns a scalar that must be one of the given words.
func (v Value) OneOf(words ...string) string {
	text := v.Text()
	for _, w := range words {
		if text == w {
			return text
		}
	}
	if text != "" || v.Given() && v.node.Kind == yaml.ScalarNode {
		v.Wrong(gauge.Say("entry.word-unknown", Quoted("word", text), gauge.Texts("known", words)))
	}
	return ""
}

// Decimals returns how many decimals a scalar is written with.
func (v Value) Decimals() int {
	if !v.Given() || v.node.Kind != yaml.ScalarNode {
		return 0
	}
	_, decimals, _ := strings.Cut(v.node.Value, ".")
	return len(decimals)
}

// Int returns a whole number between low and high.
func (v Value) Int(low, high int) int {
	if !v.is(yaml.ScalarNode, gauge.Say("entry.needed.whole-number")) {
		return 0
	}
	n, err := strconv.Atoi(v.node.Value)
	if err != nil || n < low || n > high {
		v.Wrong(gauge.Say("entry.no-whole-number", append([]gauge.Arg{Quoted("text", v.node.Value), gauge.Count("low", low), gauge.Count("high", high)}, inDigits(v.node.Value, low)...)...))
		return 0
	}
	return n
}

// Bool returns yes or no.
func (v Value) Bool() bool {
	switch v.OneOf("yes", "no", "true", "false") {
	case "yes", "true":
		return true
	}
	return false
}

// IsBool reports whether the value is yes or no, without complaint if not.
func (v Value) IsBool() bool {
	return v.Given() && slices.Contains([]string{"yes", "no", "true", "false"}, v.node.Value)
}

// Duration returns a time such as 250ms, 3s or 2h.
func (v Value) Duration() time.Duration {
	if !v.is(yaml.ScalarNode, gauge.Say("entry.needed.time")) {
		return 0
	}
	d, err := time.ParseDuration(v.node.Value)
	if err != nil || d < 0 {
		remedy := gauge.Say("entry.time.form")
		if written := point(strings.ReplaceAll(v.node.Value, " ", "")); written != v.node.Value {
			if _, err := time.ParseDuration(written); err == nil {
				remedy = gauge.Say("entry.time.space", gauge.Text("written", written))
				if strings.Contains(v.node.Value, ",") {
					remedy = gauge.Say("entry.time.comma", gauge.Text("written", written))
				}
			}
		}
		v.Causes(gauge.Say("entry.no-time", Quoted("text", v.node.Value), gauge.Nested("remedy", remedy)))
		return 0
	}
	return d
}

// List returns the items of a list.
func (v Value) List() []Value {
	if !v.is(yaml.SequenceNode, gauge.Say("entry.needed.list")) {
		return nil
	}
	items := make([]Value, len(v.node.Content))
	for i, n := range v.node.Content {
		items[i] = Value{v.doc, n}
	}
	return items
}

// Items returns the items of a list; one scalar stands for a list of one.
func (v Value) Items() []Value {
	if v.Given() && v.node.Kind == yaml.ScalarNode {
		return []Value{v}
	}
	return v.List()
}

// Texts returns the texts of Items.
func (v Value) Texts() []string {
	var texts []string
	for _, item := range v.Items() {
		texts = append(texts, item.Text())
	}
	return texts
}

// Blank reports whether the file has the value's place but nothing in it.
func (v Value) Blank() bool {
	return v.Given() && v.node.Kind == yaml.ScalarNode && (v.node.Tag == "!!null" || strings.TrimSpace(v.node.Value) == "")
}
