package gauge

import (
	"errors"
	"fmt"
	"strings"
)

// The kinds of errors that a caller tells apart. They come as a Refusal.
var (
	ErrNotFound = errors.New("not found")
	ErrRefused  = errors.New("refused") // it cannot be done as things stand
	ErrInput    = errors.New("wrong input")
	ErrStopped  = errors.New("the station has stopped")

	ErrUnknown   = errors.New("unknown caller") // it is not known who calls
	ErrForbidden = errors.New("forbidden")      // it is known, and they may not
)

// Refusal is an error that is told to a person: what kind of error it is, and a message
// that says what is wrong and what to do. It is worded where it is shown (see
// words.Error); its own text is code and arguments, for logs.
type Refusal struct {
	Kind    error // one of those above
	Message Message
}

// Error gives the kind, the code and the arguments.
func (r *Refusal) Error() string { return fmt.Sprintf("%v: %v", r.Kind, r.Message) }

// Unwrap gives the kind.
func (r *Refusal) Unwrap() error { return r.Kind }

// Tell gives the message.
func (r *Refusal) Tell() Message { return r.Message }

// NotFound is that there is no such thing.
func NotFound(code string, args ...Arg) error { return &Refusal{ErrNotFound, Say(code, args...)} }

// Refused is that something cannot be done as things stand.
func Refused(code string, args ...Arg) error { return &Refusal{ErrRefused, Say(code, args...)} }

// WrongInput is that what was given cannot be taken.
func WrongInput(code string, args ...Arg) error { return &Refusal{ErrInput, Say(code, args...)} }

// AsRefused is that something cannot be done as things stand, because of an error.
func AsRefused(err error) error { return &Refusal{ErrRefused, Told(err)} }

// AsInput is that what was given cannot be taken, because of an error.
func AsInput(err error) error { return &Refusal{ErrInput, Told(err)} }

// UnknownCaller is that it is not known who calls.
func UnknownCaller(code string, args ...Arg) error { return &Refusal{ErrUnknown, Say(code, args...)} }

// Forbidden is that the caller may not do something.
func Forbidden(code string, args ...Arg) error { return &Refusal{ErrForbidden, Say(code, args...)} }

// Because is the message of an error as an argument.
func Because(name string, err error) Arg {
	m := Told(err)
	if text, ok := m.AsWritten(); ok {
		return Text(name, text)
	}
	return Nested(name, m)
}

// At is an error at a place or for a thing: a message of a code that has the message of
// the error as its argument why. It is of the kind of the error.
func At(err error, code string, args ...Arg) error {
	return &within{err, Say(code, append(args, Because("why", err))...)}
}

type within struct {
	why     error
	message Message
}

func (w *within) Error() string { return w.message.String() }
func (w *within) Tell() Message { return w.message }
func (w *within) Unwrap() error { return w.why }

// Stopped is that the station does nothing any more.
func Stopped(code string, args ...Arg) error { return &Refusal{ErrStopped, Say(code, args...)} }

// Teller is an error that has a message for a person.
type Teller interface {
	error
	Tell() Message
}

// Told is the message of an error: its own, that of what it wraps with the text before
// it, those of several joined ones, or its text as it is.
func Told(err error) Message {
	switch e := err.(type) {
	case Teller:
		return e.Tell()
	case interface{ Unwrap() []error }:
		var each []Arg
		for _, one := range e.Unwrap() {
			each = append(each, Because("", one))
		}
		if joined := errors.Join(e.Unwrap()...); joined != nil && joined.Error() == err.Error() && tells(err) {
			return Say("refusal.several", List("problems", each...))
		}
	case interface{ Unwrap() error }:
		inner := e.Unwrap()
		if inner == nil || !tells(inner) {
			break
		}
		if before, ok := strings.CutSuffix(err.Error(), inner.Error()); ok && before != "" {
			return Say("because.within", Text("place", before), Because("why", inner))
		}
		return Told(inner)
	}
	return Plain(err.Error())
}

// tells reports whether an error, or one that it wraps, has a message of its own.
func tells(err error) bool {
	var t Teller
	return errors.As(err, &t)
}

// later is an error that is told in other words.
type later struct {
	error
	told Message
}

// Later is an error of the kind of ErrStopped, whatever else it is, that a caller is told in a
// message: the same can be tried again.
func Later(err error, code string, args ...Arg) error { return &later{err, Say(code, args...)} }

func (l *later) Unwrap() error      { return l.error }
func (l *later) Is(kind error) bool { return kind == ErrStopped }
func (l *later) Tell() Message      { return l.told }
