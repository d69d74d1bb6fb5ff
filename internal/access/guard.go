package access

import (
	"context"
	"crypto/x509"
	"errors"
	"log/slog"
	"net"
	"os"
	"os/user"
	"slices"
	"strconv"
	"time"

	"gauged/internal/gauge"
)

// Guard finds out who calls. A nil Guard knows nobody.
type Guard struct {
	Rules    Rules
	Register func() Register // who may come in now
	Now      func() time.Time
	// Change stores a change, here that somebody was refused; nil: refusals are not kept.
	Change func(context.Context, Change) error
	// Changed is closed at the next change of who may come in; nil: that is not known.
	Changed func() <-chan struct{}
	Log     *slog.Logger // hears of refusals as thinly as they are kept; nil: nobody does

	refusals Refusals
	// own is the user of the operating system that runs the daemon; tests set another one.
	own func() int
}

// Open reports whether nobody is asked who they are.
func (g *Guard) Open() bool { return g != nil && g.Rules.Open }

// token returns who calls with the secret of a token.
func (g *Guard) token(secret string) (Caller, error) {
	if g == nil || g.Register == nil {
		return Caller{}, gauge.UnknownCaller("refusal.access.token-unknown")
	}
	return g.Register().Token(secret, g.Now())
}

// Still refuses a caller whose token or device has ended since they came in.
func (g *Guard) Still(c Caller) error {
	if c.Door != DoorToken {
		return nil
	}
	_, err := g.Register().tokens[c.Token].caller(g.Now())
	return err
}

// Watch calls end, once, with the reason as soon as a caller may not come in any more: at a
// change of who may, and, where something ends by time, within a second. It does not last
// longer than ctx.
func (g *Guard) Watch(ctx context.Context, still func() error, end func(error)) {
	go func() {
		look := time.NewTicker(time.Second)
		defer look.Stop()
		for {
			var changed <-chan struct{}
			if g.Changed != nil {
				changed = g.Changed()
			}
			if err := still(); err != nil {
				end(err)
				return
			}
			select {
			case <-ctx.Done():
				return
			case <-changed:
			case <-look.C:
			}
		}
	}()
}

// Certificate returns who calls with a certificate that was verified: by its common name,
// or by the first of its DNS names that the configuration has.
func (g *Guard) Certificate(cert *x509.Certificate) (Caller, error) {
	names := append([]string{cert.Subject.CommonName}, cert.DNSNames...)
	if g != nil {
		for _, name := range names {
			if grant, ok := g.Rules.Certificates[name]; ok {
				c := grant.caller(name, DoorCertificate)
				c.Sender = sendsAs(c.Name, c.Sender, c.Gauges)
				return c, nil
			}
		}
	}
	names = slices.DeleteFunc(slices.Compact(names), func(name string) bool { return name == "" })
	return Caller{}, gauge.Forbidden("refusal.access.certificate", gauge.Texts("names", names))
}

// AtSocket returns who calls over a unix socket: the user of the operating system.
func (g *Guard) AtSocket(conn net.Conn) (Caller, error) {
	uid, gid, err := peer(conn)
	if err != nil || g == nil {
		return Caller{}, gauge.UnknownCaller("refusal.access.nobody")
	}
	return g.user(uid, gid)
}

// user returns a user of the operating system as a caller. Root and who runs the daemon
// may do everything anyway: the files are theirs.
func (g *Guard) user(uid, gid int) (Caller, error) {
	id := strconv.Itoa(uid)
	name, groups := "user "+id, []string{strconv.Itoa(gid)}
	if u, err := user.LookupId(id); err == nil {
		name = u.Username
		if of, err := u.GroupIds(); err == nil {
			groups = append(groups, of...)
		}
	}
	if grant, ok := g.Rules.Users[name]; ok {
		c := grant.caller(name, DoorSocket)
		c.Login = name
		return c, nil
	}
	if uid == 0 || uid == g.ownUser() {
		return Caller{Name: name, Role: RoleAdministrator, Door: DoorSocket}, nil
	}
	var best Grant
	for _, gid := range groups {
		group, err := user.LookupGroupId(gid)
		if err != nil {
			continue
		}
		if grant := g.Rules.Groups[group.Name]; grant.Role > best.Role {
			best = grant
		}
	}
	if best.Role == RoleNone {
		return Caller{}, gauge.Forbidden("refusal.access.user", gauge.Text("user", name))
	}
	best.Name = "" // each of a group has a name of their own
	return best.caller(name, DoorSocket), nil
}

// noted is how long a call that was refused waits until that is kept.
const noted = time.Second

// Refused keeps that a subject was refused on a way: see Refusals. Other errors are kept
// elsewhere.
func (g *Guard) Refused(subject string, w Way, err error) {
	if g == nil || !errors.Is(err, gauge.ErrUnknown) && !errors.Is(err, gauge.ErrForbidden) {
		return
	}
	change := g.refusals.Note(subject, err, w, g.Now())
	if change == nil {
		return
	}
	if g.Log != nil {
		g.Log.Warn("refused", "who", subject, "what", w.Name, "why", gauge.Told(err).Code)
	}
	if g.Change == nil {
		return
	}
	ctx, cancel := context.WithTimeout(context.Background(), noted)
	defer cancel()
	if err := g.Change(ctx, change); err != nil && g.Log != nil {
		g.Log.Error("a refusal could not be kept", "who", subject, "err", err)
	}
}

func (g *Guard) ownUser() int {
	if g.own != nil {
		return g.own()
	}
	return os.Getuid()
}

// caller is who has a grant and is known elsewhere by a name.
func (g Grant) caller(name string, door Door) Caller {
	if g.Name != "" {
		name = g.Name
	}
	return Caller{Name: name, Role: g.Role, Door: door, Gauges: g.Gauges, Sender: g.Sender}
}
