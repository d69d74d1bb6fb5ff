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
// thing. Unless old words are accepted, each is a problem, with what to write instead.
func (d *Document) Renew(words []OldWord, accepted bool) {
	for _, w := range words {
		d.renew(d.root, strings.Split(w.Path, "/"), w, accepted)
	}
}

func (d *Document) renew(n *yaml.Node, path []string, w OldWord, accepted bool) {
	if n == nil || n.Kind != yaml.MappingNode {
		return
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key, value := n.Content[i], n.Content[i+1]
		switch {
		case path[0] != "*" && path[0] != key.Value:
		case len(path) > 1:
			d.renew(value, path[1:], w, accepted)
		default:
			d.renewed(key, value, w, accepted)
		}
	}
}

// renewed calls one key and its value as they are called now.
func (d *Document) renewed(key, value *yaml.Node, w OldWord, accepted bool) {
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
	if !accepted {
		d.add(before.Line, before.Column, gauge.Say("entry.old-word", Quoted("was", was), Quoted("now", is)))
	}
}
