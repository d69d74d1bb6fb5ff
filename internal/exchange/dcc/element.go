package dcc

import (
	"encoding/xml"
	"strings"

	"gauged/internal/gauge"
)

// element is one element with its attributes, and text or elements in it.
type element struct {
	XMLName    xml.Name
	Attributes []xml.Attr `xml:",any,attr"`
	Text       string     `xml:",chardata"`
	Each       []element  `xml:",any"`
}

// el makes an element of texts and elements; an element without a name is left out.
func el(name string, in ...any) element {
	e := element{XMLName: xml.Name{Local: name}}
	for _, one := range in {
		switch x := one.(type) {
		case string:
			e.Text += x
		case xml.Attr:
			e.Attributes = append(e.Attributes, x)
		case element:
			e.add(x)
		case []element:
			e.add(x...)
		}
	}
	return e
}

func (e *element) add(all ...element) {
	for _, one := range all {
		if one.XMLName.Local != "" {
			e.Each = append(e.Each, one)
		}
	}
}

// given is an element with a text, and none without.
func given(name, text string) element {
	if text == "" {
		return element{}
	}
	return el(name, text)
}

func attr(name, value string) xml.Attr { return xml.Attr{Name: xml.Name{Local: name}, Value: value} }

func kind(value string) xml.Attr { return attr("refType", value) }

// exact writes a length in millimetres with every digit that it has.
func exact(l gauge.Length) string { return digits(l, gauge.Millimetre) }

func digits(l gauge.Length, u gauge.Unit) string {
	return strings.TrimSuffix(strings.TrimRight(l.Text(u, 9), "0"), ".")
}

const millimetre = `\milli\metre`

// exact writes a length with every digit, and with those of the gauge's display at least.
func (b *builder) exact(l gauge.Length) string {
	return l.Text(gauge.Millimetre, b.Check.Ability.Decimals(l, gauge.Millimetre))
}

// length is a length as a quantity.
func (b *builder) length(l gauge.Length, more ...any) element {
	return amount(b.exact(l), millimetre, more...)
}

func amount(value, unit string, more ...any) element {
	return el("si:real", append([]any{el("si:value", value), el("si:unit", unit)}, more...)...)
}
