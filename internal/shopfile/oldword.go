package shopfile

import (
	"strings"

	"gauged/internal/gauge"

	"go.yaml.in/yaml/v4"
)

// OldWord is what a key was called in files of earlier versions, and what it is called
// now, or what its value is.
type OldWord struct {
	// Path is where it stands: the keys from the top, with a slash between; * is any key.
	Path string
	// Now is what the last key is called now; empty: as before.
	Now string
	// Values are what values are called now; those that are not among them stay.
	Values map[string]string
	// Plain says that only a plain value is meant: a mapping below the key stays.
	Plain bool
}

// Renew calls everything as it is called now, so that a reader knows one word for each
// thing. Each old word is a problem, with what to write instead, unless the version was in
// force once: that keeps its words and names.
func (d *Document) Renew(words []OldWord, once bool) {
	d.once = once
	for _, w := range words {
		d.renew(d.root, strings.Split(w.Path, "/"), w)
	}
}

func (d *Document) renew(n *yaml.Node, path []string, w OldWord) {
	if n == nil || n.Kind != yaml.MappingNode {
		return
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		switch {
		case path[0] != "*" && path[0] != key.Value:
		case len(path) > 1:
			d.renew(value, path[1:], w)
		default:
			d.renewed(key, value, w)
		}
	}
}

// renewed calls one key and its value as they are called now.
func (d *Document) renewed(key, value *yaml.Node, w OldWord) {
	plain := value.Kind == yaml.ScalarNode
	text, old := w.Values[value.Value]
	if w.Plain && !plain || w.Now == "" && !(plain && old) {
		return
	}
	before := *key
	was, is := key.Value, key.Value
	if w.Now != "" {
		is, key.Value = w.Now, w.Now
	}
	if plain {
		was += ": " + value.Value
		if old {
			value.Value = text
		}
		is += ": " + value.Value
	}
	if !d.once {
		d.add(before.Line, before.Column, gauge.Say("entry.old-word", Quoted("was", was), Quoted("now", is)))
	}
}
