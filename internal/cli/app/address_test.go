package app

import (
	"os"
	"path/filepath"
	"testing"
)

func TestAddress(t *testing.T) {
	dir := t.TempDir()
	socket := filepath.Join(dir, "gauged", "gauged.sock")
	if err := os.MkdirAll(filepath.Dir(socket), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(socket, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	cases := []struct {
		name, flag string
		env        map[string]string
		want       string
	}{
		{"flag", "127.0.0.1:7000", map[string]string{"GAUGECTL_ADDRESS": "/e"}, "127.0.0.1:7000"},
		{"environment", "", map[string]string{"GAUGECTL_ADDRESS": "/e", "XDG_RUNTIME_DIR": dir}, "/e"},
		{"own daemon", "", map[string]string{"XDG_RUNTIME_DIR": dir}, "unix://" + socket},
		{"no own daemon", "", map[string]string{"XDG_RUNTIME_DIR": filepath.Join(dir, "none")}, SystemSocket},
		{"nothing set", "", nil, SystemSocket},
	}
	for _, c := range cases {
		a := &App{Address: c.flag, Getenv: func(name string) string { return c.env[name] }}
		if got := a.daemonAddress(); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
	for _, address := range []string{"bench", "unix://relative", "http://a:1", ":", "bench:"} {
		if _, err := (&App{Address: address}).connect(); ExitCode(err) != ExitUsage {
			t.Errorf("%s: %v is no mistake of usage", address, err)
		}
	}
}
