package drawing

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

const svgSpace = "http://www.w3.org/2000/svg"

// svgElements may stand in a drawing. Whatever loads, runs or moves is not
// among them.
var svgElements = func() map[string]bool {
	known := map[string]bool{}
	for name := range strings.FieldsSeq(`svg g defs symbol use title desc style path line polyline polygon rect circle
		ellipse text tspan textPath marker pattern clipPath mask linearGradient radialGradient stop`) {
		known[name] = true
	}
	return known
}()

// check reports everything in a drawing that is not a plain picture.
func check(v shopfile.Value, content []byte) {
	if len(content) > mostSVG {
		v.Wrong(gauge.Say("entry.svg-large", gauge.Count("size", len(content)), gauge.Count("most", mostSVG)))
		return
	}
	c := svgCheck{v: v, dec: xml.NewDecoder(bytes.NewReader(content))}
	for {
		c.line, c.column = c.dec.InputPos()
		token, err := c.dec.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			c.line, c.column = c.dec.InputPos()
			c.wrong(gauge.Say("entry.svg-form", gauge.Text("why", unplaced(err))))
			return
		}
		c.token(token)
	}
	if !c.rooted {
		v.Wrong(gauge.Say("entry.svg-empty"))
	}
}

// unplaced is an error without the line that it counts itself.
func unplaced(err error) string {
	var syntax *xml.SyntaxError
	if errors.As(err, &syntax) {
		return syntax.Msg
	}
	return err.Error()
}

// svgCheck walks through a drawing; line and column are those of the token.
type svgCheck struct {
	v            shopfile.Value
	dec          *xml.Decoder
	line, column int
	open         []string        // names of the elements around the token
	rooted       bool            // there was a root
	styles       strings.Builder // text of the style element that is open
}

func (c *svgCheck) wrong(m gauge.Message) { c.v.WrongInside(c.line, c.column, m) }

func (c *svgCheck) token(token xml.Token) {
	switch t := token.(type) {
	case xml.StartElement:
		c.element(t)
		c.open = append(c.open, t.Name.Local)
	case xml.EndElement:
		if c.open = c.open[:len(c.open)-1]; t.Name.Local == "style" {
			c.style(c.styles.String())
			c.rules(c.styles.String())
			c.styles.Reset()
		}
	case xml.CharData:
		text := string(t)
		if len(c.open) == 0 {
			if strings.TrimSpace(text) != "" {
				c.wrong(gauge.Say("entry.svg-outside"))
			}
		} else if c.open[len(c.open)-1] == "style" {
			c.styles.WriteString(text) // a comment may stand in the midst of a word
		}
	case xml.ProcInst:
		if t.Target != "xml" || !declaration.Match(t.Inst) {
			c.wrong(gauge.Say("entry.svg-instruction", shopfile.Quoted("name", t.Target)))
		}
	case xml.Directive:
		c.wrong(gauge.Say("entry.svg-doctype"))
	}
}

// declaration is what stands in the XML declaration (Extensible Markup Language 1.0, 2.8). The
// library takes anything.
var declaration = regexp.MustCompile(`^\s*version\s*=\s*["']1\.[0-9]["'](\s+encoding\s*=\s*["'][A-Za-z0-9._-]+["'])?(\s+standalone\s*=\s*["'](yes|no)["'])?\s*$`)

func (c *svgCheck) element(e xml.StartElement) {
	switch {
	case len(c.open) == 0 && c.rooted:
		c.wrong(gauge.Say("entry.svg-second"))
	case len(c.open) == 0 && (e.Name.Space != svgSpace || e.Name.Local != "svg"):
		c.wrong(gauge.Say("entry.svg-begins", gauge.Text("space", svgSpace)))
	case len(c.open) == 0 && !hasViewBox(e):
		c.wrong(gauge.Say("entry.svg-view-box"))
	case e.Name.Space != svgSpace:
		c.wrong(gauge.Say("entry.svg-foreign", shopfile.Quoted("name", e.Name.Local)))
	case !svgElements[e.Name.Local]:
		c.wrong(gauge.Say("entry.svg-element", shopfile.Quoted("name", e.Name.Local)))
	}
	c.rooted = true
	for _, a := range e.Attr {
		c.attribute(a)
	}
}

func hasViewBox(e xml.StartElement) bool {
	for _, a := range e.Attr {
		if a.Name.Space == "" && a.Name.Local == "viewBox" {
			return len(strings.FieldsFunc(a.Value, func(r rune) bool { return r == ' ' || r == ',' })) == 4
		}
	}
	return false
}

func (c *svgCheck) attribute(a xml.Attr) {
	name := strings.ToLower(a.Name.Local)
	switch {
	case a.Name.Space == "xmlns" || a.Name.Space == "" && name == "xmlns":
	case strings.HasPrefix(name, "on"):
		c.wrong(gauge.Say("entry.svg-event", shopfile.Quoted("name", a.Name.Local)))
	case name == "href" && !strings.HasPrefix(strings.TrimSpace(a.Value), "#"):
		c.wrong(gauge.Say("entry.svg-href", shopfile.Quoted("address", a.Value)))
	case name == "base" || name == "src":
		c.wrong(gauge.Say("entry.svg-leads", shopfile.Quoted("what", a.Name.Local)))
	default:
		c.style(a.Value)
	}
}

var (
	outsideURL = regexp.MustCompile(`(?i)url\(\s*['"]?\s*(?:[^#'"\s]|$)`)
	loading    = regexp.MustCompile(`(?i)\b(?:image|image-set|src|cross-fade|element|paint|expression)\(`)
	atRule     = regexp.MustCompile(`@[\pL-]*`)
	script     = regexp.MustCompile(`(?i)\b(?:javascript|vbscript|data):`)
)

// style checks a style, or an attribute that may hold one.
func (c *svgCheck) style(text string) {
	switch {
	case strings.Contains(text, `\`):
		c.wrong(gauge.Say("entry.svg-backslash"))
	case outsideURL.MatchString(text):
		c.wrong(gauge.Say("entry.svg-url"))
	case loading.MatchString(text):
		c.wrong(gauge.Say("entry.svg-leads", shopfile.Quoted("what", strings.TrimSuffix(loading.FindString(text), "("))))
	case script.MatchString(text):
		c.wrong(gauge.Say("entry.svg-script", shopfile.Quoted("what", script.FindString(text))))
	}
}

// rules checks the @ rules of a style element.
func (c *svgCheck) rules(text string) {
	for _, rule := range atRule.FindAllString(text, -1) {
		if !strings.EqualFold(rule, "@media") {
			c.wrong(gauge.Say("entry.svg-rule", shopfile.Quoted("what", rule)))
		}
	}
}
