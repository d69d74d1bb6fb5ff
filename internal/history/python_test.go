package history_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os/exec"
	"path/filepath"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/history"
)

// pythonVerifier is a program that was written from docs/history.md alone.
const pythonVerifier = "../../testdata/python/verify_history.py"

// foreign runs the verifier on a history; it says nothing else where it agrees.
func foreign(t *testing.T, args ...string) (out string, agrees bool) {
	t.Helper()
	cmd := exec.Command("/usr/bin/python3", append([]string{"-B", pythonVerifier}, args...)...)
	var stdout, stderr bytes.Buffer
	cmd.Stdout, cmd.Stderr = &stdout, &stderr
	err := cmd.Run()
	if cmd.ProcessState == nil {
		t.Fatalf("%v: make setup installs what is missing", err)
	}
	if bytes.Contains(stderr.Bytes(), []byte("Traceback")) {
		t.Fatal(stderr.String())
	}
	return stdout.String() + stderr.String(), err == nil
}

// TestForeignProgramVerifies: a program that knows nothing of this one comes to the same
// digest, of all kinds of facts, of commits of every size, of facts from before the chain.
func TestForeignProgramVerifies(t *testing.T) {
	path := copyOf(t, filepath.Join(storedDir, "schema8.db"))
	s := openPlain(t, path)
	rng := rand.New(rand.NewPCG(1, 1))
	for _, size := range []int{1, 2, 3, 5, 8, 13, 1023, 1024, 1025, 2100} {
		facts := make([]gauge.Fact, size)
		for i := range facts {
			seq := s.LastSeq() + 1 + uint64(i)
			facts[i] = gauge.Fact{Seq: seq, State: &gauge.StateChange{Gauge: "dial", Time: start.AddDate(0, 0, int(seq)), State: gauge.StateLive, Reason: gauge.Plain("odd \xff\x00 text")}}
			if rng.IntN(2) == 0 {
				facts[i] = gauge.Fact{Seq: seq, Job: &gauge.JobFact{Job: seq, Kind: "started", Data: [][]byte{nil, {}, {0, 1, 255}}[rng.IntN(3)]}}
			}
		}
		mustAppend(t, s, facts...)
	}
	all := mixed(10)
	for i := range all {
		all[i].Seq = s.LastSeq() + 1 + uint64(i)
		if all[i].Reading != nil {
			all[i].Reading.Gauge += " again"
		}
		if all[i].File != nil {
			all[i].File.Content = append(all[i].File.Content, "again"...)
			all[i].File.Hash = gauge.HashContent(all[i].File.Content)
		}
	}
	unsent(all)
	mustAppend(t, s, all...)
	closeStore(t, s)
	v, err := history.CheckFile(t.Context(), path)
	if err != nil || v.Difference != nil {
		t.Fatal(v, err)
	}
	want := fmt.Sprintf("%d %x\n", v.Facts, v.Digest)
	if got, agrees := foreign(t, path, fmt.Sprint(v.Facts), fmt.Sprintf("%x", v.Digest)); !agrees || got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if got, agrees := foreign(t, path, fmt.Sprint(v.Facts-1), fmt.Sprintf("%x", v.Digest)); agrees {
		t.Errorf("another head is right: %s", got)
	}
	execSQL(t, path, "DROP TRIGGER job_facts_keep; UPDATE job_facts SET data = x'00' WHERE seq = (SELECT max(seq) FROM job_facts)")
	v, err = history.CheckFile(t.Context(), path)
	if err != nil || v.Difference == nil {
		t.Fatal(v, err)
	}
	want = fmt.Sprintf("fact %d differs\n", v.Difference.Seq)
	if got, agrees := foreign(t, path); agrees || got != want {
		t.Errorf("got  %swant %s", got, want)
	}
}

// unsent takes from facts the numbers of their senders, which a history has only once.
func unsent(facts []gauge.Fact) {
	for i := range facts {
		if facts[i].Reading != nil {
			facts[i].Reading.SourceSeq = 0
		}
		if facts[i].Reject != nil {
			facts[i].Reject.SourceSeq = 0
		}
	}
}
