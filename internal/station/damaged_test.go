package station

import (
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/gauge"
	"gauged/internal/history"
	"gauged/internal/job"
	"gauged/internal/library"
)

// damages are ways in which the data of a stored fact is spoilt.
var damages = []func(rng *rand.Rand, data []byte) []byte{
	func(*rand.Rand, []byte) []byte { return nil },
	func(*rand.Rand, []byte) []byte { return []byte("{") },
	func(*rand.Rand, []byte) []byte { return []byte("null") },
	func(*rand.Rand, []byte) []byte { return []byte("[]") },
	func(*rand.Rand, []byte) []byte { return []byte("{}") },
	func(rng *rand.Rand, data []byte) []byte { return data[:rng.IntN(len(data)+1)] },
	func(rng *rand.Rand, data []byte) []byte { // a flipped bit
		data = append([]byte(nil), data...)
		if len(data) > 0 {
			data[rng.IntN(len(data))] ^= 1 << rng.IntN(8)
		}
		return data
	},
	func(rng *rand.Rand, data []byte) []byte { // another value of a field
		var fields map[string]any
		if json.Unmarshal(data, &fields) != nil || len(fields) == 0 {
			return []byte(`{"reading":99999999999999999999}`)
		}
		others := []any{nil, 1e300, -1, "x", []any{nil}, map[string]any{"a": nil}, uint64(1) << 63, 99999}
		for name := range fields {
			if fields[name] = others[rng.IntN(len(others))]; rng.IntN(2) == 0 {
				delete(fields, name)
			}
			break
		}
		spoilt, err := json.Marshal(fields)
		if err != nil {
			panic(err)
		}
		return spoilt
	},
}

// damagedRuns is how many facts the test spoils, one after the other.
func damagedRuns(t *testing.T) int {
	n, err := strconv.Atoi(os.Getenv("GAUGED_DAMAGED_FACTS"))
	if err != nil {
		return 60
	}
	return n
}

// TestDamagedFactsStopNothing spoils stored facts of two closed jobs and an open one: the
// station starts, looks back, replays, lists and takes new jobs, and what is damaged is said.
func TestDamagedFactsStopNothing(t *testing.T) {
	dir := t.TempDir()
	whole := filepath.Join(dir, "history.db")
	r := rigAt(t, whole)
	for _, serial := range []string{"U 1", "U 2"} {
		finished(t, r, serial)
	}
	if _, err := r.StartJob(t.Context(), StartRequest{Procedure: "ring", UnitSerial: "U 3", Technician: "test"}); err != nil {
		t.Fatal(err)
	}
	r.stop()
	<-r.ended
	if err := r.store.Close(); err != nil {
		t.Fatal(err)
	}
	content, err := os.ReadFile(whole)
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(15, 11))
	found, runs := 0, damagedRuns(t)
	for run := range runs {
		path := filepath.Join(dir, fmt.Sprintf("run%d.db", run%2))
		for _, suffix := range []string{"-wal", "-shm", ".lock", ".key"} {
			_ = os.Remove(path + suffix)
		}
		if err := os.WriteFile(path, content, 0o600); err != nil {
			t.Fatal(err)
		}
		what := spoil(t, path, rng)
		if damaged := lives(t, path, what); damaged > 0 {
			found++
		}
	}
	if found == 0 {
		t.Error("no damage was found: this test spoils nothing")
	}
	t.Logf("%d of %d were found damaged, the others mean the same", found, runs)
}

// finished runs a job to its end.
func finished(t testing.TB, r *rig, serial string) {
	t.Helper()
	finishedWith(t, r, serial, "micrometer")
}

// finishedWith is the same, measured with one gauge, whose values are typed.
func finishedWith(t testing.TB, r *rig, serial, gaugeID string) {
	t.Helper()
	ctx := t.Context()
	j, err := r.StartJob(ctx, StartRequest{Procedure: "ring", UnitSerial: serial, Technician: "test", Gauges: map[string]string{"depth": gaugeID, "height": gaugeID, "end_play": gaugeID}})
	if err != nil {
		t.Fatal(err)
	}
	enter := func(measurement, shown string) {
		t.Helper()
		if _, _, err := r.Enter(ctx, EnterRequest{Job: j.ID, Measurement: measurement, Shown: shown, Unit: gauge.Millimetre, By: "test"}); err != nil {
			t.Fatal(err)
		}
	}
	enter("depth", "25.21")
	enter("depth", "25.21")
	enter("height", "23.46")
	if _, err := r.Fit(ctx, FitRequest{Job: j.ID, By: "test", Thickness: "1.60", Unit: gauge.Millimetre}); err != nil {
		t.Fatal(err)
	}
	enter("end_play", "0.15")
	if _, err := r.CloseJob(ctx, j.ID, "", "test"); err != nil {
		t.Fatal(err)
	}
}

// spoil changes one step of a job and says which.
func spoil(t *testing.T, path string, rng *rand.Rand) string {
	t.Helper()
	conn, err := sqlite3.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := conn.Close(); err != nil {
			t.Fatal(err)
		}
	}()
	stmt, _, err := conn.Prepare("SELECT seq, kind, data FROM job_facts ORDER BY seq")
	if err != nil {
		t.Fatal(err)
	}
	type step struct {
		seq  int64
		kind string
		data []byte
	}
	var steps []step
	for stmt.Step() {
		steps = append(steps, step{stmt.ColumnInt64(0), stmt.ColumnText(1), stmt.ColumnBlob(2, nil)})
	}
	if err := errors.Join(stmt.Err(), stmt.Close()); err != nil {
		t.Fatal(err)
	}
	s := steps[rng.IntN(len(steps))]
	kind, data := s.kind, damages[rng.IntN(len(damages))](rng, s.data)
	if rng.IntN(8) == 0 {
		kind, data = "unheard-of", s.data
	}
	sql := fmt.Sprintf("DROP TRIGGER IF EXISTS job_facts_keep; UPDATE job_facts SET kind = '%s', data = x'%x' WHERE seq = %d", kind, data, s.seq)
	if err := conn.Exec(sql); err != nil {
		t.Fatal(err)
	}
	return fmt.Sprintf("fact %d, %s: %q instead of %q", s.seq, kind, data, s.data)
}

// lives starts a station on a history and uses all that looks at jobs; it returns how many
// jobs are set aside.
func lives(t *testing.T, path, what string) int {
	t.Helper()
	ctx := t.Context()
	store, err := history.Open(ctx, path)
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	lib, err := library.New(ctx.Err, []library.Source{{Path: "ring.yaml", Content: []byte(testProcedure)}}, []library.Source{{Path: "rings.yaml", Content: []byte(testParts)}})
	if err != nil {
		t.Fatal(err)
	}
	s, err := New(ctx, Options{Store: store, Library: lib, Gauges: []GaugeInfo{{ID: "micrometer", Mode: gauge.ModeTyped, Unit: gauge.Millimetre, Ability: strictAbility}}, Now: func() time.Time { return time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC) }})
	if err != nil {
		t.Fatalf("%s: the station does not start: %v", what, err)
	}
	for _, id := range []string{"micrometer", "dial"} {
		if _, err := s.Health(id); err != nil && !errors.Is(err, gauge.ErrNotFound) {
			t.Errorf("%s: health of %s: %v", what, id, err)
		}
	}
	if _, err := s.Signs(ctx, "micrometer"); err != nil {
		t.Errorf("%s: signs: %v", what, err)
	}
	if _, err := s.WorkErrors(ctx); err != nil {
		t.Errorf("%s: errors of the gauges by their work: %v", what, err)
	}
	replay, err := s.ReplayVerdicts(ctx, 0)
	if err != nil {
		t.Errorf("%s: replay: %v", what, err)
	}
	if _, err := s.Jobs(ctx, gauge.JobQuery{Limit: 100}); err != nil {
		t.Errorf("%s: list of jobs: %v", what, err)
	}
	for id := uint64(1); id <= 3; id++ {
		_, err := s.Job(ctx, id)
		if s.Quarantine.Has(err); err != nil && !errors.As(err, new(*job.Damaged)) && !errors.Is(err, gauge.ErrNotFound) {
			t.Errorf("%s: job %d: %v", what, id, err)
		}
	}
	damaged := s.Quarantine.Jobs()
	if len(damaged) > 0 && len(replay.Differences) == 0 {
		t.Errorf("%s: %v is damaged, and a replay agrees", what, damaged[0])
	}
	return len(damaged)
}
