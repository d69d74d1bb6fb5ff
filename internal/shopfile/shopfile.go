// Package shopfile reads the YAML files that a shop writes: the station's
// configuration, layouts, procedures and part families.
//
// Every scalar is taken as the text that stands in the file, so that 0123
// stays a serial number, 0.10 an exact decimal and off a word. Reading goes on
// after a problem, so that one pass reports all of them, each with its
// file:line:column. Keys that nobody asks for are problems.
package shopfile

import (
	"errors"
	"sort"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"gauged/internal/gauge"
	"gauged/internal/words"
)

// MaxSize is the largest file that is read, in bytes.
const MaxSize = 1 << 20

// Problem is one mistake in a file. It is an error that tells a message.
type Problem struct {
	File         string
	Line, Column int // from 1
	Says         gauge.Message
}

// Error is file:line:column and the problem, in English.
func (p Problem) Error() string { return words.In(words.English).Tell(p.Tell()) }

// Tell gives the same as a message, for whoever reads it in another language.
func (p Problem) Tell() gauge.Message {
	return gauge.Say("file.problem", gauge.Text("file", p.File), gauge.Count("line", p.Line), gauge.Count("char", p.Column), gauge.Nested("why", p.Says))
}

func (p Problem) equal(o Problem) bool {
	return p.File == o.File && p.Line == o.Line && p.Column == o.Column && p.Says.Equal(o.Says)
}

// ProblemAt is a mistake at a place as Position gives it.
func ProblemAt(position string, m gauge.Message) Problem {
	p := Problem{File: position, Line: 1, Column: 1, Says: m}
	for _, number := range []*int{&p.Column, &p.Line} {
		i := strings.LastIndexByte(p.File, ':')
		n, err := strconv.Atoi(p.File[i+1:])
		if i < 0 || err != nil {
			break
		}
		p.File, *number = p.File[:i], n
	}
	return p
}

// Problems is the error that a file with mistakes gives, in the order of the file.
type Problems []Problem

// mostShown is how many problems are shown of a file that is no shop file at all.
const mostShown = 200

// Error is a line for each problem, in English; of very many, the first ones and how many
// follow.
func (ps Problems) Error() string { return words.In(words.English).Tell(ps.Tell()) }

// Tell gives the same as a message, for whoever reads it in another language.
func (ps Problems) Tell() gauge.Message {
	var lines []gauge.Arg
	for _, p := range ps[:min(len(ps), mostShown)] {
		lines = append(lines, gauge.Nested("", p.Tell()))
	}
	if more := len(ps) - mostShown; more > 0 {
		first := ps[mostShown]
		first.Says = gauge.Say("entry.more-follow", gauge.Count("more", more))
		lines = append(lines, gauge.Nested("", first.Tell()))
	}
	return gauge.Say("refusal.several", gauge.List("problems", lines...))
}

// Each parts an error into the problems that it tells: those of Problems, and those of
// errors that are joined.
func Each(err error) (all []error) {
	switch e := err.(type) {
	case nil:
	case Problems:
		for _, p := range e {
			all = append(all, p)
		}
	case interface{ Unwrap() []error }:
		for _, one := range e.Unwrap() {
			all = append(all, Each(one)...)
		}
	default:
		all = []error{err}
	}
	return all
}

// Document is a parsed file that collects its problems.
type Document struct {
	name     string
	content  []byte
	root     *yaml.Node
	problems Problems
	cut      bool                // of lengths in two units, the coarser column has digits cut off
	told     map[*yaml.Node]bool // values whose problem has been reported
	caused   bool                // a problem is told from which those in follow come
	follow   Problems            // told only where nothing else caused them
	tables   map[string]*attached
	into     *Document // that takes the problems; nil: this one
	once     bool      // it was in force once: its words and names are accepted
}

// Parse reads one YAML document, with the tables of its version. A syntax error is
// kept as a problem of the document; Root then is an empty value.
func Parse(name string, content []byte) *Document {
	d := &Document{name: name, content: content}
	if len(content) > MaxSize {
		size := []gauge.Arg{gauge.Count("size", len(content)), gauge.Count("most", MaxSize)}
		if main, tables := Split(content); len(tables) > 0 {
			size = append(size, gauge.Count("beside", len(content)-len(main)))
		}
		d.add(1, 1, gauge.Say("entry.too-large", size...))
		return d
	}
	content, tables := Split(content)
	d.content = content
	d.attach(tables)
	if !d.checkCode() {
		return d
	}
	var root yaml.Node
	err := yaml.Load(content, &root)
	if err != nil && !onlyComments(content) {
		d.addSyntax(err)
		return d
	}
	if root.Kind == yaml.DocumentNode && len(root.Content) > 0 {
		d.root = root.Content[0]
	}
	if d.root == nil || d.root.Tag == "!!null" {
		d.root = nil
		d.add(1, 1, gauge.Say("entry.empty"))
	}
	return d
}

// onlyComments reports whether no line has anything but white space and a comment.
func onlyComments(content []byte) bool {
	for line := range strings.Lines(string(content)) {
		if line = strings.TrimSpace(line); line != "" && line[0] != '#' {
			return false
		}
	}
	return true
}

func (d *Document) addSyntax(err error) {
	var many *yaml.LoadErrors
	if errors.As(err, &many) && len(many.Errors) > 0 {
		for _, one := range many.Errors {
			d.syntax(one.Mark.Line, one.Mark.Column, one.Message)
		}
		return
	}
	var one *yaml.LoadError
	if errors.As(err, &one) {
		d.syntax(one.Mark.Line, one.Mark.Column, one.Message)
		return
	}
	d.syntax(1, 1, err.Error())
}

func (d *Document) add(line, column int, m gauge.Message) {
	owner := d.owner()
	owner.problems = append(owner.problems, Problem{d.name, line, column, m})
}

// owner is the document that takes the problems.
func (d *Document) owner() *Document {
	if d.into != nil {
		return d.into
	}
	return d
}

// followers adds the problems that may come of others, where no others are: else those
// are to be mended first.
func (d *Document) followers() {
	if !d.caused {
		d.problems = append(d.problems, d.follow...)
	}
	d.follow = nil
}

// Root returns the document's top value.
func (d *Document) Root() Value { return Value{d, d.root} }

// Err returns the problems found so far, nil when there are none.
func (d *Document) Err() error {
	d.unused()
	d.followers()
	if len(d.problems) == 0 {
		return nil
	}
	sort.SliceStable(d.problems, func(i, j int) bool {
		a, b := d.problems[i], d.problems[j]
		if a.File != b.File { // those of the tables come last
			return a.File == d.name || b.File != d.name && a.File < b.File
		}
		return a.Line < b.Line || a.Line == b.Line && a.Column < b.Column
	})
	return d.problems
}
