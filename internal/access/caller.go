package access

import (
	"context"
	"slices"

	"gauged/internal/gauge"
)

// Door is by what a caller is known.
type Door string

// The doors.
const (
	DoorOpen        Door = "open"        // nobody is asked: access: open
	DoorSocket      Door = "socket"      // the user of the operating system at the unix socket
	DoorToken       Door = "token"       // a program's secret
	DoorCertificate Door = "certificate" // a client certificate
	DoorDevice      Door = "device"      // a paired device, with the person who said who they are
)

// Caller is who calls, as it was proven.
type Caller struct {
	Name   string // of the person or program; empty where nobody is asked, or nobody said who they are
	Login  string // name of their user, at DoorSocket: whoever goes by it means the same
	Role   Role
	Door   Door
	Device string   // id of the paired device, at DoorDevice
	Token  string   // id of the token, at DoorToken
	Gauges []string // whose readings it may feed; empty: of all that are fed from outside
	Sender string   // as which it may feed readings; empty: as any
}

// Nobody is the caller where nobody is asked: everybody may do everything, under any name.
func Nobody() Caller { return Caller{Role: RoleAdministrator, Door: DoorOpen} }

type callerKey struct{}

// With returns a context in which a caller calls.
func With(ctx context.Context, c Caller) context.Context {
	return context.WithValue(ctx, callerKey{}, c)
}

// From returns who calls, and false where that was not found out.
func From(ctx context.Context) (Caller, bool) {
	c, ok := ctx.Value(callerKey{}).(Caller)
	return c, ok
}

// As returns the name under which the caller does something. by is what it says itself:
// nothing, which is completed, or its own name. Another one is refused.
func (c Caller) As(by string) (string, error) {
	switch {
	case c.Door == DoorOpen, by == c.Name:
		return by, nil
	case by == c.Login && by != "":
		return c.Name, nil
	case c.Name == "":
		return "", gauge.UnknownCaller("refusal.access.no-person")
	case by == "":
		return c.Name, nil
	}
	return "", gauge.Forbidden("refusal.access.other-name", gauge.Text("by", by), gauge.Text("name", c.Name))
}

// Allow refuses a caller who may not go a way: see Needs.
func (c Caller) Allow(w Way) error {
	need, listed := Needs(w)
	switch {
	case !listed:
		return gauge.Forbidden("refusal.access.not-listed", gauge.Text("what", w.Name))
	case c.Role.Has(need.Right):
		return nil
	case c.Role == RoleNone:
		return gauge.UnknownCaller("refusal.access.nobody")
	}
	return gauge.Forbidden("refusal.access.role", gauge.Text("name", c.Name), gauge.WordOf("has", "role", c.Role.String()), roleList("roles", with(need.Right)))
}

// Feeds refuses a sender that is not the caller's own.
func (c Caller) Feeds(source string) error {
	if c.Sender == "" || c.Sender == source {
		return nil
	}
	return gauge.Forbidden("refusal.access.sender", gauge.Text("name", c.Name), gauge.Text("sender", c.Sender), gauge.Text("source", source))
}

// FeedsGauge refuses a gauge whose readings are not the caller's to feed.
func (c Caller) FeedsGauge(id string) error {
	if len(c.Gauges) == 0 || slices.Contains(c.Gauges, id) {
		return nil
	}
	return gauge.Forbidden("refusal.access.gauge", gauge.Text("name", c.Name), gauge.Text("gauge", id), gauge.Texts("gauges", c.Gauges))
}

// roleList are roles as an argument.
func roleList(name string, words []string) gauge.Arg {
	var items []gauge.Arg
	for _, w := range words {
		items = append(items, gauge.WordOf("", "role", w))
	}
	return gauge.List(name, items...)
}
