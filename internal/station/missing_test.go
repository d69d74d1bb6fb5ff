package station

import (
	"fmt"
	"path/filepath"
	"testing"

	"gauged/internal/access"
	"gauged/internal/gauge"
	"gauged/internal/health"
)

// TestMissingFactLetsNobodyIn: a fact that was deleted may have been one that took a right away
// or a gauge out of use: nobody comes in and no gauge serves, whichever it was, and it is said
// with its number. What was not deleted is not said to be.
func TestMissingFactLetsNobodyIn(t *testing.T) {
	for name, tc := range map[string]struct {
		table, where string
	}{
		"nothing":            {},
		"a revoked token":    {"access_facts", "kind = 'token_revoked'"},
		"a removed person":   {"access_facts", "kind = 'person_removed'"},
		"a standing":         {"gauge_facts", "kind = 'standing'"},
		"a check":            {"gauge_facts", "kind = 'checked'"},
		"a step of a job":    {"job_facts", "kind = 'started'"},
		"all but their link": {"access_facts", "seq > 0"},
	} {
		t.Run(name, func(t *testing.T) {
			ctx, path := t.Context(), filepath.Join(t.TempDir(), "history.db")
			r := rigAt(t, path)
			id, secret := access.NewSecret("gauged-token")
			lost, lostSecret := access.NewSecret("gauged-token")
			expires := r.clock().AddDate(1, 0, 0)
			r.check("strict", r.at("strict", "block", "25.000", "25.000"))
			r.start(map[string]string{"depth": "strict"})
			for _, change := range []access.Change{
				access.MakeToken("root", access.Token{ID: id, Name: "press", Role: access.RoleReader, Hash: access.HashOf(secret), Expires: expires}),
				access.MakeToken("root", access.Token{ID: lost, Name: "lost", Role: access.RoleReader, Hash: access.HashOf(lostSecret), Expires: expires}),
				access.AddPerson("root", access.Person{Name: "Ada", Role: access.RoleQuality}),
				access.AddPerson("root", access.Person{Name: "Eve", Role: access.RoleQuality}),
				access.RemovePerson("root", "Eve"),
				access.RevokeToken("root", lost),
			} {
				if err := r.ChangeAccess(ctx, change); err != nil {
					t.Fatal(err)
				}
			}
			if _, err := r.SetStanding(ctx, "strict", health.Suspect, "it fell", "quality"); err != nil {
				t.Fatal(err)
			}
			seq := uint64(0)
			for facts, after := []gauge.Fact{{}}, uint64(0); len(facts) > 0; {
				var err error
				if facts, err = r.store.Facts(ctx, after, 1000); err != nil {
					t.Fatal(err)
				}
				for _, f := range facts {
					after = f.Seq
					is := f.Access != nil && tc.table == "access_facts" && (tc.where == "seq > 0" || tc.where == fmt.Sprintf("kind = '%s'", f.Access.Kind)) ||
						f.Gauge != nil && tc.table == "gauge_facts" && tc.where == fmt.Sprintf("kind = '%s'", f.Gauge.Kind) ||
						f.Job != nil && tc.table == "job_facts" && tc.where == fmt.Sprintf("kind = '%s'", f.Job.Kind)
					if is && seq == 0 {
						seq = f.Seq
					}
				}
			}
			r.stop()
			if err := r.store.Close(); err != nil {
				t.Fatal(err)
			}
			if tc.table == "" {
				s, end := again(t, changed(t, path, "SELECT 1"))
				defer end()
				if _, err := s.Register().Token(secret, s.Now()); err != nil || isTold(s.Troubles(), "refusal.access.damaged") || isTold(s.Troubles(), "refusal.gauge.damaged") {
					t.Errorf("%v, %v", err, s.Troubles())
				}
				return
			}
			if seq == 0 {
				t.Fatal("there is no such fact")
			}
			s, end := again(t, changed(t, path, fmt.Sprintf("DROP TRIGGER %s_stay; DELETE FROM %[1]s WHERE %s", tc.table, tc.where)))
			defer end()
			for _, secret := range []string{secret, lostSecret} {
				if c, err := s.Register().Token(secret, s.Now()); gauge.Told(err).Code != "refusal.access.damaged" {
					t.Errorf("%+v comes in, %v", c, err)
				}
			}
			if _, there := s.Register().Person("Eve"); there {
				t.Error("who was removed is back")
			}
			for _, id := range []string{"strict", "clock"} {
				if h, err := s.Health(id); err != nil || h.Standing != health.Unknown || h.Damage == nil || h.Damage.Seq != seq {
					t.Errorf("%s: %+v, %v; fact %d is missing", id, h, err, seq)
				}
			}
			if all := s.Troubles(); !isTold(all, "refusal.access.damaged") || !isTold(all, "refusal.gauge.damaged") {
				t.Errorf("it is not said: %v", all)
			}
		})
	}
}
