package qif

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/evaluate"
	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/vet"
	"gauged/internal/wire"
)

const (
	trade  = "../../../testdata/trade"
	schema = "../../../testdata/exchange/qif3/QIFApplications/QIFDocument.xsd"
)

// TestPublishedExamplesAreValid writes every published example as a job and has another
// program check it against the schema of the standard.
func TestPublishedExamplesAreValid(t *testing.T) {
	dirs, err := filepath.Glob(filepath.Join(trade, "*", "procedure.yaml"))
	if err != nil || len(dirs) < 60 {
		t.Fatalf("%d examples, %v", len(dirs), err)
	}
	out := t.TempDir()
	var files []string
	for _, path := range dirs {
		dir := filepath.Dir(path)
		file := filepath.Join(out, filepath.Base(dir)+".xml")
		if err := os.WriteFile(file, render(t, jobOf(t, dir)), 0o600); err != nil {
			t.Fatal(err)
		}
		files = append(files, file)
	}
	validate(t, files...)
}

func validate(t *testing.T, files ...string) {
	t.Helper()
	said, err := exec.Command("xmllint", append([]string{"--nonet", "--noout", "--schema", schema}, files...)...).CombinedOutput()
	if err != nil {
		t.Fatalf("xmllint: %v\n%s", err, said)
	}
	if got := strings.Count(string(said), " validates\n"); got != len(files) {
		t.Fatalf("%d of %d files are valid:\n%s", got, len(files), said)
	}
}

func render(t *testing.T, job *gaugedv1.Job) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, job); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// jobOf is a job as it would stand with the readings of an example.
func jobOf(t *testing.T, dir string) *gaugedv1.Job {
	t.Helper()
	p, err := vet.ReadProcedure("procedure.yaml", read(t, filepath.Join(dir, "procedure.yaml")))
	if err != nil {
		t.Fatal(err)
	}
	var family *procedure.Family
	if content, err := os.ReadFile(filepath.Join(dir, "parts.yaml")); err == nil {
		if family, err = procedure.ReadFamily("parts.yaml", content); err != nil {
			t.Fatal(err)
		}
	} else if !errors.Is(err, fs.ErrNotExist) {
		t.Fatal(err)
	}
	readings, err := procedure.ReadReadings("readings.csv", read(t, filepath.Join(dir, "readings.csv")), p)
	if err != nil {
		t.Fatal(err)
	}
	e, err := evaluate.Evaluate(p, family, compute.Input{Readings: readings})
	if err != nil {
		t.Fatal(err)
	}
	began := time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
	return &gaugedv1.Job{
		Id: 7, UnitSerial: "B-2204", By: "bench 1", Procedure: wire.Procedure(p), Evaluation: wire.Evaluation(p, e),
		StartTime: timestamppb.New(began), CloseTime: timestamppb.New(began.Add(12 * time.Minute)), Stage: gaugedv1.JobStage_JOB_STAGE_CLOSED, LastSeq: 41, Round: 1,
	}
}

func read(t *testing.T, path string) []byte {
	t.Helper()
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return content
}
