package access

import (
	"encoding/json"
	"errors"
	"testing"
	"time"

	"gauged/internal/gauge"
)

var noon = time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)

// after is the register after changes, one minute apart.
func after(t *testing.T, changes ...Change) Register {
	t.Helper()
	r := Register{}
	for i, change := range changes {
		facts, err := change(r, noon.Add(time.Duration(i)*time.Minute))
		if err != nil {
			t.Fatalf("change %d: %v", i, err)
		}
		for _, f := range facts {
			if r, err = r.With(f); err != nil {
				t.Fatal(err)
			}
		}
	}
	return r
}

// TestToken: a token is what its secret says from when it is made until it ends or is
// revoked, to the nanosecond; another secret is none.
func TestToken(t *testing.T) {
	id, secret := NewSecret("gauged-token")
	token := Token{ID: id, Name: "press", Role: RoleStation, Hash: HashOf(secret), Expires: noon.Add(time.Hour), Gauges: []string{"dial"}, Sender: "press-1"}
	r := after(t, MakeToken("root", token))
	c, err := r.Token(secret, noon.Add(time.Hour-1))
	if err != nil || c.Name != "press" || c.Role != RoleStation || c.Door != DoorToken || c.Sender != "press-1" || len(c.Gauges) != 1 || c.Token != id {
		t.Errorf("%+v, %v", c, err)
	}
	for code, err := range map[string]error{
		"refusal.access.token-expired": second(r.Token(secret, noon.Add(time.Hour))),
		"refusal.access.token-unknown": second(r.Token(secret+"x", noon)),
		"refusal.access.token-revoked": second(after(t, MakeToken("root", token), RevokeToken("root", id)).Token(secret, noon)),
	} {
		if !errors.Is(err, gauge.ErrUnknown) || gauge.Told(err).Code != code {
			t.Errorf("%v, want %s", err, code)
		}
	}
	if _, err := r.Token("", noon); gauge.Told(err).Code != "refusal.access.token-unknown" {
		t.Errorf("no secret: %v", err)
	}
}

// TestDeviceIsNoToken: the secret of a device is none of a program, and the other way round.
func TestDeviceIsNoToken(t *testing.T) {
	tid, token := NewSecret("gauged-token")
	did, device := NewSecret("gauged-device")
	r := after(t, MakeToken("root", Token{ID: tid, Name: "p", Role: RoleReader, Hash: HashOf(token), Expires: noon.Add(time.Hour)}),
		PairDevice("lead", Device{ID: did, Title: "tablet", Hash: HashOf(device)}))
	if _, err := r.Token(device, noon); err == nil {
		t.Error("a device's secret is a token")
	}
	if _, err := r.Device(token); err == nil {
		t.Error("a token's secret is a device")
	}
	if d, err := r.Device(device); err != nil || d.Title != "tablet" || d.By != "lead" {
		t.Errorf("%+v, %v", d, err)
	}
	facts, err := UnpairDevice("lead", did)(r, noon)
	if err != nil || len(facts) != 1 {
		t.Fatal(err)
	}
	if r, err = r.With(facts[0]); err != nil {
		t.Fatal(err)
	}
	if _, err := r.Device(device); gauge.Told(err).Code != "refusal.access.device-unpaired" {
		t.Errorf("unpaired: %v", err)
	}
}

// TestPeople: added, changed, removed; a register that was given out before stays as it was.
func TestPeople(t *testing.T) {
	before := after(t, AddPerson("root", Person{Name: "Ada", Role: RoleTechnician, PIN: "hash"}))
	facts, err := ChangePerson("root", "Ada", func(p *Person) { p.Role = RoleQuality })(before, noon)
	if err != nil {
		t.Fatal(err)
	}
	r, err := before.With(facts[0])
	if p, _ := r.Person("Ada"); err != nil || p.Role != RoleQuality || p.PIN != "hash" {
		t.Errorf("%+v, %v", p, err)
	}
	if p, _ := before.Person("Ada"); p.Role != RoleTechnician {
		t.Errorf("the register of before has %+v", p)
	}
	for code, change := range map[string]Change{
		"refusal.access.person-there":      AddPerson("root", Person{Name: "Ada", Role: RoleReader}),
		"refusal.access.name-missing":      AddPerson("root", Person{Role: RoleReader}),
		"refusal.access.role-missing":      AddPerson("root", Person{Name: "Bo", Role: RoleStation}),
		"refusal.access.no-person-of-name": RemovePerson("root", "Bo"),
		"refusal.access.no-token":          RevokeToken("root", "x"),
		"refusal.access.no-device":         UnpairDevice("root", "x"),
		"refusal.access.expires-past":      MakeToken("root", Token{Name: "p", Role: RoleReader, Expires: noon}),
	} {
		if _, err := change(r, noon); gauge.Told(err).Code != code {
			t.Errorf("%v, want %s", err, code)
		}
	}
	facts, _ = RemovePerson("root", "Ada")(r, noon)
	if r, err = r.With(facts[0]); err != nil || len(r.People()) != 0 {
		t.Errorf("%v after the removal, %v", r.People(), err)
	}
}

// TestDamagedFacts: a fact that cannot be read, or of whose kind nothing is known, is an error.
// A role that is not known may do nothing.
func TestDamagedFacts(t *testing.T) {
	r, err := Register{}.With(gauge.AccessFact{Kind: KindPersonAdded, Subject: "Ada", Data: []byte(`{"role":"emperor"}`)})
	if p, _ := r.Person("Ada"); err != nil || p.Role != RoleNone {
		t.Errorf("%+v, %v", p, err)
	}
	for _, f := range []gauge.AccessFact{
		{Kind: "person_taught", Subject: "Ada"},
		{Kind: KindTokenMade, Data: []byte("{")},
		{Kind: KindDevicePaired},
		{Kind: KindTokenRevoked, Subject: "nobody's"},
		{Kind: KindDeviceUnpaired, Subject: "nobody's"},
	} {
		if _, err := r.With(f); err == nil {
			t.Errorf("%q was taken", f.Kind)
		}
	}
}

// TestShutRegister: where a fact is damaged nobody is let in, whatever was stored before and
// is stored later, and nothing is changed. Refusals are kept.
func TestShutRegister(t *testing.T) {
	id, secret := NewSecret("gauged-token")
	made, err := MakeToken("root", Token{ID: id, Name: "press", Role: RoleReader, Hash: HashOf(secret), Expires: noon.Add(time.Hour)})(Register{}, noon)
	if err != nil {
		t.Fatal(err)
	}
	r := Shut(7, errors.New("it is not what was stored"))
	if next, err := r.With(made[0]); gauge.Told(err).Code != "refusal.access.damaged" || next.Damaged() == nil {
		t.Errorf("a change is taken: %v", err)
	}
	if next, err := r.With(gauge.AccessFact{Kind: KindRefused}); err != nil || next.Damaged() == nil {
		t.Errorf("a refusal: %v", err)
	}
	if _, err := r.Token(secret, noon); gauge.Told(err).Code != "refusal.access.damaged" {
		t.Errorf("token: %v", err)
	}
	if _, err := r.Device(secret); gauge.Told(err).Code != "refusal.access.damaged" {
		t.Errorf("device: %v", err)
	}
	if _, ok := r.Prove("Ada", "4711"); ok || r.Paired("1") || len(r.People()) > 0 {
		t.Error("somebody is known")
	}
}

// TestSecretsAreDrawn: 256 bits each, no two alike.
func TestSecretsAreDrawn(t *testing.T) {
	seen := map[string]bool{}
	for range 1000 {
		id, secret := NewSecret("gauged-token")
		if len(id) != 8 || len(secret) != len("gauged-token-")+43 || seen[secret] {
			t.Fatalf("%s %s", id, secret)
		}
		seen[secret] = true
	}
	content, err := json.Marshal(Person{Name: "Ada", Role: RoleReader})
	if err != nil || string(content) != `{"role":"reader"}` {
		t.Errorf("%s, %v", content, err)
	}
}

func second[V any](_ V, err error) error { return err }
