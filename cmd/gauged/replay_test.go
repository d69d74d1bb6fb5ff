package main

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	pb "gauged/api/gauged/v1"
	"gauged/internal/devices"
	"gauged/internal/simulate"

	"google.golang.org/protobuf/encoding/protojson"
)

var update = flag.Bool("update", false, "write the golden files anew")

// chunkings are the ways in which every recording is played.
var chunkings = []simulate.Chunking{simulate.AsRecorded, simulate.SingleBytes, simulate.OneBlock}

// TestRecordedLines plays every recording through a pseudo-terminal into the
// real daemon. The stored readings must be those of the recording's golden
// file, however the bytes are cut.
func TestRecordedLines(t *testing.T) {
	for _, path := range recordings(t, "../../testdata/logs/*.jsonl") {
		want := wantedReadings(t, path)
		for _, how := range chunkings {
			t.Run(strings.TrimSuffix(filepath.Base(path), ".jsonl")+"/"+string(how), func(t *testing.T) {
				tr, _ := playInto(t, path, how, "")
				tr.await("all readings are stored", func() bool { return len(tr.readings()) >= len(want) })
				tr.stop()
				if got := storedTexts(t, tr); !slices.Equal(got, want) {
					t.Errorf("stored\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
				}
			})
		}
	}
}

// TestRecordedJob plays a recording into a job: the readings at the gauge's
// button go into it by themselves, and the verdict must be the same however
// the bytes are cut. All at once they are no presses of a person: what follows the
// reading that finished a measurement is not taken as the next one.
func TestRecordedJob(t *testing.T) {
	for _, path := range recordings(t, "../../testdata/jobs/*.jsonl") {
		golden := strings.TrimSuffix(path, ".jsonl") + ".want.json"
		for _, how := range chunkings {
			t.Run(strings.TrimSuffix(filepath.Base(path), ".jsonl")+"/"+string(how), func(t *testing.T) {
				tr, job := playInto(t, path, how, "output-shaft-ring")
				if how == simulate.OneBlock {
					tr.await("the second press is told", func() bool { return tr.job(job).GetNotice() != nil })
					if n := taken(tr.job(job)); n != 3 {
						t.Errorf("%d readings are taken", n)
					}
					return
				}
				tr.await("a verdict stands", func() bool {
					return tr.job(job).GetStage() == pb.JobStage_JOB_STAGE_CHOOSE
				})
				got := lastVerdict(t, tr, job)
				if *update {
					if err := os.WriteFile(golden, got, 0o644); err != nil {
						t.Fatal(err)
					}
				}
				if want := readFile(t, golden); !bytes.Equal(got, want) {
					t.Errorf("the verdict is\n%s\nwant\n%s", got, want)
				}
				replay, err := tr.history().ReplayVerdicts(t.Context(), &pb.ReplayVerdictsRequest{})
				if err != nil || replay.GetVerdictCount() == 0 || len(replay.GetDifferences()) > 0 {
					t.Errorf("replay %v, %v", replay, err)
				}
			})
		}
	}
}

func recordings(t *testing.T, pattern string) []string {
	t.Helper()
	paths, err := filepath.Glob(pattern)
	if err != nil || len(paths) == 0 {
		t.Fatalf("no recordings match %s (%v)", pattern, err)
	}
	return paths
}

// playInto starts a daemon on the recording's gauge, opens a job when there is
// a procedure, and plays the whole recording.
func playInto(t *testing.T, path string, how simulate.Chunking, procedure string) (*trial, uint64) {
	t.Helper()
	rec, err := devices.ReadRecording(path, bytes.NewReader(readFile(t, path)))
	if err != nil {
		t.Fatal(err)
	}
	tr := newTrial(t, socket+"PROCEDURES\ngauges:\n  line: {layout: "+rec.Header.Layout+", port: line"+unitKey(rec)+pollKey(rec)+"}\n")
	line := tr.plug("line")
	tr.start()
	var job uint64
	if procedure != "" {
		answer, err := tr.jobs().StartJob(t.Context(), &pb.StartJobRequest{
			ProcedureId: procedure, UnitSerial: "recorded", By: "test", GaugeIds: map[string]string{"*": "line"},
		})
		if err != nil {
			t.Fatal(err)
		}
		job = answer.GetJob().GetId()
	}
	opened := func(ctx context.Context) error {
		tr.await("the daemon has the port open", line.Listening)
		return nil
	}
	if err := simulate.Replay(t.Context(), rec, line, how, opened); err != nil {
		t.Fatal(err)
	}
	return tr, job
}

func unitKey(rec *devices.Recording) string {
	if rec.Header.Unit.Known() {
		return ", unit: " + rec.Header.Unit.String()
	}
	return ""
}

func pollKey(rec *devices.Recording) string {
	for _, e := range rec.Entries {
		if e.Dir == "out" {
			return ", poll: 400ms"
		}
	}
	return ""
}

// wantedReadings takes the readings out of a golden file of the devices'
// tests, as "text unit".
func wantedReadings(t *testing.T, path string) []string {
	t.Helper()
	var want []string
	for line := range strings.Lines(string(readFile(t, strings.TrimSuffix(path, ".jsonl")+".want"))) {
		if f := strings.Fields(line); len(f) >= 3 && f[0] == "reading" {
			want = append(want, f[1]+" "+f[2])
		}
	}
	if len(want) == 0 {
		t.Fatalf("%s: the golden file has no readings", path)
	}
	return want
}

// storedTexts opens the history of a stopped daemon once more.
func storedTexts(t *testing.T, tr *trial) []string {
	t.Helper()
	tr.start()
	var texts []string
	for _, r := range tr.readings() {
		f := strings.Fields(r)
		texts = append(texts, f[2]+" "+map[string]string{"millimetre": "mm", "inch": "in"}[f[3]])
	}
	return texts
}

var storedNumber = regexp.MustCompile(`"seq":"\d+",`)

// lastVerdict returns the newest verdict of a job, laid out, without the
// numbers of the history.
func lastVerdict(t *testing.T, tr *trial, job uint64) []byte {
	t.Helper()
	answer, err := tr.history().ListJobFacts(t.Context(), &pb.ListJobFactsRequest{JobId: job})
	if err != nil {
		t.Fatal(err)
	}
	var verdict *pb.Evaluation
	for _, f := range answer.GetFacts() {
		if v := f.GetVerdict(); v != nil {
			verdict = v.GetEvaluation()
		}
	}
	data, err := protojson.MarshalOptions{UseProtoNames: true}.Marshal(verdict)
	if err != nil {
		t.Fatal(err)
	}
	var compact, out bytes.Buffer
	if err := json.Compact(&compact, data); err != nil {
		t.Fatal(err)
	}
	if err := json.Indent(&out, storedNumber.ReplaceAll(compact.Bytes(), nil), "", " "); err != nil {
		t.Fatalf("verdict %s: %v", data, err)
	}
	out.WriteByte('\n')
	return out.Bytes()
}

func readFile(t *testing.T, path string) []byte {
	t.Helper()
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return content
}
