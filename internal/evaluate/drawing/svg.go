package drawing

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"strings"

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
		v.Problemf("the drawing has %d bytes; at most %d are possible", len(content), mostSVG)
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
			c.problemf("the drawing is not well-formed: %v", unplaced(err))
			return
		}
		c.token(token)
	}
	if !c.rooted {
		v.Problemf("the drawing is empty: it needs an svg element")
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

func (c *svgCheck) problemf(format string, args ...any) {
	c.v.ProblemInside(c.line, c.column, format, args...)
}

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
				c.problemf("only white space may stand outside the svg element")
			}
		} else if c.open[len(c.open)-1] == "style" {
			c.styles.WriteString(text) // a comment may stand in the midst of a word
		}
	case xml.ProcInst:
		if t.Target != "xml" {
			c.problemf("<?%s?> cannot stand in a drawing", t.Target)
		}
	case xml.Directive:
		c.problemf("a document type cannot stand in a drawing: leave <!...> out")
	}
}

func (c *svgCheck) element(e xml.StartElement) {
	switch {
	case len(c.open) == 0 && c.rooted:
		c.problemf("a drawing has one svg element, this is a second one")
	case len(c.open) == 0 && (e.Name.Space != svgSpace || e.Name.Local != "svg"):
		c.problemf("a drawing begins with <svg xmlns=%q>", svgSpace)
	case len(c.open) == 0 && !hasViewBox(e):
		c.problemf("the svg element needs a viewBox of four numbers, so that the drawing can be shown in every size")
	case e.Name.Space != svgSpace:
		c.problemf("<%s> is not of SVG: save the drawing as plain SVG", e.Name.Local)
	case !svgElements[e.Name.Local]:
		c.problemf("<%s> cannot stand in a drawing: shapes, text, markers, patterns and gradients can", e.Name.Local)
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
		c.problemf("%s: a drawing does nothing, so it has no event handlers", a.Name.Local)
	case name == "href" && !strings.HasPrefix(strings.TrimSpace(a.Value), "#"):
		c.problemf("href %q leads out of the drawing: only #name is possible", a.Value)
	case name == "base" || name == "src":
		c.problemf("%s leads out of the drawing: leave it out", a.Name.Local)
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
		c.problemf(`a backslash cannot stand in a style or an attribute of a drawing`)
	case outsideURL.MatchString(text):
		c.problemf("url() leads out of the drawing: only url(#name) is possible")
	case loading.MatchString(text):
		c.problemf("%s leads out of the drawing: leave it out", strings.TrimSuffix(loading.FindString(text), "("))
	case script.MatchString(text):
		c.problemf("%s cannot stand in a drawing", script.FindString(text))
	}
}

// rules checks the @ rules of a style element.
func (c *svgCheck) rules(text string) {
	for _, rule := range atRule.FindAllString(text, -1) {
		if !strings.EqualFold(rule, "@media") {
			c.problemf("%s cannot stand in a drawing: of the @ rules only @media can", rule)
		}
	}
}
