package access

import (
	"net"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/words"
)

// shortDir is a directory whose path leaves room for a socket's name.
func shortDir(t testing.TB) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "g")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	return dir
}

// socketPath is short enough for a socket whatever the test is called.
func socketPath(t testing.TB) string {
	t.Helper()
	return filepath.Join(shortDir(t), "s")
}

func TestListenUnixReplacesOnlyADeadSocket(t *testing.T) {
	path := socketPath(t)
	dead, err := net.Listen("unix", path)
	if err != nil {
		t.Fatal(err)
	}
	dead.(*net.UnixListener).SetUnlinkOnClose(false)
	if err := dead.Close(); err != nil {
		t.Fatal(err)
	}
	l, err := ListenUnix(path)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	if mode := info.Mode().Perm(); mode != 0o660 {
		t.Errorf("mode = %o, want 660", mode)
	}
	_, err = ListenUnix(path)
	wantError(t, err, "socket "+path+": another daemon answers there; stop it, or name another place")
	if conn, err := net.Dial("unix", path); err != nil {
		t.Errorf("the living socket is gone: %v", err)
	} else {
		_ = conn.Close()
	}
}

func TestListenUnixSaysWhatToDo(t *testing.T) {
	dir := shortDir(t)
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, []byte("kept"), 0o600); err != nil {
		t.Fatal(err)
	}
	long := filepath.Join(dir, strings.Repeat("x", 150))
	for path, want := range map[string]string{
		file:                         "socket " + file + ": something that is not a socket is there; move it away, or name another place",
		filepath.Join(dir, "no/way"): "socket " + dir + "/no/way: the directory " + dir + "/no does not exist; create it, or name another place",
		long:                         "socket " + long + ": the path is longer than a socket can have (some 100 bytes); name a shorter one",
	} {
		_, err := ListenUnix(path)
		wantError(t, err, want)
	}
	if content, err := os.ReadFile(file); err != nil || string(content) != "kept" {
		t.Errorf("the file has %q, %v", content, err)
	}
}

func TestListenLoopback(t *testing.T) {
	for _, address := range []string{"127.0.0.1:0", "localhost:0"} {
		l, err := ListenLoopback(address)
		if err != nil {
			t.Errorf("%s: %v", address, err)
			continue
		}
		_, again := ListenLoopback(l.Addr().String())
		wantError(t, again, "listen on "+l.Addr().String()+": another program listens there; stop it, or name another port")
		_ = l.Close()
	}
	const refusal = ": others reach this address, and without tls: in the station's file names, secrets and readings would go there in the clear: say tls: {own: yes}, or tls: {certificate: FILE, key: FILE}, or use 127.0.0.1, ::1 or localhost"
	for address, want := range map[string]string{
		":7420":              "listen on :7420" + refusal,
		"0.0.0.0:7420":       "listen on 0.0.0.0:7420" + refusal,
		"[::]:7420":          "listen on [::]:7420" + refusal,
		"192.0.2.7:7420":     "listen on 192.0.2.7:7420" + refusal,
		"bench.example:7420": "listen on bench.example:7420" + refusal,
		"127.0.0.1":          `listen on "127.0.0.1": it is not an address with a port, such as 127.0.0.1:7420`,
	} {
		_, err := ListenLoopback(address)
		wantError(t, err, want)
	}
}

func wantError(t testing.TB, err error, want string) {
	t.Helper()
	if err == nil || words.In(words.English).Error(err) != want {
		t.Errorf("error = %v\nwant    %s", err, want)
	}
}
