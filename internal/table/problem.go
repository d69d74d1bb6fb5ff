package table

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"gauged/internal/gauge"
	"gauged/internal/words"
)

// most is how many problems are told; the rest of a file with more is not read.
const most = 20

// longest is how many characters of a problem are told; the middle of more is left out.
const longest = 600

// Problem is something wrong at one place of a file. It is an error that tells a message.
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

// Tell gives the same as a message, for whoever reads it in another language. What is
// wrong is told by a message where its error has one, else by its text.
func (p *Problem) Tell() gauge.Message {
	args := []gauge.Arg{gauge.Text("file", p.File), gauge.Count("line", p.Line), gauge.Count("char", p.Char)}
	if p.Column != "" {
		args = append(args, gauge.Text("column", shown(p.Column)))
	}
	why := gauge.Because("why", p.Err)
	if len([]rune(p.Err.Error())) > longest {
		why = cut(why)
	}
	return gauge.Say("file.problem", append(args, why)...)
}

// cut leaves out the middle of long texts of an argument.
func cut(a gauge.Arg) gauge.Arg {
	const each = 200
	short := func(text string) string {
		if letters := []rune(text); len(letters) > each {
			return string(letters[:each/2]) + " ... " + string(letters[len(letters)-each/2:])
		}
		return text
	}
	all := func(args []gauge.Arg) []gauge.Arg {
		var cuts []gauge.Arg
		for _, one := range args {
			cuts = append(cuts, cut(one))
		}
		return cuts
	}
	if len(a.Digits) > each {
		a = gauge.Text(a.Name, a.Digits)
	}
	a.Text, a.List = short(a.Text), all(a.List)
	if a.Message != nil {
		a.Message = &gauge.Message{Code: a.Message.Code, Args: all(a.Message.Args)}
	}
	return a
}

// fault is what is wrong, as a message. Its own text is that in English.
type fault struct {
	message gauge.Message
	cause   error // nil: none
}

func (f *fault) Error() string       { return words.In(words.English).Tell(f.message) }
func (f *fault) Tell() gauge.Message { return f.message }
func (f *fault) Unwrap() error       { return f.cause }

func wrong(code string, args ...gauge.Arg) error { return &fault{message: gauge.Say(code, args...)} }

// Quoted is a text of the file as it stands between quotes: control characters and
// quotes are escaped.
func Quoted(text string) gauge.Arg {
	text = strconv.Quote(text)
	return gauge.Text("text", text[1:len(text)-1])
}

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
	all  []*Problem
}

// NewProblems begins a list of problems of a file.
func NewProblems(file string) *Problems { return &Problems{file: file} }

// Add adds a problem of the file; those above the bound are let go.
func (ps *Problems) Add(p Problem) {
	if ps.Full() {
		return
	}
	p.File, p.Line, p.Char = ps.file, max(p.Line, 1), max(p.Char, 1)
	ps.all = append(ps.all, &p)
}

// AddTo adds the problems of an error of [Problems.Err] to another list of the same file;
// what is none of them is returned.
func AddTo(ps *Problems, err error) error {
	all, ok := err.(interface{ Unwrap() []error })
	if !ok {
		return err
	}
	for _, one := range all.Unwrap() {
		if p := (*Problem)(nil); errors.As(one, &p) {
			ps.Add(*p)
		}
	}
	return nil
}

// Any reports whether there is a problem.
func (ps *Problems) Any() bool { return len(ps.all) > 0 }

// Full reports that no more are taken: nothing needs to be read any more.
func (ps *Problems) Full() bool { return len(ps.all) >= most }

// Err is all problems as one error, in the order of their places; nil when there is none.
func (ps *Problems) Err() error {
	all := slices.Clone(ps.all)
	slices.SortStableFunc(all, func(a, b *Problem) int { return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Char, b.Char)) })
	errs := make([]error, 0, len(all)+1)
	for _, p := range all {
		errs = append(errs, p)
	}
	if ps.Full() {
		more := *all[len(all)-1]
		more.Column, more.Err = "", wrong("file.more", gauge.Count("most", most))
		errs = append(errs, &more)
	}
	return errors.Join(errs...)
}
