package shopfile

import (
	"fmt"
	"sort"
	"strings"

	"gauged/internal/gauge"

	"go.yaml.in/yaml/v4"
)

// Map is a mapping whose keys are asked for one by one; Done reports the rest.
type Map struct {
	at     Value
	keys   []Value // in the order of the file
	values map[string]Value
	asked  map[string]bool
}

// Map returns the value as a mapping, an empty one when it is something else.
func (v Value) Map() *Map {
	m := &Map{at: v, values: map[string]Value{}, asked: map[string]bool{}}
	if !v.is(yaml.MappingNode, "a mapping (key: value)") {
		return m
	}
	for i := 0; i+1 < len(v.node.Content); i += 2 {
		key := Value{v.doc, v.node.Content[i]}
		if m.torn(v.node.Content[i], v.node.Content[i+1]) {
			continue
		}
		name := key.Text()
		if _, twice := m.values[name]; twice {
			key.Problemf("%q stands here twice", name)
			continue
		}
		m.keys = append(m.keys, key)
		m.values[name] = Value{v.doc, v.node.Content[i+1]}
	}
	return m
}

// Get returns the value of an optional key.
func (m *Map) Get(key string) Value {
	m.asked[key] = true
	return m.values[key]
}

// Need returns the value of a key that must be there.
func (m *Map) Need(key string) Value {
	v := m.Get(key)
	if !v.Given() && m.at.IsMap() {
		m.at.Problemf("%q is missing", key)
	}
	return v
}

// Entry is one key of a mapping with its value.
type Entry struct {
	Key   Value
	Value Value
}

// Entries returns all keys in the order of the file, for mappings whose keys
// the shop chooses.
func (m *Map) Entries() []Entry {
	entries := make([]Entry, len(m.keys))
	for i, key := range m.keys {
		m.asked[key.node.Value] = true
		entries[i] = Entry{key, m.values[key.node.Value]}
	}
	return entries
}

// Done reports every key that was not asked for.
func (m *Map) Done() {
	for _, key := range m.keys {
		if !m.asked[key.node.Value] {
			near := ""
			if meant := gauge.Nearest(key.node.Value, m.known()); meant != "" {
				near = fmt.Sprintf(" (did you mean %s?)", meant)
			}
			key.Problemf("%q is not a key here%s; the keys are %s", key.node.Value, near, strings.Join(m.known(), ", "))
		}
	}
}

func (m *Map) known() []string {
	names := make([]string, 0, len(m.asked))
	for name := range m.asked {
		names = append(names, name)
	}
	sort.Strings(names)
	return names
}
