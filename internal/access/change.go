package access

import (
	"crypto/rand"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"time"

	"gauged/internal/gauge"
)

// Change decides, on the register as it is when it comes about, what facts it makes.
type Change func(r Register, now time.Time) ([]gauge.AccessFact, error)

// AddPerson adds a person.
func AddPerson(by string, p Person) Change {
	return func(r Register, now time.Time) ([]gauge.AccessFact, error) {
		if err := p.fits(); err != nil {
			return nil, err
		}
		if _, there := r.people[p.Name]; there {
			return nil, gauge.Refused("refusal.access.person-there", gauge.Text("name", p.Name))
		}
		for _, t := range r.tokens {
			if t.Name == p.Name {
				return nil, gauge.Refused("refusal.access.name-taken", gauge.Text("name", p.Name))
			}
		}
		if err := r.named(p.Name); err != nil {
			return nil, err
		}
		return fact(now, KindPersonAdded, by, p.Name, p)
	}
}

// ChangePerson changes a person as change says, which gets the person as they are.
func ChangePerson(by, name string, change func(*Person)) Change {
	return func(r Register, now time.Time) ([]gauge.AccessFact, error) {
		p, err := r.needPerson(name)
		if err != nil {
			return nil, err
		}
		change(&p)
		p.Name = name
		if err := p.fits(); err != nil {
			return nil, err
		}
		return fact(now, KindPersonChanged, by, name, p)
	}
}

// RemovePerson removes a person. Their name stays in what they did.
func RemovePerson(by, name string) Change {
	return func(r Register, now time.Time) ([]gauge.AccessFact, error) {
		if _, err := r.needPerson(name); err != nil {
			return nil, err
		}
		return fact(now, KindPersonRemoved, by, name, nil)
	}
}

// MakeToken stores a token that NewSecret gave the secret of.
func MakeToken(by string, t Token) Change {
	return func(r Register, now time.Time) ([]gauge.AccessFact, error) {
		switch {
		case t.Name == "":
			return nil, gauge.WrongInput("refusal.access.name-missing")
		case r.people[t.Name].Name != "":
			return nil, gauge.Refused("refusal.access.name-taken", gauge.Text("name", t.Name))
		case t.Role == RoleNone:
			return nil, gauge.WrongInput("refusal.access.role-missing", roleList("roles", RoleWords()))
		case !t.Expires.After(now):
			return nil, gauge.WrongInput("refusal.access.expires-past", gauge.Moment("expires", t.Expires))
		}
		if err := r.named(t.Name); err != nil {
			return nil, err
		}
		return fact(now, KindTokenMade, by, t.ID, t)
	}
}

// RevokeToken ends a token at once.
func RevokeToken(by, id string) Change {
	return func(r Register, now time.Time) ([]gauge.AccessFact, error) {
		switch t, there := r.tokens[id]; {
		case !there:
			return nil, gauge.NotFound("refusal.access.no-token", gauge.Text("token", id))
		case !t.Revoked.IsZero():
			return nil, nil // it is so already
		}
		return fact(now, KindTokenRevoked, by, id, nil)
	}
}

// PairDevice stores a device that NewSecret gave the secret of.
func PairDevice(by string, d Device) Change {
	return func(_ Register, now time.Time) ([]gauge.AccessFact, error) {
		if d.Title == "" {
			return nil, gauge.WrongInput("refusal.access.name-missing")
		}
		return fact(now, KindDevicePaired, by, d.ID, d)
	}
}

// UnpairDevice ends a device at once.
func UnpairDevice(by, id string) Change {
	return func(r Register, now time.Time) ([]gauge.AccessFact, error) {
		switch d, there := r.devices[id]; {
		case !there:
			return nil, gauge.NotFound("refusal.access.no-device", gauge.Text("device", id))
		case !d.Unpaired.IsZero():
			return nil, nil
		}
		return fact(now, KindDeviceUnpaired, by, id, nil)
	}
}

func (r Register) needPerson(name string) (Person, error) {
	p, there := r.people[name]
	if !there {
		var names []string
		for _, p := range r.People() {
			names = append(names, p.Name)
		}
		return p, gauge.NotFound("refusal.access.no-person-of-name", gauge.Text("name", name), gauge.Others("others", name, names))
	}
	return p, nil
}

// fits refuses a person who is none: without a name or a role, or a station, which is a
// program.
func (p Person) fits() error {
	switch p.Role {
	case RoleNone, RoleStation:
		return gauge.WrongInput("refusal.access.role-missing", roleList("roles", []string{
			RoleReader.String(), RoleTechnician.String(), RoleQuality.String(), RoleAdministrator.String(),
		}))
	}
	if p.Name == "" {
		return gauge.WrongInput("refusal.access.name-missing")
	}
	return nil
}

func fact(now time.Time, kind, by, subject string, data any) ([]gauge.AccessFact, error) {
	f := gauge.AccessFact{Time: now, Kind: kind, By: by, Subject: subject}
	if data != nil {
		var err error
		if f.Data, err = json.Marshal(data); err != nil {
			return nil, err
		}
	}
	return []gauge.AccessFact{f}, nil
}

// NewSecret draws the secret of a token or a device, 256 random bits as a text that
// begins with what, and an id under which it can be spoken of.
func NewSecret(what string) (id, secret string) {
	var bits [32]byte
	_, _ = rand.Read(bits[:]) // never fails, see crypto/rand
	var name [4]byte
	_, _ = rand.Read(name[:])
	return hex.EncodeToString(name[:]), what + "-" + base64.RawURLEncoding.EncodeToString(bits[:])
}
