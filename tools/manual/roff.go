package main

import (
	"bytes"
	"fmt"
	"regexp"
	"strings"
)

// roff is a page in the language of man(7).
type roff struct {
	bytes.Buffer
	headed bool // nothing was written since a heading
}

// newPage begins a page with its name and what it is about.
func newPage(name, section, about string) *roff {
	r := &roff{}
	fmt.Fprintf(r, ".TH %s %s %s gauged \"Gauged\"\n", strings.ToUpper(name), section, edited)
	r.section("NAME")
	r.line(escaped(name) + ` \- ` + escaped(about))
	return r
}

var roffEscapes = strings.NewReplacer(`\`, `\e`, `-`, `\-`)

// escaped is text in which nothing means anything to roff.
func escaped(text string) string { return roffEscapes.Replace(text) }

// line writes a line of text; escapes of roff in it count.
func (r *roff) line(text string) {
	if text == "" {
		return
	}
	if text[0] == '.' || text[0] == '\'' {
		text = `\&` + text
	}
	r.WriteString(text + "\n")
	r.headed = false
}

func (r *roff) section(title string) {
	fmt.Fprintf(r, ".SH %s\n", quoted(title))
	r.headed = true
}

func (r *roff) part(title string) {
	fmt.Fprintf(r, ".SS %s\n", quoted(title))
	r.headed = true
}

// apart writes a macro that parts what comes from what was, which a heading does too.
func (r *roff) apart(macro string) {
	if !r.headed {
		r.WriteString(macro + "\n")
	}
}

// quoted is one argument of a macro.
func quoted(text string) string {
	return `"` + strings.ReplaceAll(escaped(text), `"`, `\(dq`) + `"`
}

// bold is text as it is typed.
func bold(text string) string { return `\fB` + escaped(text) + `\fR` }

// item writes a term with what it means.
func (r *roff) item(term, text string) {
	r.WriteString(".TP\n")
	r.line(term)
	if text == "" {
		text = `\&`
	}
	r.line(text)
}

// literal writes lines as they are, indented.
func (r *roff) literal(lines []string) {
	r.apart(".PP")
	r.WriteString(".RS 4\n.nf\n")
	for _, l := range lines {
		if l == "" {
			r.WriteString("\\&\n")
			continue
		}
		r.line(escaped(l))
	}
	r.WriteString(".fi\n.RE\n")
	r.headed = false
}

// itemLine is a line of a list in a help text: a term, spaces, and what it means.
var itemLine = regexp.MustCompile(`^ {2,4}(\S(?:.*?\S)?) {2,}(\S.*)$`)

// text writes a help text: paragraphs, and lists whose lines are indented.
func (r *roff) text(text string) {
	fresh := true // a paragraph begins
	listed := false
	for line := range strings.Lines(text) {
		line = strings.TrimRight(line, "\n")
		m := itemLine.FindStringSubmatch(line)
		switch {
		case line == "":
			fresh = true
			continue
		case m != nil:
			r.item(bold(m[1]), escaped(m[2]))
			listed = true
		case strings.HasPrefix(line, "  ") && listed:
			r.line(escaped(strings.TrimSpace(line)))
		case strings.HasPrefix(line, "  "):
			r.apart(".br")
			r.line(escaped(strings.TrimSpace(line)))
		default:
			if fresh || listed {
				r.apart(".PP")
			}
			r.line(escaped(line))
			listed = false
		}
		fresh = false
	}
}
