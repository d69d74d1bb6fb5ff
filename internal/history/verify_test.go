package history_test

import (
	"errors"
	"path/filepath"
	"testing"

	"github.com/ncruces/go-sqlite3"

	"gauged/internal/gauge"
	"gauged/internal/history"
	"gauged/internal/history/chain"
	"gauged/internal/historytest"
)

// unlocked lets a test change what the triggers keep.
const unlocked = `DROP TRIGGER readings_keep; DROP TRIGGER readings_stay; DROP TRIGGER states_keep; DROP TRIGGER states_stay;
	DROP TRIGGER job_facts_keep; DROP TRIGGER job_facts_stay; DROP TRIGGER files_keep; DROP TRIGGER chain_keep; DROP TRIGGER chain_stay;
	DROP TRIGGER gauge_facts_keep; DROP TRIGGER releases_keep; DROP TRIGGER rejects_keep; `

// changeSQL changes what the triggers keep, and puts them back.
func changeSQL(t *testing.T, path, sql string) {
	t.Helper()
	conn, err := sqlite3.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = conn.Close() }()
	stmt, _, err := conn.Prepare("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'")
	if err != nil {
		t.Fatal(err)
	}
	var drop, create string
	for stmt.Step() {
		drop += "DROP TRIGGER " + stmt.ColumnText(0) + ";"
		create += stmt.ColumnText(1) + ";"
	}
	if err := errors.Join(stmt.Close(), conn.Exec(drop+sql), conn.Exec(create)); err != nil {
		t.Fatal(err)
	}
}

// TestVerifyNamesWhatIsNotOurs: a table, column, index, trigger or view that somebody has
// added, changed or taken away is named, where all facts are what was stored.
func TestVerifyNamesWhatIsNotOurs(t *testing.T) {
	for sql, want := range map[string]string{
		"CREATE TABLE more (a)":                                                    "table more was added",
		"CREATE TABLE sqlite2 (a)":                                                 "table sqlite2 was added",
		"ALTER TABLE readings ADD COLUMN more TEXT":                                "table readings is another",
		"CREATE INDEX more ON readings (value)":                                    "index more was added",
		"CREATE TRIGGER more AFTER INSERT ON readings BEGIN SELECT 1; END":         "trigger more was added",
		"CREATE TRIGGER more AFTER INSERT ON goose_db_version BEGIN SELECT 1; END": "trigger more was added",
		"CREATE VIEW more AS SELECT 1":                                             "view more was added",
		"DROP TRIGGER readings_keep":                                               "trigger readings_keep is missing",
		"DROP TRIGGER readings_keep; CREATE TRIGGER readings_keep AFTER INSERT ON readings BEGIN SELECT 1; END": "trigger readings_keep is another",
	} {
		path := chained(t)
		execSQL(t, path, sql)
		v, err := history.CheckFile(t.Context(), path)
		if err != nil || v.Difference == nil || v.Difference.What != chain.Rebuilt || v.Difference.Detail != want || v.Facts == 0 {
			t.Errorf("%s: %+v, %v; want %q", sql, v.Difference, err, want)
		}
	}
}

// chained writes a history of 30 facts in commits of three sizes: 1 to 8 are of all kinds,
// the others readings.
func chained(tb testing.TB) string {
	tb.Helper()
	path := filepath.Join(tb.TempDir(), "history.db")
	s := openPlain(tb, path)
	facts := mixed(10)
	mustAppend(tb, s, facts...)
	next := s.LastSeq()
	for _, size := range []int{1, 10, 1} {
		batch := make([]gauge.Fact, size)
		for i := range batch {
			next++
			batch[i] = reading(next, "a", 3+next-uint64(len(facts)))
		}
		mustAppend(tb, s, batch...)
	}
	closeStore(tb, s)
	return path
}

// TestVerifyNamesTheFirstDifference: whatever is done to a history with a shell of the
// database, the walk names the fact.
func TestVerifyNamesTheFirstDifference(t *testing.T) {
	tests := []struct {
		name, sql string
		want      chain.Difference
	}{
		{"nothing", "", chain.Difference{}},
		{"a value", "UPDATE readings SET value = value + 1 WHERE seq = 15", chain.Difference{What: chain.Changed, Seq: 15, Kind: "readings", Gauge: "a"}},
		{"a time", "UPDATE readings SET time = time - 1 WHERE seq = 3", chain.Difference{What: chain.Changed, Seq: 3, Kind: "readings", Gauge: "a"}},
		{"NULL for a time", "UPDATE readings SET time = NULL WHERE seq = 15", chain.Difference{What: chain.Changed, Seq: 15, Kind: "readings", Gauge: "a"}},
		{"two of them, the first is named", "UPDATE readings SET value = 0 WHERE seq IN (20, 15)", chain.Difference{What: chain.Changed, Seq: 15, Kind: "readings", Gauge: "a"}},
		{"a word of a job", "UPDATE job_facts SET by = 'somebody'", chain.Difference{What: chain.Changed, Kind: "job_facts", Job: 3}},
		{"one missing", "DELETE FROM readings WHERE seq = 16", chain.Difference{What: chain.Missing, Seq: 16}},
		{"one missing, closed up", "DELETE FROM readings WHERE seq = 16; UPDATE readings SET seq = seq - 1 WHERE seq > 16", chain.Difference{What: chain.Moved, Seq: 16, Other: 17, Kind: "readings", Gauge: "a"}},
		{"two changed places", "UPDATE readings SET seq = 99 WHERE seq = 15; UPDATE readings SET seq = 15 WHERE seq = 17; UPDATE readings SET seq = 17 WHERE seq = 99", chain.Difference{What: chain.Moved, Seq: 15, Other: 17, Kind: "readings", Gauge: "a"}},
		{"one put in", "UPDATE readings SET seq = -seq-1 WHERE seq > 15; UPDATE readings SET seq = -seq WHERE seq < 0; INSERT INTO states VALUES (16, 'x', 5, 'live', '')", chain.Difference{What: chain.Inserted, Seq: 16, Other: 17, Kind: "states", Gauge: "x"}},
		{"one doubled", "INSERT INTO states VALUES (16, 'x', 5, 'live', '')", chain.Difference{What: chain.Doubled, Seq: 16, Kind: "states", Gauge: "x"}},
		{"one behind the end", "INSERT INTO states VALUES (500, 'x', 5, 'live', '')", chain.Difference{What: chain.Added, Seq: 500, Kind: "states", Gauge: "x"}},
		{"one before the first", "INSERT INTO states VALUES (-5, 'x', 5, 'live', '')", chain.Difference{What: chain.Added, Kind: "states"}},
		{"a link missing", "DELETE FROM chain WHERE last = (SELECT min(last) FROM chain WHERE last > 15)", chain.Difference{What: chain.Unlinked}},
		{"a digest", "UPDATE chain SET digest = zeroblob(32) WHERE last = (SELECT min(last) FROM chain WHERE last > 15)", chain.Difference{What: chain.Broken}},
		{"marks", "UPDATE chain SET marks = zeroblob(length(marks)) WHERE last = (SELECT min(last) FROM chain WHERE last > 15)", chain.Difference{What: chain.Remarked}},
		{"marks cut", "UPDATE chain SET marks = zeroblob(5) WHERE last = (SELECT min(last) FROM chain WHERE last > 15)", chain.Difference{What: chain.Broken}},
		{"said to be an upgrade", "UPDATE chain SET upgrade = 1 WHERE last > 15", chain.Difference{What: chain.Broken}},
		{"the whole identity", "UPDATE history SET id = lower(hex(randomblob(16)))", chain.Difference{What: chain.Broken}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			path := chained(t)
			changeSQL(t, path, test.sql)
			v, err := history.CheckFile(t.Context(), path)
			if err != nil {
				t.Fatal(err)
			}
			if test.sql == "" {
				if v.Difference != nil || v.Facts != uint64(len(mixed(10)))+12 {
					t.Errorf("%+v, %+v", v, v.Difference)
				}
				return
			}
			if v.Difference == nil {
				t.Fatalf("no difference was found, %d facts agree", v.Facts)
			}
			got, want := *v.Difference, test.want
			if want.Seq == 0 {
				got.Seq, got.Through = 0, 0 // where it stands depends on the sample
			}
			if got.Time = want.Time; want.Job == 0 {
				got.Job = 0
			}
			if got != want {
				t.Errorf("got  %+v\nwant %+v", got, want)
			}
		})
	}
}

// TestVerifyAnOpenHistory walks along the chain while facts are stored, commits of more
// facts than a link has among them.
func TestVerifyAnOpenHistory(t *testing.T) {
	s := historytest.Open(t)
	mustAppend(t, s, readings(0, 3000)...)
	mustAppend(t, s, readings(3000, 1)...)
	v, err := s.Verify(t.Context())
	if err != nil || v.Difference != nil || v.Facts != 3001 || v.Upgraded != 0 {
		t.Errorf("%+v, %v", v, err)
	}
}

// TestVerifyAfterAnUpgrade: facts of a history that had no chain are covered from then on.
func TestVerifyAfterAnUpgrade(t *testing.T) {
	path := copyOf(t, filepath.Join(storedDir, "schema8.db"))
	s := historytest.OpenAt(t, path)
	last := s.LastSeq()
	mustAppend(t, s, reading(last+1, "a", 4))
	v, err := s.Verify(t.Context())
	if err != nil || v.Difference != nil || v.Facts != last+1 || v.Upgraded != last {
		t.Errorf("%+v, %v", v, err)
	}
}

// TestHeadTellsOfACutTail: what was cut off with its links is found by a head, and by
// nothing else.
func TestHeadTellsOfACutTail(t *testing.T) {
	path := chained(t)
	v, err := history.CheckFile(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	head := chain.Head{Seq: v.Facts, Digest: v.Digest[:]}
	other := head
	other.Digest = make([]byte, 32)
	between := chain.Head{Seq: v.Facts - 2, Digest: v.Digest[:]}
	for _, test := range []struct {
		head chain.Head
		sql  string
		want chain.Deviation
	}{
		{head, "", ""},
		{other, "", chain.OtherEnd},
		{between, "", chain.OtherEnd},
		{head, "DELETE FROM chain WHERE last > 20; DELETE FROM readings WHERE seq > (SELECT max(last) FROM chain)", chain.CutShort},
	} {
		changeSQL(t, path, test.sql)
		v, err := history.CheckFile(t.Context(), path, test.head)
		switch {
		case err != nil:
			t.Fatal(err)
		case test.want == "" && (v.Difference != nil || len(v.Held) != 1):
			t.Errorf("%+v differs from its own head: %+v", v, v.Difference)
		case test.want != "" && (v.Difference == nil || v.Difference.What != test.want || len(v.Held) != 0):
			t.Errorf("%s: %+v", test.want, v.Difference)
		}
		if test.want == chain.CutShort {
			if v, err := history.CheckFile(t.Context(), path); err != nil || v.Difference != nil {
				t.Errorf("without the head: %+v, %v", v, err)
			}
		}
	}
}
