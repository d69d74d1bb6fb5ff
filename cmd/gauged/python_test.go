package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// debianPython is the interpreter whose packages python3-grpcio and
// python3-protobuf belong to.
const debianPython = "/usr/bin/python3"

// TestPythonClient generates a client from the protos with the system's
// compiler, and lets it watch readings and run a job on the real daemon.
func TestPythonClient(t *testing.T) {
	generated := pythonClient(t)
	tr := newTrial(t, socket+"PROCEDURES\n")
	tr.start()
	client := exec.Command(debianPython, "../../testdata/python/client.py", "unix:"+tr.path("s"), generated)
	client.Env = append(os.Environ(), "PYTHONDONTWRITEBYTECODE=1")
	out, err := client.CombinedOutput()
	if err != nil {
		t.Fatalf("the client: %v\n%s\nmake setup installs what is missing", err, out)
	}
	want := `recommended LR2-150
seen 46.415 46.412 46.418 45.030 45.036 0.012 0.190
measured 0.178 mm
conforms
error NOT_FOUND`
	if got := strings.TrimSpace(string(out)); got != want {
		t.Errorf("the client printed\n%s\nwant\n%s", got, want)
	}
}

// pythonClient generates the client and returns its directory.
func pythonClient(t *testing.T) string {
	t.Helper()
	generated := t.TempDir()
	protos, err := filepath.Glob("../../api/proto/gauged/v1/*.proto")
	if err != nil {
		t.Fatal(err)
	}
	protoc := exec.Command("protoc", append([]string{
		"-I../../api/proto", "--python_out=" + generated, "--grpc_python_out=" + generated,
		"--plugin=protoc-gen-grpc_python=" + program(t, "grpc_python_plugin"),
	}, protos...)...)
	if out, err := protoc.CombinedOutput(); err != nil {
		t.Fatalf("protoc: %v\n%s\nmake setup installs what is missing", err, out)
	}
	return generated
}

// program finds a program that the tests need.
func program(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Fatalf("%v; make setup installs it", err)
	}
	return path
}
