package access

import (
	"slices"
	"time"

	"gauged/internal/gauge"
)

// Feeds refuses a program that sends as somebody else: as the sender of a token or of a
// certificate, under the name of another program or person, as one that another was the first
// to send as, or as a gauge of the station. What the program itself was given counts first.
func (g *Guard) Feeds(c Caller, source string, gauges []string) error {
	if !mustBind(c, source) {
		return nil
	}
	if err := CheckName(source, nil); err != nil {
		return err
	}
	if slices.ContainsFunc(gauges, func(id string) bool { return alike(id, source) }) {
		return gauge.Forbidden("refusal.access.sender-gauge", gauge.Text("source", source))
	}
	for name, grant := range g.Rules.Certificates {
		called := grant.caller(name, DoorCertificate).Name
		if called != c.Name && (alike(called, source) || alike(sendsAs(called, grant.Sender, grant.Gauges), source)) {
			return senderTaken(source, called)
		}
	}
	for name, grant := range g.Rules.Users {
		if called := grant.caller(name, DoorSocket).Name; called != c.Name && alike(called, source) {
			return senderTaken(source, called)
		}
	}
	if source != c.Name && g.checkUser(source) != nil {
		return senderTaken(source, source)
	}
	return g.Register().feeds(c, source, g.Now())
}

// mustBind reports whether a caller is a program that may send as whom it likes. Who is known
// by the user of this machine, and a program that was given its sender, need not be bound.
func mustBind(c Caller, source string) bool {
	return c.Sender != source && (c.Door == DoorToken || c.Door == DoorCertificate)
}

func senderTaken(source, name string) error {
	return gauge.Forbidden("refusal.access.sender-taken", gauge.Text("source", source), gauge.Text("name", name))
}

func (r Register) feeds(c Caller, source string, now time.Time) error {
	for _, t := range r.Tokens() {
		if t.Name != c.Name && t.Revoked.IsZero() && now.Before(t.Expires) && (alike(t.SendsAs(), source) || alike(t.Name, source)) {
			return senderTaken(source, t.Name)
		}
	}
	for _, p := range r.People() {
		if alike(p.Name, source) {
			return senderTaken(source, p.Name)
		}
	}
	for bound, first := range r.senders {
		if first != c.Name && alike(bound, source) {
			return senderTaken(source, first)
		}
	}
	return nil
}

// mostBound is to how many senders one program is bound. A bench begins another with each new
// history.
const mostBound = 100

// BindSender binds a sender to the program that sends as it first. It is no change where it is
// bound to it already, or need not be.
func BindSender(c Caller, source string) Change {
	return func(r Register, now time.Time) ([]gauge.AccessFact, error) {
		if !mustBind(c, source) || r.senders[source] == c.Name {
			return nil, nil
		}
		if err := r.feeds(c, source, now); err != nil {
			return nil, err
		}
		bound := 0
		for _, name := range r.senders {
			if name == c.Name {
				bound++
			}
		}
		if bound >= mostBound {
			return nil, gauge.Refused("refusal.access.senders-many", gauge.Text("name", c.Name), gauge.Count("most", mostBound), gauge.Text("source", source))
		}
		return fact(now, KindSenderBound, c.Name, source, nil)
	}
}

// Bound reports whether a caller may send as a sender without being bound to it first.
func (r Register) Bound(c Caller, source string) bool {
	return !mustBind(c, source) || r.senders[source] == c.Name
}
