package devices

import (
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/words"
)

// OpenError says why a port cannot be opened and what to do about it.
type OpenError struct {
	Port string
	Why  gauge.Message
	Err  error // fs.ErrNotExist, fs.ErrPermission, ErrBusy, ErrNotSerial, ErrNoHandshake or the system's
}

// Tell says which port, why, and what to do.
func (e *OpenError) Tell() gauge.Message {
	return gauge.Say("because.open", gauge.Text("port", e.Port), gauge.Nested("why", e.Why))
}

// Error is what is told, in English.
func (e *OpenError) Error() string { return words.In(words.English).Tell(e.Tell()) }

// Unwrap returns the kind of the error.
func (e *OpenError) Unwrap() error { return e.Err }

// cannotOpen is an OpenError for which the system's error says all.
func cannotOpen(port string, err error) error { return &OpenError{port, gauge.Told(err), err} }

// lineError is an error of an open line that is told to a person.
type lineError struct {
	message gauge.Message
	err     error // that of the system, where there is one
}

func (e *lineError) Tell() gauge.Message { return e.message }
func (e *lineError) Error() string       { return words.In(words.English).Tell(e.message) }
func (e *lineError) Unwrap() error       { return e.err }

// portError is a kind of OpenError.
type portError string

func (e portError) Error() string { return string(e) }

// Kinds of OpenError beside fs.ErrNotExist and fs.ErrPermission.
const (
	ErrBusy      portError = "another program holds the port"
	ErrNotSerial portError = "it is not a serial port"
	// ErrNoHandshake is a handshake that the line cannot do.
	ErrNoHandshake portError = "the line has no such handshake"
)

// ownership is whose a port is, and who we are.
type ownership struct {
	owner, group string
	mode         fs.FileMode
	user         string
	groups       []string
}

func (o ownership) message() gauge.Message {
	return gauge.Say("because.open.owner", gauge.Text("owner", o.owner), gauge.Text("group", o.group),
		gauge.Text("mode", fmt.Sprintf("%04o", o.mode.Perm())), gauge.Text("user", o.user), gauge.Text("groups", strings.Join(o.groups, " ")))
}

func missing(path string) error {
	return &OpenError{path, gauge.Say("because.open.missing"), fs.ErrNotExist}
}

func forbidden(path string, o ownership) error {
	owner := gauge.Nested("owner", o.message())
	why := gauge.Say("because.open.forbidden-group", owner, gauge.Text("group", o.group), gauge.Text("user", o.user))
	switch {
	case o.mode.Perm()&0o060 != 0o060 || o.group == "root":
		why = gauge.Say("because.open.forbidden", owner)
	case slices.Contains(o.groups, o.group):
		why = gauge.Say("because.open.forbidden-device", owner)
	}
	return &OpenError{path, why, fs.ErrPermission}
}

func busy(path string, holders []Process, o ownership) error {
	owner := gauge.Nested("owner", o.message())
	why := gauge.Say("because.open.busy", owner)
	if len(holders) > 0 {
		names := make([]gauge.Arg, len(holders))
		for i, h := range holders {
			names[i] = gauge.Nested("", h.message())
		}
		why = gauge.Say("because.open.busy-by", owner, gauge.List("programs", names...))
	}
	return &OpenError{path, why, ErrBusy}
}

func noHandshake(path string) error {
	return &OpenError{path, gauge.Say("because.open.no-handshake"), ErrNoHandshake}
}

func notSerial(path string) error {
	return &OpenError{path, gauge.Say("because.open.not-serial"), ErrNotSerial}
}
