package station

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	"gauged/internal/access"
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/study"
	"gauged/internal/history"
	"gauged/internal/job"
	"gauged/internal/library"
)

// swapped is a history in which the bytes of one fact are others.
type swapped struct {
	*history.Store
	seq    uint64
	data   []byte
	marked bool // the marks of the chain are those of what was stored
}

func (s *swapped) Unlike(context.Context) (map[uint64]bool, error) {
	return map[uint64]bool{s.seq: s.marked}, nil
}

// swap gives the fact its other bytes.
func (s *swapped) swap(f gauge.Fact) gauge.Fact {
	if f.Seq != s.seq {
		return f
	}
	text := string(s.data)
	switch {
	case f.Job != nil:
		c := *f.Job
		c.Data, f.Job = s.data, &c
	case f.Gauge != nil:
		c := *f.Gauge
		c.Data, f.Gauge = s.data, &c
	case f.Access != nil:
		c := *f.Access
		c.Data, f.Access = s.data, &c
	case f.File != nil:
		c := *f.File
		c.Content, f.File = s.data, &c
	case f.Reading != nil:
		c := *f.Reading
		if v, err := gauge.ParseLength(text, gauge.Millimetre); err == nil {
			c.Value = v
		}
		c.Shown, c.Unit, f.Reading = text, gauge.Unit(len(text)), &c
	case f.Reject != nil:
		c := *f.Reject
		c.Reason, f.Reject = gauge.Reason(text), &c
	case f.State != nil:
		c := *f.State
		c.State, f.State = gauge.State(text), &c
	case f.Release != nil:
		c := *f.Release
		c.Hash, f.Release = text, &c
	}
	return f
}

func (s *swapped) all(facts []gauge.Fact, err error) ([]gauge.Fact, error) {
	for i := range facts {
		facts[i] = s.swap(facts[i])
	}
	return facts, err
}

func (s *swapped) GaugeFacts(ctx context.Context, id string, after uint64, limit int) ([]gauge.Fact, error) {
	return s.all(s.Store.GaugeFacts(ctx, id, after, limit))
}

func (s *swapped) GaugeFactsOf(ctx context.Context, kind string, q gauge.Query) ([]gauge.Fact, error) {
	return s.all(s.Store.GaugeFactsOf(ctx, kind, q))
}

func (s *swapped) RecentGaugeFacts(ctx context.Context, id string, count int) ([]gauge.Fact, error) {
	return s.all(s.Store.RecentGaugeFacts(ctx, id, count))
}

func (s *swapped) AccessFacts(ctx context.Context, after uint64, limit int) ([]gauge.Fact, error) {
	return s.all(s.Store.AccessFacts(ctx, after, limit))
}

func (s *swapped) JobFacts(ctx context.Context, id uint64) ([]gauge.Fact, error) {
	return s.all(s.Store.JobFacts(ctx, id))
}

func (s *swapped) JobStarts(ctx context.Context, after uint64, limit int) ([]gauge.Fact, error) {
	return s.all(s.Store.JobStarts(ctx, after, limit))
}

func (s *swapped) Facts(ctx context.Context, after uint64, limit int) ([]gauge.Fact, error) {
	return s.all(s.Store.Facts(ctx, after, limit))
}

func (s *swapped) FileVersions(ctx context.Context, kind, name string) ([]gauge.Fact, error) {
	return s.all(s.Store.FileVersions(ctx, kind, name))
}

func (s *swapped) Reading(ctx context.Context, seq uint64) (gauge.Fact, error) {
	f, err := s.Store.Reading(ctx, seq)
	return s.swap(f), err
}

func (s *swapped) File(ctx context.Context, hash string) (gauge.File, error) {
	file, err := s.Store.File(ctx, hash)
	if facts, found := s.Store.Facts(ctx, s.seq-1, 1); found == nil && len(facts) == 1 && facts[0].File != nil && facts[0].File.Hash == hash {
		file.Content = s.data
	}
	return file, err
}

func (s *swapped) LastReadings(ctx context.Context) (map[string]gauge.Fact, error) {
	last, err := s.Store.LastReadings(ctx)
	for id, f := range last {
		last[id] = s.swap(f)
	}
	return last, err
}

// everyFact makes a history that has every kind of fact.
func everyFact(tb testing.TB, path string) {
	tb.Helper()
	r := rigAt(tb, path)
	ctx := tb.Context()
	must := func(err error) {
		tb.Helper()
		if err != nil {
			tb.Fatal(err)
		}
	}
	finishedWith(tb, r, "U 1", "dial") // of which no error is known: a doubt is simulated, and would be each time
	_, err := r.StartJob(ctx, StartRequest{Procedure: "ring", UnitSerial: "U 2", Technician: "tech", Gauges: map[string]string{"depth": "clock"}})
	must(err)
	r.check("clock", r.at("clock", "block", "25.000"))
	mistaken := r.check("clock", r.at("clock", "block", "25.100"))
	_, err = r.VoidCheck(ctx, VoidRequest{"clock", mistaken.Seq, "another block", "quality"})
	must(err)
	_, err = r.SetStanding(ctx, "strict", health.Retired, "worn", "quality")
	must(err)
	r.begins("clock")
	_, err = r.LeaveCheck(ctx, "clock", 0, "quality")
	must(err)
	request := health.StudyRequest{Gauge: "dial", By: "quality", Plan: study.Plan{Kind: study.CapabilityKind, Options: study.Options{Tolerance: 0.2, Seed: 1}}}
	for i := range 12 {
		p := r.at("dial", "block", []string{"25.000", "25.001", "25.002", "25.003"}[i%4])
		request.Rows = append(request.Rows, health.StudyRow{Seq: p.Readings[0], Master: "block", Trial: string(rune('a' + i))})
	}
	_, err = r.RecordStudy(ctx, request)
	must(err)
	id, secret := access.NewSecret("gauged-token")
	device, itsSecret := access.NewSecret("device")
	for _, change := range []access.Change{
		access.AddPerson("root", access.Person{Name: "Ada", Role: access.RoleQuality}),
		access.ChangePerson("root", "Ada", func(p *access.Person) { p.Role = access.RoleTechnician }),
		access.RemovePerson("root", "Ada"),
		access.MakeToken("root", access.Token{ID: id, Name: "press", Role: access.RoleReader, Hash: access.HashOf(secret), Expires: r.clock().Add(time.Hour)}),
		access.BindSender(access.Caller{Name: "press", Door: access.DoorToken}, "a bench"),
		access.RevokeToken("root", id),
		access.PairDevice("root", access.Device{ID: device, Title: "bench 1", Hash: access.HashOf(itsSecret)}),
		access.UnpairDevice("root", device),
		new(access.Refusals).Note("somebody", gauge.UnknownCaller("refusal.access.nobody"), access.Call("a call"), r.clock()),
	} {
		must(r.ChangeAccess(ctx, change))
	}
	changed := r.Changed()
	r.Report(Report{Reject: &gauge.Reject{Gauge: "dial", Time: r.clock(), Reason: gauge.ReasonLayout, Raw: []byte("?")}, Count: 1})
	<-changed
	changed = r.Changed()
	r.Report(Report{State: &gauge.StateChange{Gauge: "dial", Time: r.clock(), State: gauge.StateLive}})
	<-changed
	edited, err := editedLibrary()
	must(err)
	_, err = r.Release(ctx, edited, "quality", "a remark")
	must(err)
	r.stop()
	must(r.store.Close())
}

// bytesOf are those of a fact that the fuzzer changes.
func bytesOf(f gauge.Fact) []byte {
	switch {
	case f.Job != nil:
		return f.Job.Data
	case f.Gauge != nil:
		return f.Gauge.Data
	case f.Access != nil:
		return f.Access.Data
	case f.File != nil:
		return f.File.Content
	case f.Reading != nil:
		return []byte(f.Reading.Shown)
	case f.Reject != nil:
		return []byte(f.Reject.Reason)
	case f.State != nil:
		return []byte(f.State.State)
	}
	return []byte(f.Release.Hash)
}

// FuzzStoredFacts: whatever the bytes of a stored fact are, the station starts, folds,
// looks back and replays without a panic. A gauge of which a fact is not what was stored is
// never in service, nobody is let in where that was a fact of access, and no outcome of a
// job is another without a damage or a difference that is said.
func FuzzStoredFacts(f *testing.F) {
	path := filepath.Join(f.TempDir(), "history.db")
	everyFact(f, path)
	store, err := history.Open(f.Context(), path)
	if err != nil {
		f.Fatal(err)
	}
	f.Cleanup(func() { _ = store.Close() })
	facts, err := store.Facts(f.Context(), 0, history.MaxPage)
	if err != nil {
		f.Fatal(err)
	}
	kinds := map[string]bool{}
	for _, fact := range facts {
		if kinds[kindOf(fact)] {
			continue // one of each kind is enough to begin with
		}
		kinds[kindOf(fact)] = true
		for _, marked := range []bool{true, false} {
			f.Add(uint16(fact.Seq), bytesOf(fact), marked)
			f.Add(uint16(fact.Seq), []byte("{}"), marked)
		}
	}
	for _, kind := range []string{
		"reading", "reject", "state", "file", "release", "job " + job.KindStarted, "job " + job.KindTaken, "job " + job.KindVerdict, "job " + job.KindFitted, "job " + job.KindClosed,
		"gauge " + health.KindBegun, "gauge " + health.KindChecked, "gauge " + health.KindVoided, "gauge " + health.KindStanding, "gauge " + health.KindLeft, "gauge " + health.KindStudied,
		"access " + access.KindPersonAdded, "access " + access.KindPersonChanged, "access " + access.KindPersonRemoved, "access " + access.KindTokenMade,
		"access " + access.KindTokenRevoked, "access " + access.KindDevicePaired, "access " + access.KindDeviceUnpaired, "access " + access.KindRefused, "access " + access.KindSenderBound,
	} {
		if !kinds[kind] {
			f.Errorf("no fact %q is among those that are changed", kind)
		}
	}
	outcome := stationOn(f, noWrites{&swapped{Store: store}}).outcome(f, 1)
	f.Fuzz(func(t *testing.T, seq uint16, data []byte, marked bool) {
		fact := facts[int(seq)%len(facts)]
		same := bytes.Equal(data, bytesOf(fact))
		s := stationOn(t, noWrites{&swapped{store, fact.Seq, data, marked && !same}})
		if now := s.outcome(t, 1); now != outcome && len(s.Quarantine.Jobs()) == 0 && fact.Gauge == nil {
			if replay, err := s.ReplayVerdicts(t.Context(), 1); err != nil || len(replay.Differences) == 0 {
				t.Errorf("job 1 is %q instead of %q, and a replay agrees: %v", now, outcome, err)
			}
		}
		if _, err := s.ReplayVerdicts(t.Context(), 0); err != nil {
			t.Error(err)
		}
		for _, g := range s.Gauges() {
			if _, err := s.Signs(t.Context(), g.ID); err != nil {
				t.Error(err)
			}
			h, err := s.Health(g.ID)
			switch {
			case err != nil:
				t.Error(err)
			case h.Damage == nil && !slices.Contains(health.Sayable, h.Standing):
				t.Errorf("gauge %s is %q", g.ID, h.Standing)
			case h.Damage != nil && (h.Standing != health.Unknown || h.Last != nil || h.Good != nil):
				t.Errorf("gauge %s is damaged, and %+v", g.ID, h)
			case fact.Gauge != nil && fact.Gauge.Gauge == g.ID && marked && !same && h.Damage == nil:
				t.Errorf("gauge %s has a fact that is not what was stored, and is %s", g.ID, h.Standing)
			}
		}
		if _, err := s.Studies(t.Context(), "", gauge.Query{Limit: 100}); err != nil {
			t.Error(err)
		}
		if _, err := s.WorkErrors(t.Context()); err != nil {
			t.Error(err)
		}
		if fact.Access != nil && marked && !same && s.Register().Damaged() == nil {
			t.Errorf("a fact of access is not what was stored, and people are let in")
		}
	})
}

// kindOf is what a fact is.
func kindOf(f gauge.Fact) string {
	switch {
	case f.Job != nil:
		return "job " + f.Job.Kind
	case f.Gauge != nil:
		return "gauge " + f.Gauge.Kind
	case f.Access != nil:
		return "access " + f.Access.Kind
	case f.Reading != nil:
		return "reading"
	case f.Reject != nil:
		return "reject"
	case f.State != nil:
		return "state"
	case f.File != nil:
		return "file"
	}
	return "release"
}

type started struct{ *Station }

// editedLibrary is the library of everyFact's last release, read once: nothing changes it.
var editedLibrary = sync.OnceValues(func() (*library.Library, error) {
	never := func() error { return nil }
	return library.New(never, []library.Source{{Path: "ring.yaml", Content: []byte(testProcedure + "# edited\n")}}, []library.Source{{Path: "rings.yaml", Content: []byte(testParts)}})
})

func stationOn(tb testing.TB, store Store) started {
	tb.Helper()
	lib, err := editedLibrary()
	if err != nil {
		tb.Fatal(err)
	}
	s, err := New(tb.Context(), Options{
		Store: store, Library: lib, Now: func() time.Time { return time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC) },
		Gauges: []GaugeInfo{{ID: "micrometer", Mode: gauge.ModeTyped}, {ID: "dial", Mode: gauge.ModeButton}, {ID: "clock", Mode: gauge.ModeButton, Ability: strictAbility}, {ID: "strict", Mode: gauge.ModeStream, Ability: strictAbility}},
	})
	if err != nil {
		tb.Fatalf("the station does not start: %v", err)
	}
	return started{s}
}

// noWrites takes what is stored at a start, and stores nothing.
type noWrites struct{ Store }

func (noWrites) Append(context.Context, []gauge.Fact, ...gauge.Request) error { return nil }

// outcome is that of a job, and empty where it is damaged.
func (s started) outcome(tb testing.TB, id uint64) string {
	tb.Helper()
	j, err := s.Job(tb.Context(), id)
	if s.Quarantine.Has(err) {
		return ""
	}
	if err != nil && !errors.Is(err, gauge.ErrNotFound) {
		tb.Fatal(err)
	}
	if err != nil {
		return ""
	}
	said, err := json.Marshal(j.Evaluation.Outcome)
	if err != nil {
		tb.Fatal(err)
	}
	return string(said)
}
