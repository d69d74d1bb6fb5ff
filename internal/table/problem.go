package table

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode"
)

// most is how many problems are told; the rest of a file with more is not read.
const most = 20

// longest is how many characters of a problem are told; the middle of more is left out.
const longest = 600

// Problem is something wrong at one place of a file.
type Problem struct {
	File   string
	Line   int    // from 1
	Char   int    // character of the line, from 1
	Column string // name of the column, as the file has it; empty: none
	Err    error  // what is wrong, and what to do
}

// Error gives file:line:character, the column's name, what is wrong and what to do.
func (p *Problem) Error() string {
	text := p.Err.Error()
	if letters := []rune(text); len(letters) > longest {
		text = string(letters[:longest/2]) + " ... " + string(letters[len(letters)-longest/2:])
	}
	if p.Column != "" {
		text = "column " + shown(p.Column) + ": " + text
	}
	return fmt.Sprintf("%s:%d:%d: %s", p.File, p.Line, p.Char, text)
}

// Unwrap gives what is wrong without its place.
func (p *Problem) Unwrap() error { return p.Err }

func errorf(format string, args ...any) error { return fmt.Errorf(format, args...) }

// shown is a name of the file that can be printed: control characters are escaped.
func shown(name string) string {
	quoted := strings.ContainsFunc(name, func(r rune) bool { return !unicode.IsPrint(r) })
	if letters := []rune(name); len(letters) > 60 {
		name = string(letters[:60]) + "..."
	}
	if quoted || name == "" {
		return strconv.Quote(name)
	}
	return name
}

// Problems are those of one file, in its order.
type Problems struct {
	file string
	all  []error
}

// NewProblems begins a list of problems of a file.
func NewProblems(file string) *Problems { return &Problems{file: file} }

// Add adds a problem of the file; those above the bound are let go.
func (ps *Problems) Add(p Problem) {
	if ps.Full() {
		return
	}
	p.File, p.Line, p.Char = ps.file, max(p.Line, 1), max(p.Char, 1)
	if ps.all = append(ps.all, &p); ps.Full() {
		more := p
		more.Column, more.Err = "", errorf("the file was read no further than its first %d problems: correct these, and read it again", most)
		ps.all = append(ps.all, &more)
	}
}

// Any reports whether there is a problem.
func (ps *Problems) Any() bool { return len(ps.all) > 0 }

// Full reports that no more are taken: nothing needs to be read any more.
func (ps *Problems) Full() bool { return len(ps.all) >= most }

// Err is all problems as one error; nil when there is none.
func (ps *Problems) Err() error { return errors.Join(ps.all...) }
