package station

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/access"
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/history"
)

// changed is a copy of a history that is closed, changed with a shell of the database.
func changed(t *testing.T, from, sql string) (path string) {
	t.Helper()
	content, err := os.ReadFile(from)
	if err != nil {
		t.Fatal(err)
	}
	path = from + ".changed"
	if err := os.WriteFile(path, content, 0o600); err != nil {
		t.Fatal(err)
	}
	conn, err := sqlite3.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(conn.Exec("DROP TRIGGER IF EXISTS gauge_facts_keep; DROP TRIGGER IF EXISTS access_facts_keep; DROP TRIGGER IF EXISTS readings_keep; "+sql), conn.Close()); err != nil {
		t.Fatal(err)
	}
	return path
}

// TestDamagedGaugeIsSetAside: by whatever damage of a check or a standing, also one whose bytes
// make sense, the gauge is set aside alone: no job takes it, nothing more is stored of it, and
// what it measured before is doubted. Everything else runs.
func TestDamagedGaugeIsSetAside(t *testing.T) {
	for name, sql := range map[string]string{
		"no JSON":                "UPDATE gauge_facts SET data = x'7b' WHERE kind = 'standing'",
		"no data":                "UPDATE gauge_facts SET data = x'' WHERE kind = 'checked'",
		"nothing in it":          "UPDATE gauge_facts SET data = x'7b7d' WHERE kind = 'standing'",
		"no verdict":             "UPDATE gauge_facts SET data = x'7b7d' WHERE kind = 'checked'",
		"an unheard-of kind":     "UPDATE gauge_facts SET kind = 'chekced' WHERE kind = 'checked'",
		"another standing":       "UPDATE gauge_facts SET data = CAST(replace(data, 'retired', 'in service') AS BLOB) WHERE kind = 'standing'",
		"another verdict":        "UPDATE gauge_facts SET data = CAST(replace(data, 'fail', 'pass') AS BLOB) WHERE kind = 'checked'",
		"no reading of the last": "UPDATE readings SET unit = 'ell' WHERE gauge = 'strict' AND number = (SELECT max(number) FROM readings WHERE gauge = 'strict')",
	} {
		t.Run(name, func(t *testing.T) {
			ctx, path := t.Context(), filepath.Join(t.TempDir(), "history.db")
			r := rigAt(t, path)
			r.check("strict", r.at("strict", "block", "25.000", "25.000"))
			used := r.start(map[string]string{"depth": "strict"}).ID
			r.check("strict", r.at("strict", "block", "25.500")) // fails
			if _, err := r.SetStanding(ctx, "strict", health.Retired, "worn", "quality"); err != nil {
				t.Fatal(err)
			}
			r.stop()
			if err := r.store.Close(); err != nil {
				t.Fatal(err)
			}
			s, end := again(t, changed(t, path, sql))
			defer end()
			h, err := s.Health("strict")
			if err != nil || h.Standing != health.Unknown || h.Damage == nil || h.Last != nil {
				t.Fatalf("%+v, %v", h, err)
			}
			_, err = s.StartJob(ctx, StartRequest{Procedure: "ring", UnitSerial: "U 9", Technician: "tech", Gauges: map[string]string{"depth": "strict"}})
			if gauge.Told(err).Code != "refusal.gauge.out" {
				t.Errorf("a job takes it: %v", err)
			}
			for what, err := range map[string]error{
				"standing": errOf(s.SetStanding(ctx, "strict", health.InService, "it is fine", "quality")),
				"check":    errOf(s.BeginCheck(ctx, "strict", "quality", nil, health.BegunData{})),
				"list":     errOf(s.AllChecks(ctx, "strict")),
			} {
				if gauge.Told(err).Code != "refusal.gauge.damaged" {
					t.Errorf("%s: %v", what, err)
				}
			}
			if all := s.Troubles(); !isTold(all, "refusal.gauge.damaged") {
				t.Errorf("it is not said: %v", all)
			}
			if j, err := s.Job(ctx, used); err != nil || len(j.Warnings) == 0 {
				t.Errorf("the job that is open with it says nothing: %v, %v", j, err)
			}
			if h, err := s.Health("clock"); err != nil || h.Standing != health.InService {
				t.Errorf("another gauge: %+v, %v", h, err)
			}
			if _, err := s.StartJob(ctx, StartRequest{Procedure: "ring", UnitSerial: "U 9", Technician: "tech", Gauges: map[string]string{"depth": "clock"}}); err != nil {
				t.Errorf("with another gauge: %v", err)
			}
		})
	}
}

func errOf[T any](_ T, err error) error { return err }

func isTold(all []gauge.Message, code string) bool {
	return slices.ContainsFunc(all, func(m gauge.Message) bool { return m.Code == code })
}

// again starts a station on a history that is damaged, which the check of the rig would
// refuse.
func again(t *testing.T, path string) (s *Station, end func()) {
	t.Helper()
	store, err := history.Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	s = stationOn(t, store).Station
	ctx, stop := context.WithCancel(context.Background())
	go s.Run(ctx)
	return s, func() {
		stop()
		<-s.done
		_ = store.Close()
	}
}

// TestDamagedAccessLetsNobodyIn: where a fact of access is damaged, the token that it may have
// revoked is not taken, nor any other; gauges are read, and nothing of access is changed.
func TestDamagedAccessLetsNobodyIn(t *testing.T) {
	for name, sql := range map[string]string{
		"no JSON":             "UPDATE access_facts SET data = x'7b' WHERE kind = 'token_made'",
		"an unheard-of kind":  "UPDATE access_facts SET kind = 'token_revokee' WHERE kind = 'token_revoked'",
		"another token":       "UPDATE access_facts SET subject = (SELECT max(subject) FROM access_facts WHERE kind = 'token_made') WHERE kind = 'token_revoked'",
		"taken for a refusal": "UPDATE access_facts SET kind = 'refused' WHERE kind = 'token_revoked'",
	} {
		t.Run(name, func(t *testing.T) {
			ctx, path := t.Context(), filepath.Join(t.TempDir(), "history.db")
			r := rigAt(t, path)
			var secrets []string
			var ids []string
			for range 2 {
				id, secret := access.NewSecret("gauged-token")
				token := access.Token{ID: id, Name: "press", Role: access.RoleReader, Hash: access.HashOf(secret), Expires: r.clock().AddDate(1, 0, 0)}
				if err := r.ChangeAccess(ctx, access.MakeToken("root", token)); err != nil {
					t.Fatal(err)
				}
				ids, secrets = append(ids, id), append(secrets, secret)
			}
			if err := r.ChangeAccess(ctx, access.RevokeToken("root", min(ids[0], ids[1]))); err != nil {
				t.Fatal(err)
			}
			r.stop()
			if err := r.store.Close(); err != nil {
				t.Fatal(err)
			}
			s, end := again(t, changed(t, path, sql))
			defer end()
			for _, secret := range secrets {
				if c, err := s.Register().Token(secret, s.Now()); gauge.Told(err).Code != "refusal.access.damaged" {
					t.Errorf("%+v comes in, %v", c, err)
				}
			}
			if err := s.ChangeAccess(ctx, access.AddPerson("root", access.Person{Name: "Ada", Role: access.RoleQuality})); gauge.Told(err).Code != "refusal.access.damaged" {
				t.Errorf("access is changed: %v", err)
			}
			if all := s.Troubles(); !isTold(all, "refusal.access.damaged") {
				t.Errorf("it is not said: %v", all)
			}
			if _, err := s.StartJob(ctx, StartRequest{Procedure: "ring", UnitSerial: "U 9", Technician: "tech", Gauges: map[string]string{"depth": "clock"}}); err != nil {
				t.Errorf("nothing else runs: %v", err)
			}
		})
	}
}
