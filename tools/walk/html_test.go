//go:build walk

package walk

import (
	"net/url"
	"slices"
	"strings"

	"golang.org/x/net/html"
)

// document is what somebody sees of a page, and where they can go from it.
type document struct {
	language string
	text     string   // what can be read, labels of pictures and fields too
	main     string   // what can be read in the part of the page that differs
	links    []string // every address that is got: links, pictures, scripts, styles, streams
	forms    []string // those that forms lead to when they are filled in
	ids      []string
}

// fields are what somebody types into the fields of a form that has no choice.
var fields = map[string]string{
	"serial": "L2-0417", "technician": "demo", "error": "0.008", "standard": "0.001", "since": "2020-01-01", "tolerance": "0.1",
}

func parse(content string) (d document, err error) {
	tree, err := html.Parse(strings.NewReader(content))
	if err != nil {
		return d, err
	}
	var text, main strings.Builder
	var visit func(n *html.Node, inMain bool)
	visit = func(n *html.Node, inMain bool) {
		say := func(words string) {
			text.WriteString(words + " ")
			if inMain {
				main.WriteString(words + " ")
			}
		}
		switch {
		case n.Type == html.TextNode:
			say(strings.TrimSpace(n.Data))
		case n.Type == html.ElementNode && (n.Data == "script" || n.Data == "style"):
			d.links = append(d.links, attribute(n, "src"))
			return
		case n.Type == html.ElementNode:
			inMain = inMain || n.Data == "main"
			if n.Data == "html" {
				d.language = attribute(n, "lang")
			}
			for _, a := range n.Attr {
				switch a.Key {
				case "href", "src", "data-stream":
					d.links = append(d.links, a.Val)
				case "alt", "title", "aria-label", "placeholder", "value":
					say(a.Val)
				case "id":
					d.ids = append(d.ids, a.Val)
				}
			}
			if n.Data == "form" && strings.EqualFold(attribute(n, "method"), "get") {
				d.forms = append(d.forms, filled(n, attribute(n, "action"))...)
			}
			if strings.EqualFold(attribute(n, "formmethod"), "get") {
				d.forms = append(d.forms, filled(formOf(n), attribute(n, "formaction"))...)
			}
		}
		for c := n.FirstChild; c != nil; c = c.NextSibling {
			visit(c, inMain)
		}
	}
	visit(tree, false)
	d.text, d.main = text.String(), main.String()
	d.links = slices.DeleteFunc(d.links, func(link string) bool { return link == "" })
	return d, nil
}

func attribute(n *html.Node, key string) string {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

// formOf is the form that a key stands in.
func formOf(key *html.Node) *html.Node {
	for n := range key.Ancestors() {
		if n.Data == "form" {
			return n
		}
	}
	return key // a key without a form: it has no fields
}

// filled are the addresses that a form leads to by an action: with every field filled
// in, and each choice taken once.
func filled(form *html.Node, action string) (addresses []string) {
	first := url.Values{}
	choices := map[string][]string{}
	var visit func(n *html.Node)
	visit = func(n *html.Node) {
		name := attribute(n, "name")
		switch {
		case n.Type != html.ElementNode || name == "":
		case n.Data == "select":
			for c := range n.Descendants() {
				if c.Type == html.ElementNode && c.Data == "option" {
					choices[name] = append(choices[name], option(c))
				}
			}
			if len(choices[name]) > 0 {
				first.Set(name, choices[name][0])
			}
		case n.Data == "input" && (attribute(n, "type") == "radio" || attribute(n, "type") == "checkbox"):
			choices[name] = append(choices[name], attribute(n, "value"))
			first.Set(name, choices[name][0])
		default:
			value := attribute(n, "value")
			if typed, ok := fields[name]; ok {
				value = typed
			}
			first.Set(name, value)
		}
		for c := n.FirstChild; c != nil; c = c.NextSibling {
			visit(c)
		}
	}
	visit(form)
	addresses = append(addresses, action+"?"+first.Encode())
	for name, values := range choices {
		for _, value := range values {
			other := url.Values{}
			for k, v := range first {
				other[k] = v
			}
			other.Set(name, value)
			addresses = append(addresses, action+"?"+other.Encode())
		}
	}
	return addresses
}

// option is the value of a choice: its text, when it states none.
func option(n *html.Node) string {
	for _, a := range n.Attr {
		if a.Key == "value" {
			return a.Val
		}
	}
	if n.FirstChild != nil {
		return strings.TrimSpace(n.FirstChild.Data)
	}
	return ""
}
