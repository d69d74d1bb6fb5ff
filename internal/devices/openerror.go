package devices

import (
	"fmt"
	"io/fs"
	"strings"
)

// OpenError says why a port cannot be opened and what to do about it.
type OpenError struct {
	Port string
	Text string // says all there is to say
	Err  error  // fs.ErrNotExist, fs.ErrPermission, ErrBusy, ErrNotSerial, ErrNoHandshake or the system's
}

// Error says which port, why, and what to do.
func (e *OpenError) Error() string { return "cannot open " + e.Port + ": " + e.Text }

// Unwrap returns the kind of the error.
func (e *OpenError) Unwrap() error { return e.Err }

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

func (o ownership) String() string {
	return fmt.Sprintf("owner %s, group %s, mode %04o; we are user %s, groups %s",
		o.owner, o.group, o.mode.Perm(), o.user, strings.Join(o.groups, " "))
}

func missing(path string) error {
	return &OpenError{path, `there is no such port: plug the gauge in, or correct "port" in its definition`, fs.ErrNotExist}
}

func forbidden(path string, o ownership) error {
	remedy := fmt.Sprintf("add the user to the group with \"usermod -aG %s %s\" and log in again", o.group, o.user)
	if o.mode.Perm()&0o060 != 0o060 || o.group == "root" {
		remedy = "let a udev rule give the port to a group of this user, with mode 0660"
	}
	return &OpenError{path, fmt.Sprintf("permission denied (%v): %s", o, remedy), fs.ErrPermission}
}

func busy(path string, holders []Process, o ownership) error {
	who, remedy := "", "find and end that program, or point one of the two at another port"
	if len(holders) > 0 {
		names := make([]string, len(holders))
		for i, h := range holders {
			names[i] = h.String()
		}
		who = ", " + strings.Join(names, " and ")
		remedy = "end that program, or point one of the two at another port"
	}
	return &OpenError{path, fmt.Sprintf("another program holds the port%s (%v): %s", who, o, remedy), ErrBusy}
}

func noHandshake(path string) error {
	return &OpenError{path, `its driver does not do the handshake rts/cts: use another adapter, or "handshake: none" if the gauge can do without`, ErrNoHandshake}
}

func notSerial(path string) error {
	return &OpenError{path, `it is not a serial port: correct "port" in the gauge's definition`, ErrNotSerial}
}
