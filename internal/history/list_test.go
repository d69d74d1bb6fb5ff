package history_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/ncruces/go-sqlite3"
	"github.com/ncruces/go-sqlite3/driver"

	"gauged/internal/gauge"
	"gauged/internal/history"
	"gauged/internal/historytest"
)

// jumping is a history of six thousand facts whose clock mostly goes on, sometimes jumps,
// and is unknown now and then.
func jumping(random *rand.Rand) []gauge.Fact {
	var facts []gauge.Fact
	numbers, clock := map[string]uint64{}, start
	gauges := []string{"a", "a", "a", "b", "rare"}
	for seq := uint64(1); seq <= 6000; seq++ {
		clock = clock.Add(time.Minute)
		at := clock
		switch random.IntN(400) {
		case 0:
			at = at.Add(-time.Duration(random.IntN(3000)) * time.Minute)
		case 1:
			at = at.AddDate(9, 0, 0)
		case 2:
			at = time.Time{}
		case 3:
			clock = clock.Add(-200 * time.Minute)
		}
		id := gauges[random.IntN(len(gauges))]
		if id == "rare" && random.IntN(50) > 0 {
			id = "a"
		}
		switch kind := random.IntN(10); {
		case kind < 5:
			numbers[id]++
			f := reading(seq, id, numbers[id])
			f.Reading.Time = at
			facts = append(facts, f)
		case kind < 7:
			facts = append(facts, gauge.Fact{Seq: seq, Reject: &gauge.Reject{Gauge: id, Time: at, Reason: gauge.ReasonNoise}})
		case kind < 8:
			facts = append(facts, gauge.Fact{Seq: seq, State: &gauge.StateChange{Gauge: id, Time: at, State: gauge.StateLive}})
		default:
			facts = append(facts, gauge.Fact{Seq: seq, Gauge: &gauge.GaugeFact{Gauge: id, Time: at, Kind: []string{"checked", "studied"}[kind-8], Data: []byte("{}")}})
		}
	}
	return facts
}

// TestListsOfATime: each list gives, page after page, what looking at every fact gives.
func TestListsOfATime(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	facts := jumping(random)
	s := historytest.Open(t)
	for part := range slices.Chunk(facts, 700) {
		mustAppend(t, s, part...)
	}
	lists := map[string]struct {
		read func(gauge.Query) ([]gauge.Fact, error)
		of   func(gauge.Fact) (id string, at time.Time, is bool)
	}{
		"readings": {
			func(q gauge.Query) ([]gauge.Fact, error) { return s.ReadingsOf(t.Context(), q) },
			func(f gauge.Fact) (string, time.Time, bool) {
				if f.Reading == nil {
					return "", time.Time{}, false
				}
				return f.Reading.Gauge, f.Reading.Time, true
			},
		},
		"rejects": {
			func(q gauge.Query) ([]gauge.Fact, error) { return s.RejectsOf(t.Context(), q) },
			func(f gauge.Fact) (string, time.Time, bool) {
				if f.Reject == nil {
					return "", time.Time{}, false
				}
				return f.Reject.Gauge, f.Reject.Time, true
			},
		},
		"states": {
			func(q gauge.Query) ([]gauge.Fact, error) { return s.StatesOf(t.Context(), q) },
			func(f gauge.Fact) (string, time.Time, bool) {
				if f.State == nil {
					return "", time.Time{}, false
				}
				return f.State.Gauge, f.State.Time, true
			},
		},
		"studies": {
			func(q gauge.Query) ([]gauge.Fact, error) { return s.GaugeFactsOf(t.Context(), "studied", q) },
			func(f gauge.Fact) (string, time.Time, bool) {
				if f.Gauge == nil || f.Gauge.Kind != "studied" {
					return "", time.Time{}, false
				}
				return f.Gauge.Gauge, f.Gauge.Time, true
			},
		},
	}
	moment := func() time.Time {
		if random.IntN(5) == 0 {
			return time.Time{}
		}
		return start.Add(time.Duration(random.IntN(6000)-200) * time.Minute)
	}
	for range 60 {
		q := gauge.Query{Gauge: []string{"", "a", "b", "rare", "none"}[random.IntN(5)], Times: gauge.Times{Since: moment(), Until: moment()}, After: random.Uint64N(7000)}
		for name, l := range lists {
			want := slices.DeleteFunc(slices.Clone(facts), func(f gauge.Fact) bool {
				id, at, is := l.of(f)
				return !is || f.Seq <= q.After || q.Gauge != "" && id != q.Gauge || !q.Times.Open() && (at.IsZero() || !q.Has(at))
			})
			var found []gauge.Fact
			for page := q; ; {
				page.Limit = 1 + random.IntN(900)
				next, err := l.read(page)
				if err != nil {
					t.Fatal(err)
				}
				found = append(found, next...)
				if len(next) < page.Limit {
					break
				}
				page.After = next[len(next)-1].Seq
			}
			if diff := differ(want, found); diff != "" {
				t.Fatalf("%s of %+v: %s", name, q, diff)
			}
		}
	}
}

// jobSteps are jobs in every state that a list can ask for.
func jobSteps() []gauge.Fact {
	var facts []gauge.Fact
	add := func(f gauge.Fact) { f.Seq = uint64(len(facts) + 1); facts = append(facts, f) }
	step := func(job uint64, kind, data string) {
		add(gauge.Fact{Job: &gauge.JobFact{Job: job, Kind: kind, Time: start.Add(time.Duration(job) * time.Hour), Data: []byte(data)}})
	}
	hashes := map[string]string{}
	for _, name := range []string{"ring", "shim"} {
		hashes[name] = gauge.HashContent([]byte(name))
		add(gauge.Fact{File: &gauge.File{Hash: hashes[name], Kind: "procedure", Name: name, Content: []byte(name)}})
	}
	add(reading(uint64(len(facts)+1), "dial", 1))
	for job := uint64(1); job <= 1100; job++ {
		name := []string{"ring", "shim"}[job%2]
		step(job, "started", fmt.Sprintf(`{"unit_serial":"unit %d","procedure_hash":%q,"labels":{"order":"A %d","customer":"Miller & Co"}}`, job%10, hashes[name], job/10))
		if job%3 == 0 {
			step(job, "taken", `{"reading":3}`)
		}
		if job%4 > 0 {
			step(job, "verdict", fmt.Sprintf(`{"outcome":%q}`, []string{"conforms", "undecided"}[job%2]))
		}
		if job%5 == 0 {
			step(job, "discarded", `{"reading":3}`)
		}
		if job%7 > 0 {
			step(job, "closed", "{}")
		}
	}
	step(1101, "started", "not JSON")
	step(1101, "verdict", "nor this")
	return facts
}

// TestJobNumbers: jobs are chosen by each of their properties, the newest first.
func TestJobNumbers(t *testing.T) {
	s := historytest.Open(t)
	mustAppend(t, s, jobSteps()...)
	for name, c := range map[string]struct {
		q    gauge.JobQuery
		want func(job uint64) bool
	}{
		"all":               {gauge.JobQuery{}, func(uint64) bool { return true }},
		"open":              {gauge.JobQuery{Open: true}, func(j uint64) bool { return j%7 == 0 || j == 1101 }},
		"unit":              {gauge.JobQuery{Unit: "unit 7"}, func(j uint64) bool { return j%10 == 7 && j <= 1100 }},
		"procedure":         {gauge.JobQuery{Procedure: "shim"}, func(j uint64) bool { return j%2 == 1 && j <= 1100 }},
		"outcome":           {gauge.JobQuery{Outcome: "conforms"}, func(j uint64) bool { return j%4 > 0 && j%2 == 0 }},
		"measuring":         {gauge.JobQuery{Outcome: "measuring"}, func(j uint64) bool { return j%4 == 0 || j%5 == 0 || j == 1101 }},
		"unfinished":        {gauge.JobQuery{Unfinished: true}, func(j uint64) bool { return (j%4 == 0 || j%5 == 0) && j%7 > 0 }},
		"gauge":             {gauge.JobQuery{Gauge: "dial"}, func(j uint64) bool { return j%3 == 0 && j <= 1100 }},
		"before":            {gauge.JobQuery{Before: 7}, func(j uint64) bool { return j < 7 }},
		"since":             {gauge.JobQuery{Times: gauge.Times{Since: start.Add(1000 * time.Hour)}}, func(j uint64) bool { return j >= 1000 }},
		"until":             {gauge.JobQuery{Times: gauge.Times{Until: start.Add(5 * time.Hour)}}, func(j uint64) bool { return j < 5 }},
		"order":             {gauge.JobQuery{Labels: map[string]string{"order": "a-42"}}, func(j uint64) bool { return j/10 == 42 }},
		"order and others":  {gauge.JobQuery{Labels: map[string]string{"order": "A42", "customer": "MILLER &CO"}, Gauge: "dial"}, func(j uint64) bool { return j/10 == 42 && j%3 == 0 }},
		"customer and unit": {gauge.JobQuery{Labels: map[string]string{"customer": "miller & co"}, Unit: "unit 7"}, func(j uint64) bool { return j%10 == 7 && j <= 1100 }},
		"all of it at once": {gauge.JobQuery{Unit: "unit 6", Procedure: "ring", Outcome: "conforms", Gauge: "dial", Before: 900, Times: gauge.Times{Since: start.Add(30 * time.Hour)}}, func(j uint64) bool { return j%10 == 6 && j%4 > 0 && j%3 == 0 && j < 900 && j >= 30 }},
	} {
		var want []uint64
		for job := uint64(1101); job > 0; job-- {
			if c.want(job) && (c.q.Before == 0 || job < c.q.Before) {
				want = append(want, job)
			}
		}
		c.q.Limit = history.MaxPage
		found, err := s.JobNumbers(t.Context(), c.q)
		if err != nil || !slices.Equal(found, want) {
			t.Errorf("%s: %v %v\nwant %v", name, found, err, want)
		}
		c.q.Limit = 2
		if found, err = s.JobNumbers(t.Context(), c.q); err != nil || !slices.Equal(found, want[:2]) {
			t.Errorf("two of %s: %v %v", name, found, err)
		}
	}
}

// TestUpgradeFindsTheSame: a history of before gets from the upgrade what it would have
// got entry by entry.
func TestUpgradeFindsTheSame(t *testing.T) {
	text, err := os.ReadFile("schema/00005_calls.sql")
	if err != nil {
		t.Fatal(err)
	}
	begin, end := strings.Index(string(text), "CREATE VIEW"), strings.Index(string(text), "CREATE INDEX gauge_facts_kind")
	for name, facts := range map[string][]gauge.Fact{"jobs": jobSteps(), "times": jumping(rand.New(rand.NewPCG(3, 4)))} {
		path := filepath.Join(t.TempDir(), "h.db")
		s := openPlain(t, path)
		mustAppend(t, s, facts...)
		closeStore(t, s)
		conn, err := sqlite3.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		before := derived(t, conn)
		if err := conn.Exec("DROP VIEW fact_times; DROP TABLE spans; DROP TABLE jobs; " + string(text[begin:end])); err != nil {
			t.Fatal(err)
		}
		if after := derived(t, conn); len(before) < 5 || !slices.Equal(before, after) {
			t.Errorf("%s: %d rows came entry by entry, %d by the upgrade", name, len(before), len(after))
		}
		if err := conn.Close(); err != nil {
			t.Fatal(err)
		}
	}
}

// derived are the rows of what follows from the facts.
func derived(t *testing.T, conn *sqlite3.Conn) (rows []string) {
	t.Helper()
	stmt, _, err := conn.Prepare(`SELECT last || ' ' || least || ' ' || most FROM spans UNION ALL
		SELECT job || ' ' || started || ' ' || unit || ' ' || procedure || ' ' || outcome || ' ' || unspoken || ' ' || closed FROM jobs`)
	if err != nil {
		t.Fatal(err)
	}
	for stmt.Step() {
		rows = append(rows, stmt.ColumnText(0))
	}
	if err := stmt.Close(); err != nil {
		t.Fatal(err)
	}
	slices.Sort(rows)
	return rows
}

// TestRequests: a request is stored with its facts or not at all, and its id once.
func TestRequests(t *testing.T) {
	path := filepath.Join(t.TempDir(), "h.db")
	s := historytest.OpenAt(t, path)
	asked := gauge.Request{ID: "one", Hash: "hash", First: 1, Last: 2}
	if err := s.Append(t.Context(), readings(0, 2), asked); err != nil {
		t.Fatal(err)
	}
	if err := s.Append(t.Context(), readings(2, 1), gauge.Request{ID: "two"}, gauge.Request{ID: "one"}); !errors.Is(err, history.ErrDuplicate) {
		t.Fatalf("an id twice: %v", err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	s = historytest.OpenAt(t, path)
	if found, known, err := s.Request(t.Context(), "one"); err != nil || !known || found != asked {
		t.Errorf("%+v %v %v", found, known, err)
	}
	if found, known, err := s.Request(t.Context(), "two"); err != nil || known {
		t.Errorf("%+v %v %v", found, known, err)
	}
	if s.LastSeq() != 2 {
		t.Errorf("%d facts are stored", s.LastSeq())
	}
	mustAppend(t, s, readings(2, 1)...)
}

// TestSize: the size names the schema of the program.
func TestSize(t *testing.T) {
	s := historytest.Open(t)
	mustAppend(t, s, readings(0, 100)...)
	size, err := s.Size(t.Context())
	if err != nil || size.Schema != len(stored) || size.Bytes < 20_000 {
		t.Errorf("%+v %v", size, err)
	}
}

// TestListsWithinBytes: a list of long frames ends at the one with which they are too long
// together, and goes on from there; a span of time changes nothing in that.
func TestListsWithinBytes(t *testing.T) {
	s := historytest.Open(t)
	facts := readings(0, 3000) // over the blocks that spans are kept of
	for i := range facts {
		facts[i].Reading.Raw = make([]byte, 100)
	}
	mustAppend(t, s, facts...)
	for name, times := range map[string]gauge.Times{"all": {}, "a span": {Since: start}} {
		for _, id := range []string{"", "bench"} {
			var got []gauge.Fact
			for pages := 0; ; pages++ {
				after := uint64(len(got))
				page, err := s.ReadingsOf(t.Context(), gauge.Query{Gauge: id, Times: times, After: after, Limit: 10_000, Bytes: 20_000})
				if err != nil {
					t.Fatal(err)
				}
				if len(page) > 201 {
					t.Fatalf("%s: %d facts on a page", name, len(page))
				}
				if got = append(got, page...); len(page) < 201 {
					break
				}
			}
			if diff := differ(facts, got); diff != "" {
				t.Errorf("%s of %q: %s", name, id, diff)
			}
		}
	}
}

// TestSendersAreFoundByTheirName: what an unknown sender sent is not looked for among what
// all others did.
func TestSendersAreFoundByTheirName(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	if err := openPlain(t, path).Close(); err != nil {
		t.Fatal(err)
	}
	db, err := driver.Open("file:" + path)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for _, table := range []string{"readings", "rejects"} {
		var id, parent, unused int
		var plan string
		const query = "EXPLAIN QUERY PLAN SELECT source_seq FROM %s WHERE source = 'x' AND source_seq > 0 ORDER BY source_seq DESC LIMIT 1"
		if err := db.QueryRowContext(t.Context(), fmt.Sprintf(query, table)).Scan(&id, &parent, &unused, &plan); err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(plan, "(source=?") {
			t.Errorf("%s: %s", table, plan)
		}
	}
}
