package config

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestTraces: what a station's file says of a collector, and each mistake with its place.
func TestTraces(t *testing.T) {
	dir := write(t, map[string]string{"open.token": "o", "ca.pem": "no certificate\n"})
	if err := os.WriteFile(filepath.Join(dir, "own.token"), []byte(" abc \n"), 0o600); err != nil {
		t.Fatal(err)
	}
	station := filepath.Join(dir, "station.yaml")
	load := func(traces string) (*Config, error) {
		if err := os.WriteFile(station, []byte("station: s\n"+traces), 0o644); err != nil {
			t.Fatal(err)
		}
		return Load(t.Context(), station, noEnv)
	}
	c, err := load("traces: {to: \"https://traces.example\", token_file: own.token}\n")
	if err != nil || c.Traces.URL != "https://traces.example" || c.Traces.Token != "abc" || !c.Traces.Given() {
		t.Fatal(c, err)
	}
	if c, err := load(""); err != nil || c.Traces.Given() {
		t.Error(c, err)
	}
	_, err = load("traces: {to: \"http://traces.example\", ca: ca.pem, token_file: open.token, every: 5s}\n")
	if err == nil {
		t.Fatal("no mistake was found")
	}
	for _, want := range []string{
		"station.yaml:2:14: traces.example is not this machine",
		"station.yaml:2:43: tls: ca.pem has no certificate",
		"station.yaml:2:63: others than its owner",
		`station.yaml:2:75: "every" is not a key here`,
	} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%q is not said in\n%v", want, err)
		}
	}
	if _, err := load("traces: {ca: ca.pem}\n"); err == nil || !strings.Contains(err.Error(), `"to"`) {
		t.Errorf("without an address: %v", err)
	}
}
