package history_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/history"
	"gauged/internal/history/chain"
)

// listed writes a history of 40 jobs, each with a reading of its own gauge, and of more
// facts than a block has.
func listed(tb testing.TB) string {
	tb.Helper()
	path := filepath.Join(tb.TempDir(), "history.db")
	s := openPlain(tb, path)
	file := gauge.Fact{File: &gauge.File{Hash: gauge.HashContent([]byte("p")), Kind: "procedure", Name: "shim", Content: []byte("p")}}
	facts := []gauge.Fact{file}
	for job := uint64(1); job <= 40; job++ {
		fact := func(kind, data string) {
			facts = append(facts, gauge.Fact{Job: &gauge.JobFact{Job: job, Kind: kind, Time: start.Add(time.Duration(job) * time.Minute), By: "Ann", Data: []byte(data)}})
		}
		fact("started", fmt.Sprintf(`{"unit_serial":"U-%d","procedure_hash":%q}`, job, file.File.Hash))
		facts = append(facts, reading(0, fmt.Sprintf("gauge-%d", job), 1))
		fact("taken", fmt.Sprintf(`{"reading":%d}`, len(facts)))
		fact("verdict", `{"outcome":"does not conform"}`)
		if job%2 == 0 {
			fact("serial", fmt.Sprintf(`{"unit_serial":"V-%d"}`, job))
		}
		if job%4 == 0 {
			fact("labelled", fmt.Sprintf(`{"labels":{"order":"A-%d","customer":"Miller"}}`, job))
		}
		if job%3 == 0 {
			fact("aside", "{}")
		}
		if job%5 == 0 {
			fact("closed", "{}")
		}
	}
	for n := uint64(1); len(facts) < 1100; n++ {
		facts = append(facts, reading(0, "a", n))
	}
	for i := range facts {
		facts[i].Seq = uint64(i) + 1
	}
	mustAppend(tb, s, facts...)
	closeStore(tb, s)
	return path
}

var listTampers = map[string]string{
	"": "",
	"DELETE FROM job_gauges WHERE job = 7; UPDATE jobs SET outcome = 'conforms' WHERE job = 7": `jobs has job 7 with outcome "conforms", the facts say "does not conform"; job_gauges lacks job 7 with gauge "gauge-7"`,
	"INSERT INTO job_gauges (gauge, job) VALUES ('x', 7)":                                      `job_gauges has job 7 with gauge "x", the facts have none`,
	"DELETE FROM jobs WHERE job = 3":                                                           `jobs lacks job 3`,
	"UPDATE jobs SET aside = 0, closed = 1 WHERE job = 9":                                      `jobs has job 9 with closed 1, the facts say 0; jobs has job 9 with aside 0, the facts say 1`,
	"UPDATE jobs SET started = NULL WHERE job = 9":                                             `jobs has job 9 with started nothing, the facts say 1772435340123456789`,
	"DELETE FROM job_units WHERE job = 4 AND key LIKE 'V%'":                                    `job_units lacks job 4 with key `,
	"DELETE FROM job_labels WHERE job = 4 AND key LIKE 'order=%'":                              `job_labels lacks job 4 with key "order=A4"`,
	"INSERT INTO job_labels (key, job) VALUES ('order=A1', 4)":                                 `job_labels has job 4 with key "order=A1", the facts have none`,
	"INSERT INTO jobs VALUES (5000, 1, 'u', 'p', '', 0, 0, 0)":                                 `jobs has job 5000, the facts have none`,
	"UPDATE spans SET most = least":                                                            `spans has last 1024 with most`,
	"DELETE FROM spans":                                                                        `spans lacks last 1024`,
	"INSERT INTO spans VALUES (77, 1, 2)":                                                      `spans has last 77, the facts have none`,
}

// TestVerifyComparesTheLists: a list that says something else than the facts is found, and
// each row of it is named.
func TestVerifyComparesTheLists(t *testing.T) {
	path := listed(t)
	for sql, want := range listTampers {
		file := copyOf(t, path)
		changeSQL(t, file, sql)
		v, err := history.CheckFile(t.Context(), file)
		switch {
		case err != nil:
			t.Fatal(err)
		case sql == "" && v.Difference != nil:
			t.Errorf("nothing was changed: %s", v.Difference)
		case sql != "" && (v.Difference == nil || v.Difference.What != chain.Relisted || !strings.HasPrefix(v.Difference.Detail, want)):
			t.Errorf("%s:\ngot  %v\nwant %s", sql, v.Difference, want)
		}
	}
}

// TestVerifyComparesWhatStandsBesideTheFacts: requests and stretches of facts that are not
// there are named.
func TestVerifyComparesWhatStandsBesideTheFacts(t *testing.T) {
	path := listed(t)
	for sql, want := range map[string]string{
		"INSERT INTO requests VALUES ('r', 'h', 5, 5000)":        `requests has id "r" with facts 5 to 5000, the facts end with 1100`,
		"UPDATE stretches SET after = 9000 WHERE number = 1":     `stretches has number 1 after fact 9000, the facts end with 1100`,
		"INSERT INTO stretches (after) VALUES (1000), (3)":       `stretches has number 3 after fact 3, the facts end with 1100`,
		"INSERT INTO requests VALUES ('good', 'h', 1100, 1100);": "",
	} {
		file := copyOf(t, path)
		changeSQL(t, file, sql)
		v, err := history.CheckFile(t.Context(), file)
		if err != nil {
			t.Fatal(err)
		}
		if got := v.Difference; want == "" && got != nil || want != "" && (got == nil || got.Detail != want) {
			t.Errorf("%s: %v, want %q", sql, got, want)
		}
	}
}

// TestOpeningMakesListsAnew: where lists say something else than the facts
// they are made anew at the opening, on a copy and where they were known before; what was
// found is said.
func TestOpeningMakesListsAnew(t *testing.T) {
	path := listed(t)
	for sql, want := range listTampers {
		for _, beside := range []bool{false, true} {
			file := copyOf(t, path)
			if beside {
				content, err := os.ReadFile(path + ".known")
				if err == nil {
					err = os.WriteFile(file+".known", content, 0o600)
				}
				if err != nil {
					t.Fatal(err)
				}
			}
			changeSQL(t, file, sql)
			s := openPlain(t, file)
			found := strings.Join(s.Found(), "\n")
			if sql == "" && found != "" || sql != "" && !strings.Contains(found, want) {
				t.Errorf("%s: found %q, want %q", sql, found, want)
			}
			if v, err := s.Verify(t.Context()); err != nil || v.Difference != nil {
				t.Errorf("%s: after the opening: %+v, %v", sql, v.Difference, err)
			}
			jobs, err := s.JobNumbers(t.Context(), gauge.JobQuery{Gauge: "gauge-7", Outcome: "does not conform", Limit: 5})
			if err != nil || len(jobs) != 1 {
				t.Errorf("%s: jobs of the gauge: %v, %v", sql, jobs, err)
			}
			closeStore(t, s)
			s = openPlain(t, file)
			if len(s.Found()) > 0 {
				t.Errorf("%s: found again: %q", sql, s.Found())
			}
			closeStore(t, s)
		}
	}
}

// TestOpeningMakesTriggersAnew: what would swallow facts, or let them be changed, is found
// and put right before anything is stored.
func TestOpeningMakesTriggersAnew(t *testing.T) {
	path := listed(t)
	for sql, want := range map[string]string{
		"CREATE TRIGGER swallow BEFORE INSERT ON readings BEGIN SELECT RAISE(IGNORE); END": "trigger swallow was added",
		"CREATE TRIGGER swallow BEFORE INSERT ON jobs BEGIN SELECT RAISE(IGNORE); END":     "trigger swallow was added",
		"CREATE TRIGGER none BEFORE INSERT ON stretches BEGIN SELECT RAISE(IGNORE); END":   "trigger none was added",
		"DROP TRIGGER readings_keep; DROP TRIGGER jobs_close":                              "trigger jobs_close is missing, trigger readings_keep is missing",
		"DROP VIEW fact_times; CREATE VIEW fact_times (seq, time) AS SELECT 1, 2":          "view fact_times is another",
		"DROP INDEX readings_source": "index readings_source is missing",
		"CREATE TABLE more (a)":      "table more was added",
	} {
		file := copyOf(t, path)
		execSQL(t, file, sql)
		s := openPlain(t, file)
		if found := strings.Join(s.Found(), "\n"); !strings.Contains(found, want) {
			t.Errorf("%s: found %q", sql, found)
		}
		last := s.LastSeq()
		mustAppend(t, s,
			gauge.Fact{Seq: last + 1, Reading: reading(last+1, "b", 1).Reading},
			gauge.Fact{Seq: last + 2, Job: &gauge.JobFact{Job: 41, Kind: "started", Time: start, By: "Ann", Data: []byte(`{"unit_serial":"U-41"}`)}},
			gauge.Fact{Seq: last + 3, Job: &gauge.JobFact{Job: 41, Kind: "closed", Time: start, By: "Ann", Data: []byte(`{}`)}},
		)
		v, err := s.Verify(t.Context())
		if err != nil || v.Facts != last+3 || v.Difference != nil && want != "table more was added" {
			t.Errorf("%s: after the opening: %+v, %+v, %v", sql, v, v.Difference, err)
		}
		closeStore(t, s)
	}
}

// BenchmarkOpenJobs opens a history of 100,000 jobs that was open before, and a copy of it,
// whose lists are not known.
func BenchmarkOpenJobs(b *testing.B) {
	n := uint64(100_000)
	if testing.Short() {
		n = 2000
	}
	path := filepath.Join(b.TempDir(), "history.db")
	closeStore(b, fillJobs(b, path, n))
	closeStore(b, openPlain(b, path))
	for _, known := range []bool{true, false} {
		b.Run(fmt.Sprintf("known=%v", known), func(b *testing.B) {
			for b.Loop() {
				if !known {
					b.StopTimer()
					if err := os.Remove(path + ".known"); err != nil {
						b.Fatal(err)
					}
					b.StartTimer()
				}
				closeStore(b, openPlain(b, path))
			}
		})
	}
}
