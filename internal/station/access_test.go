package station

import (
	"path/filepath"
	"testing"
	"time"

	"gauged/internal/access"
	"gauged/internal/gauge"
)

// TestAccessIsStored: a change of who may come in holds when the call returns, survives
// the end of the station, and a change that is refused leaves nothing.
func TestAccessIsStored(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigAt(t, path)
	id, secret := access.NewSecret("gauged-token")
	token := access.Token{ID: id, Name: "press", Role: access.RoleReader, Hash: access.HashOf(secret), Expires: r.now.Add(time.Hour)}
	for _, change := range []access.Change{
		access.AddPerson("root", access.Person{Name: "Ada", Role: access.RoleQuality}), access.MakeToken("root", token),
	} {
		if err := r.ChangeAccess(t.Context(), change); err != nil {
			t.Fatal(err)
		}
	}
	before := r.Register()
	if err := r.ChangeAccess(t.Context(), access.AddPerson("root", access.Person{Name: "Ada", Role: access.RoleReader})); gauge.Told(err).Code != "refusal.access.person-there" {
		t.Errorf("twice: %v", err)
	}
	if c, err := before.Token(secret, r.now); err != nil || c.Name != "press" {
		t.Errorf("%+v, %v", c, err)
	}
	r.stop()
	if err := r.store.Close(); err != nil {
		t.Fatal(err)
	}
	r = rigAt(t, path)
	if p, ok := r.Register().Person("Ada"); !ok || p.Role != access.RoleQuality {
		t.Errorf("after the restart: %+v", r.Register())
	}
	if err := r.ChangeAccess(t.Context(), access.RevokeToken("root", id)); err != nil {
		t.Fatal(err)
	}
	if _, err := r.Register().Token(secret, r.now); gauge.Told(err).Code != "refusal.access.token-revoked" {
		t.Errorf("revoked: %v", err)
	}
}
