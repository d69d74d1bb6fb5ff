package access

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"gauged/internal/gauge"
)

// The kinds of facts of access.
const (
	KindPersonAdded    = "person_added"
	KindPersonChanged  = "person_changed"
	KindPersonRemoved  = "person_removed"
	KindTokenMade      = "token_made"
	KindTokenRevoked   = "token_revoked"
	KindDevicePaired   = "device_paired"
	KindDeviceUnpaired = "device_unpaired"
	KindSenderBound    = "sender_bound" // a program has first sent as a sender, and alone does
	KindRefused        = "refused"      // somebody was not let in, or not let do something: changes nothing
)

// Person is somebody who works here.
type Person struct {
	Name  string `json:"-"`
	Role  Role   `json:"role"`
	PIN   string `json:"pin,omitempty"`   // its encoded hash; empty: none
	Badge string `json:"badge,omitempty"` // the encoded hash of what it reads as; empty: none
}

// Token is what a program shows, without its secret.
type Token struct {
	ID      string    `json:"-"`
	Name    string    `json:"name"` // of the program
	Role    Role      `json:"role"`
	Hash    string    `json:"hash"` // SHA-256 of its secret, in hex
	Expires time.Time `json:"expires"`
	Gauges  []string  `json:"gauges,omitempty"` // whose readings it may feed; empty: of all
	Sender  string    `json:"sender,omitempty"` // as which it may feed readings; empty: see SendsAs
	Made    time.Time `json:"-"`
	By      string    `json:"-"`
	Revoked time.Time `json:"-"` // zero: it is not
}

// Device is a tablet or another screen that was paired at the bench.
type Device struct {
	ID       string    `json:"-"`
	Title    string    `json:"title"`
	Hash     string    `json:"hash"` // SHA-256 of its secret, in hex
	Paired   time.Time `json:"-"`
	By       string    `json:"-"`
	Unpaired time.Time `json:"-"` // zero: it is not
}

// Register is who may come in: a fold over the facts of access. It never changes; its
// zero value has nobody.
type Register struct {
	people  map[string]Person
	tokens  map[string]Token
	devices map[string]Device
	hashes  map[string]string // of secrets, to the ids of their tokens and devices
	senders map[string]string // the programs that first sent as them
	damaged error             // nil: it is not
}

// Shut is a register that lets nobody in, because fact seq is damaged: a person put out or a
// token revoked by it must not come in again. It stays so, whatever is stored later.
func Shut(seq uint64, why error) Register {
	return Register{damaged: gauge.UnknownCaller("refusal.access.damaged", gauge.Count("entry", seq), gauge.Text("why", why.Error()))}
}

// Damaged says why nobody is let in; nil: what is stored is not damaged.
func (r Register) Damaged() error { return r.damaged }

// With returns the register after a fact. A role that is not known may do nothing. A kind that
// is not known is an error: it may take a right away.
func (r Register) With(f gauge.AccessFact) (Register, error) {
	if r.damaged != nil {
		if f.Kind == KindRefused {
			return r, nil
		}
		return r, r.damaged
	}
	var err error
	switch f.Kind {
	case KindRefused: // changes nothing
	case KindPersonAdded, KindPersonChanged:
		p := Person{Name: f.Subject}
		err = json.Unmarshal(f.Data, &p)
		r.people = set(r.people, f.Subject, p)
	case KindPersonRemoved:
		r.people = maps.Clone(r.people)
		delete(r.people, f.Subject)
	case KindTokenMade:
		t := Token{ID: f.Subject, Made: f.Time, By: f.By}
		err = json.Unmarshal(f.Data, &t)
		r.tokens, r.hashes = set(r.tokens, f.Subject, t), set(r.hashes, t.Hash, f.Subject)
	case KindTokenRevoked:
		t, there := r.tokens[f.Subject]
		if err = known(there); err != nil {
			break
		}
		t.Revoked = f.Time
		r.tokens = set(r.tokens, f.Subject, t)
	case KindDevicePaired:
		d := Device{ID: f.Subject, Paired: f.Time, By: f.By}
		err = json.Unmarshal(f.Data, &d)
		r.devices, r.hashes = set(r.devices, f.Subject, d), set(r.hashes, d.Hash, f.Subject)
	case KindDeviceUnpaired:
		d, there := r.devices[f.Subject]
		if err = known(there); err != nil {
			break
		}
		d.Unpaired = f.Time
		r.devices = set(r.devices, f.Subject, d)
	case KindSenderBound:
		r.senders = set(r.senders, f.Subject, f.By)
	default:
		err = errKind
	}
	if err != nil {
		return Register{}, fmt.Errorf("%s %s: %w", f.Kind, f.Subject, err)
	}
	return r, nil
}

// What is wrong with a stored fact that can be decoded.
var (
	errKind    = errors.New("there is no fact of that kind")
	errSubject = errors.New("there is none of that name")
)

func known(there bool) error {
	if !there {
		return errSubject
	}
	return nil
}

func set[V any](m map[string]V, key string, v V) map[string]V {
	m = maps.Clone(m)
	if m == nil {
		m = map[string]V{}
	}
	m[key] = v
	return m
}

// Token returns who calls with a token's secret at a time.
func (r Register) Token(secret string, now time.Time) (Caller, error) {
	if r.damaged != nil {
		return Caller{}, r.damaged
	}
	return r.tokens[r.hashes[HashOf(secret)]].caller(now)
}

// SendsAs is the one sender as which a token may feed readings; empty: as any.
func (t Token) SendsAs() string { return sendsAs(t.Name, t.Sender, t.Gauges) }

// sendsAs is the sender of a program: the one that was given, or, where it feeds some
// gauges alone, its own name: else a program for one gauge could use up the numbers of any
// sender. Empty: any that is nobody else's, as the link of a bench needs, whose sender is
// the identity of its history; see senders.go.
func sendsAs(name, sender string, gauges []string) string {
	if sender == "" && len(gauges) > 0 {
		return name
	}
	return sender
}

// caller is who calls with a token at a time; nobody with the zero one.
func (t Token) caller(now time.Time) (Caller, error) {
	switch {
	case t.ID == "":
		return Caller{}, gauge.UnknownCaller("refusal.access.token-unknown")
	case !t.Revoked.IsZero():
		return Caller{}, gauge.UnknownCaller("refusal.access.token-revoked", gauge.Text("token", t.ID), gauge.Text("name", t.Name))
	case !now.Before(t.Expires):
		return Caller{}, gauge.UnknownCaller("refusal.access.token-expired", gauge.Text("token", t.ID), gauge.Text("name", t.Name), gauge.Moment("expired", t.Expires))
	}
	return Caller{Name: t.Name, Role: t.Role, Door: DoorToken, Token: t.ID, Gauges: t.Gauges, Sender: t.SendsAs()}, nil
}

// Device returns the device that has a secret. Who is at it says a person.
func (r Register) Device(secret string) (Device, error) {
	d, ok := r.devices[r.hashes[HashOf(secret)]]
	switch {
	case r.damaged != nil:
		return Device{}, r.damaged
	case !ok:
		return Device{}, gauge.UnknownCaller("refusal.access.device-unknown")
	case !d.Unpaired.IsZero():
		return Device{}, gauge.UnknownCaller("refusal.access.device-unpaired", gauge.Text("title", d.Title))
	}
	return d, nil
}

// Person returns a person by name, and false when there is none.
func (r Register) Person(name string) (Person, bool) {
	p, ok := r.people[name]
	return p, ok
}

// People are all people, by their names.
func (r Register) People() []Person {
	return sorted(r.people, func(a, b Person) int { return strings.Compare(a.Name, b.Name) })
}

// Tokens are all tokens, the revoked and expired ones too, in the order in which they
// were made.
func (r Register) Tokens() []Token {
	return sorted(r.tokens, func(a, b Token) int { return inOrder(a.Made, a.ID, b.Made, b.ID) })
}

// Devices are all devices that were ever paired, in that order.
func (r Register) Devices() []Device {
	return sorted(r.devices, func(a, b Device) int { return inOrder(a.Paired, a.ID, b.Paired, b.ID) })
}

func sorted[V any](m map[string]V, compare func(a, b V) int) []V {
	return slices.SortedFunc(maps.Values(m), compare)
}

func inOrder(at time.Time, id string, otherAt time.Time, other string) int {
	if c := at.Compare(otherAt); c != 0 {
		return c
	}
	return strings.Compare(id, other)
}

// HashOf is the hash by which the secret of a token or a device is known. Such a secret
// has 256 random bits, so that it needs no slow hash.
func HashOf(secret string) string {
	sum := sha256.Sum256([]byte(secret))
	return hex.EncodeToString(sum[:])
}
