package shopfile

import (
	"slices"
	"sort"
	"strconv"
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

	missing []string // keys that are needed and not there
	tornTo  int      // the column up to which a text is torn by commas
}

// Map returns the value as a mapping, an empty one when it is something else.
func (v Value) Map() *Map {
	m := &Map{at: v, values: map[string]Value{}, asked: map[string]bool{}}
	if !v.is(yaml.MappingNode, gauge.Say("entry.needed.mapping")) {
		return m
	}
	for i := 0; i+1 < len(v.node.Content); i += 2 {
		key := Value{v.doc, v.node.Content[i]}
		if m.torn(v.node.Content[i], v.node.Content[i+1]) {
			continue
		}
		name := key.Text()
		if _, twice := m.values[name]; twice {
			key.Wrong(gauge.Say("entry.key-twice", Quoted("key", name)))
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
		m.at.Wrong(missing(key))
		m.missing = append(m.missing, key)
	}
	return v
}

// NeedOneOf returns the value of a key that must be there, a word of those given.
func (m *Map) NeedOneOf(key string, words ...string) string {
	v := m.Get(key)
	if !v.Given() && m.at.IsMap() {
		m.at.Wrong(gauge.Say("entry.key-missing", gauge.Text("key", key), gauge.Texts("known", words)))
	}
	return v.OneOf(words...)
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
	unknown := 0
	for _, key := range m.keys {
		if !m.asked[key.node.Value] {
			unknown++
		}
	}
	for _, key := range m.keys {
		if !m.asked[key.node.Value] {
			if odd, at, typed := LookAlike(key.node.Value); odd != "" {
				key.Causes(gauge.Say("entry.key-look-alike", Quoted("key", key.node.Value), gauge.Count("at", at), gauge.Word("odd", odd), Quoted("typed", strings.TrimSpace(typed))))
				continue
			}
			meant := m.otherWord(key.node.Value)
			if meant == "" {
				meant = gauge.Nearest(key.node.Value, m.known())
			}
			if meant == "" && unknown == 1 && len(m.missing) == 1 {
				meant = m.missing[0]
			}
			m.at.doc.caused = m.at.doc.caused || m.at.node == m.at.doc.root
			if meant != "" {
				m.found(meant)
				key.Wrong(gauge.Say("entry.key-near", Quoted("key", key.node.Value), gauge.Text("near", meant)))
				continue
			}
			key.Wrong(gauge.Say("entry.key-unknown", Quoted("key", key.node.Value), gauge.Texts("known", m.known())))
		}
	}
}

// otherWords are words that people write for keys, German ones among them.
var otherWords = map[string]string{
	"abmessung": "thickness", "anschluss": "port", "anzahl": "repeats", "auflösung": "resolution", "aufloesung": "resolution", "baud": "line", "baudrate": "line",
	"beispiele": "examples", "bestand": "stock", "bezeichnung": "title", "dicke": "thickness", "einheit": "unit", "erlaubt": "allow", "genauigkeit": "error", "konstanten": "constants",
	"messen": "measure", "messmittel": "gauges", "messuhren": "gauges", "quelle": "source", "schnittstelle": "port", "spalt": "gap", "teile": "parts", "teil": "part",
	"teilenummer": "part", "titel": "title", "toleranz": "tolerance", "verfahren": "procedure", "wahl": "choose", "werte": "values", "wiederholungen": "repeats",
}

// otherWord is the key that a word stands for, where that key is known.
func (m *Map) otherWord(word string) string {
	if key := otherWords[strings.ToLower(word)]; m.asked[key] {
		return key
	}
	return ""
}

// found takes back that a key is missing, which stands there misspelt.
func (m *Map) found(key string) {
	gone := Problem{m.at.doc.name, m.at.node.Line, m.at.node.Column, missing(key)}
	owner := m.at.doc.owner()
	owner.problems = slices.DeleteFunc(owner.problems, func(p Problem) bool { return p.equal(gone) })
}

func (m *Map) known() []string {
	names := make([]string, 0, len(m.asked))
	for name := range m.asked {
		names = append(names, name)
	}
	sort.Strings(names)
	return names
}

// missing is that a key is needed.
func missing(key string) gauge.Message { return gauge.Say("entry.key-missing", gauge.Text("key", key)) }

// Quoted is a text of a file as an argument of a message, as it stands between quotes:
// control characters and quotes are escaped, and of a long one the beginning is shown.
func Quoted(name, text string) gauge.Arg { return gauge.Text(name, shown(text)) }

func shown(text string) string {
	const longest = 300
	if len(text) > longest {
		text = strings.ToValidUTF8(text[:longest], "") + "..."
	}
	text = strconv.Quote(text)
	return text[1 : len(text)-1]
}
