package main

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	pb "gauged/api/gauged/v1"
	"gauged/internal/gauge"
)

// buildPrograms builds both programs into a directory of the test.
func buildPrograms(t testing.TB) (gauged, gaugectl string) {
	t.Helper()
	dir := t.TempDir()
	build := exec.Command("go", "build", "-o", dir, "../gauged", "../gaugectl")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("build: %v\n%s", err, out)
	}
	return filepath.Join(dir, "gauged"), filepath.Join(dir, "gaugectl")
}

// startProcess runs the real program instead of the daemon in this process.
func (tr *trial) startProcess(gauged string) *exec.Cmd {
	tr.t.Helper()
	cmd := exec.Command(gauged, "--config", tr.path("station.yaml"))
	cmd.Stderr = tr.log
	if err := cmd.Start(); err != nil {
		tr.t.Fatal(err)
	}
	tr.connect()
	return cmd
}

func killed(t *testing.T, cmd *exec.Cmd) {
	t.Helper()
	if err := cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	if err := cmd.Wait(); err == nil {
		t.Fatal("the daemon ended by itself before it was killed")
	}
}

// TestKillInMidJob kills the daemon after every reading that was
// acknowledged, on the wire and typed in. It proves that recovery keeps what
// was acknowledged and that the job goes on; what a power cut leaves is tested
// in package history.
func TestKillInMidJob(t *testing.T) {
	gauged, gaugectl := buildPrograms(t)
	tr := newTrial(t, socket+"PROCEDURES\ngauges:\n  depth: {layout: value-with-unit, port: depth}\n")
	line := tr.plug("depth")
	daemon := tr.startProcess(gauged)
	answer, err := tr.jobs().StartJob(t.Context(), &pb.StartJobRequest{
		ProcedureId: "output-shaft-ring", UnitSerial: "K-1", By: "test",
		GaugeIds: map[string]string{"case_depth": "depth", "boss_height": "depth"},
	})
	if err != nil {
		t.Fatal(err)
	}
	id := answer.GetJob().GetId()
	for i, frame := range []string{"+046.415", "+046.412", "+046.418", "+045.030", "+045.036"} {
		tr.live("depth")
		time.Sleep(gauge.PressedTwiceWithin) // the hand brings the gauge to the next place
		if _, err := fmt.Fprintf(line, "%s mm\r\n", frame); err != nil {
			t.Fatal(err)
		}
		tr.await("the reading is taken", func() bool { return taken(tr.job(id)) == i+1 })
		killed(t, daemon)
		_ = tr.conn.Close()
		daemon = tr.startProcess(gauged)
		if n := taken(tr.job(id)); n != i+1 {
			t.Fatalf("after kill %d the job has %d readings, acknowledged were %d", i+1, n, i+1)
		}
	}
	if got := len(tr.readings()); got != 5 {
		t.Errorf("%d readings are stored, acknowledged were 5", got)
	}
	finishWithSession(t, tr, gaugectl, id)
	killed(t, daemon)
}

// TestRepeatAfterKill kills the daemon after it has stored a request, as if the answer had
// been lost with it. The same request to the next daemon stores nothing again.
func TestRepeatAfterKill(t *testing.T) {
	gauged, _ := buildPrograms(t)
	tr := newTrial(t, socket+"PROCEDURES\n")
	daemon := tr.startProcess(gauged)
	start := &pb.StartJobRequest{RequestId: "start-K-2", ProcedureId: "idler-thrust-washer", UnitSerial: "K-2", By: "test"}
	var id uint64
	for try := range 3 {
		answer, err := tr.jobs().StartJob(t.Context(), start)
		if err != nil {
			t.Fatal(err)
		}
		if id = answer.GetJob().GetId(); id != 1 {
			t.Fatalf("try %d started job %d", try, id)
		}
		killed(t, daemon)
		_ = tr.conn.Close()
		daemon = tr.startProcess(gauged)
	}
	for i, shown := range []string{"0.0243", "0.0244"} {
		enter := &pb.EnterReadingRequest{RequestId: "reading-" + shown, JobId: id, Shown: shown, Unit: pb.Unit_UNIT_INCH}
		var seqs []uint64
		for range 2 {
			answer, err := tr.jobs().EnterReading(t.Context(), enter)
			if err != nil {
				t.Fatal(err)
			}
			seqs = append(seqs, answer.GetReading().GetSeq())
			killed(t, daemon)
			_ = tr.conn.Close()
			daemon = tr.startProcess(gauged)
		}
		if n := len(tr.readings()); n != i+1 || seqs[0] != seqs[1] {
			t.Errorf("%d readings are stored after %d, as entries %v", n, i+1, seqs)
		}
	}
	killed(t, daemon)
}

func taken(j *pb.Job) int {
	n := 0
	for _, m := range j.GetEvaluation().GetMeasurements() {
		n += len(m.GetReadings())
	}
	return n
}

// finishWithSession goes on with the job as a technician does, with the
// interactive run of gaugectl on a pipe.
func finishWithSession(t *testing.T, tr *trial, gaugectl string, id uint64) {
	t.Helper()
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	session := exec.CommandContext(ctx, gaugectl, "--address", "unix://"+tr.path("s"), "job", "run", "--job", fmt.Sprint(id))
	var out bytes.Buffer
	session.Stdout, session.Stderr = &out, &out
	in, err := session.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := session.Start(); err != nil {
		t.Fatal(err)
	}
	w := bufio.NewWriter(in)
	for _, answer := range []string{"yes", "", "", "1.498 mm", "0.012 mm", "0.190 mm", "", ""} {
		fmt.Fprintln(w, answer)
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	_ = in.Close()
	if err := session.Wait(); err != nil {
		t.Fatalf("the session ended with %v:\n%s", err, out.String())
	}
	if j := tr.job(id); j.GetEvaluation().GetOutcome() != pb.Outcome_OUTCOME_CONFORMS {
		t.Errorf("the job ends as %v; the session:\n%s", j.GetEvaluation().GetOutcome(), out.String())
	}
}
