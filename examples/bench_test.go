// Package examples_test runs the examples of each language at a daemon that is killed.
package examples_test

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	pb "gauged/api/gauged/v1"
	"gauged/client"
)

var built string // the directory of the daemon, the programs in Go, and those in Python with what is generated

func TestMain(m *testing.M) {
	os.Exit(func() int {
		var err error
		if built, err = os.MkdirTemp("", "gauged-examples"); err != nil {
			panic(err)
		}
		defer os.RemoveAll(built)
		build := exec.Command("go", "build", "-o", built, "../cmd/gauged", "./go/feed", "./go/readings", "./go/verdicts")
		if out, err := build.CombinedOutput(); err != nil {
			panic(string(out))
		}
		return m.Run()
	}())
}

// languages are those of the examples, with how a program is started.
var languages = map[string]func(t *testing.T, name string, args ...string) *exec.Cmd{
	"Go": func(_ *testing.T, name string, args ...string) *exec.Cmd {
		return exec.Command(filepath.Join(built, name), args...)
	},
	"Python": func(t *testing.T, name string, args ...string) *exec.Cmd {
		cmd := exec.Command("/usr/bin/python3", append([]string{filepath.Join(python(t), name+".py")}, args...)...)
		cmd.Env = append(os.Environ(), "PYTHONDONTWRITEBYTECODE=1")
		return cmd
	},
	"Node": func(t *testing.T, name string, args ...string) *exec.Cmd {
		if _, err := os.Stat("node/node_modules"); err != nil {
			t.Fatalf("%v\nmake setup installs what is missing", err)
		}
		return exec.Command("node", append([]string{filepath.Join("node", name+".mjs")}, args...)...)
	},
}

// inEach tests the programs of each language.
func inEach(t *testing.T, test func(t *testing.T, example func(name string, args ...string) *program)) {
	for language, command := range languages {
		t.Run(language, func(t *testing.T) {
			test(t, func(name string, args ...string) *program {
				p := &program{t: t, cmd: command(t, name, args...)}
				p.cmd.Stdout, p.cmd.Stderr = &p.out, &p.out
				return p
			})
		})
	}
}

// python is the directory of the programs in Python, with what protoc generates for them.
func python(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(built, "python")
	if _, err := os.Stat(dir); err == nil {
		return dir
	}
	generated := filepath.Join(dir, "generated")
	check(t, os.CopyFS(dir, os.DirFS("python")))
	check(t, os.MkdirAll(generated, 0o755))
	protos, err := filepath.Glob("../api/proto/gauged/v1/*.proto")
	check(t, err)
	plugin, err := exec.LookPath("grpc_python_plugin")
	check(t, err)
	protoc := exec.Command("protoc", append([]string{
		"-I../api/proto", "-I.", "--python_out=" + generated, "--grpc_python_out=" + generated,
		"--plugin=protoc-gen-grpc_python=" + plugin, "google_rpc.proto",
	}, protos...)...)
	if out, err := protoc.CombinedOutput(); err != nil {
		t.Fatalf("protoc: %v\n%s\nmake setup installs what is missing", err, out)
	}
	return dir
}

func check(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// program is an example that runs.
type program struct {
	t     *testing.T
	cmd   *exec.Cmd
	out   output
	ended chan struct{}
	err   error // how it ended
}

func (p *program) start() *program {
	p.t.Helper()
	check(p.t, p.cmd.Start())
	p.ended = make(chan struct{})
	go func() { p.err = p.cmd.Wait(); close(p.ended) }()
	p.t.Cleanup(func() { _ = p.cmd.Process.Kill(); <-p.ended }) // it may have ended
	return p
}

// ends waits until a program has ended by itself.
func (p *program) ends() error {
	p.t.Helper()
	select {
	case <-p.ended:
	case <-time.After(awaited):
		p.t.Fatalf("it does not end:\n%s", &p.out)
	}
	return p.err
}

// killed ends a program that has not ended by itself.
func (p *program) killed() {
	p.t.Helper()
	_ = p.cmd.Process.Kill() // it may have ended
	if err := p.ends(); err == nil || p.cmd.ProcessState.Exited() {
		p.t.Fatalf("it ended before it was killed:\n%s", &p.out)
	}
}

// output is what a program prints, read while it runs.
type output struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (o *output) Write(p []byte) (int, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.b.Write(p)
}

func (o *output) String() string {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.b.String()
}

// bench is a station with the real daemon, whose gauge "press" programs feed.
type bench struct {
	t           *testing.T
	dir, socket string
	daemon      *exec.Cmd
	log         output
	*client.Client
}

// open is how most of the stations are reached.
const open = "access: open\nlisten: {grpc: unix://s}\n"

func newBench(t *testing.T, access string) *bench {
	t.Helper()
	b := &bench{t: t, dir: t.TempDir()}
	b.socket = filepath.Join(b.dir, "s")
	demo, err := filepath.Abs("../deploy/demo")
	check(t, err)
	b.write("gauged.yaml", fmt.Sprintf(`station: bench
history: history.db
procedures: %s/procedures
parts: %s/parts
gauges:
  press: {outside: yes, mode: button, unit: mm}
%s`, demo, demo, access))
	b.start()
	t.Cleanup(func() {
		_ = b.daemon.Process.Kill()
		_ = b.daemon.Wait()
	})
	b.Client, err = client.Dial(b.socket, client.Options{First: time.Millisecond, Longest: 50 * time.Millisecond})
	check(t, err)
	t.Cleanup(func() { _ = b.Client.Close() })
	return b
}

// write writes a file of the station and returns its path.
func (b *bench) write(name, content string) string {
	b.t.Helper()
	path := filepath.Join(b.dir, name)
	check(b.t, os.WriteFile(path, []byte(content), 0o600))
	return path
}

// start starts the daemon and waits until it answers.
func (b *bench) start() {
	b.t.Helper()
	b.daemon = exec.Command(filepath.Join(built, "gauged"), "--config", filepath.Join(b.dir, "gauged.yaml"))
	b.daemon.Stdout, b.daemon.Stderr = &b.log, &b.log
	check(b.t, b.daemon.Start())
	b.await("the daemon answers", func() bool {
		conn, err := net.Dial("unix", b.socket)
		return err == nil && conn.Close() == nil
	})
}

// kill ends the daemon with SIGKILL.
func (b *bench) kill() {
	b.t.Helper()
	check(b.t, b.daemon.Process.Kill())
	_ = b.daemon.Wait()
}

// awaited is how long something may take that is waited for, many times what a busy machine needs.
const awaited = 90 * time.Second

func (b *bench) await(what string, holds func() bool) {
	b.t.Helper()
	for end := time.Now().Add(awaited); !holds(); time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			b.t.Fatalf("waited in vain until %s; the log:\n%s", what, &b.log)
		}
	}
}

// stored are all readings of the station, as number of the history and value.
func (b *bench) stored() (all []string) {
	b.t.Helper()
	for token := ""; ; {
		page, err := pb.NewHistoryServiceClient(b.Conn()).ListReadings(b.t.Context(), &pb.ListReadingsRequest{PageSize: 10_000, PageToken: token})
		check(b.t, err)
		for _, r := range page.GetReadings() {
			all = append(all, fmt.Sprint(r.GetSeq(), " ", r.GetValue().GetText()))
		}
		if token = page.GetNextPageToken(); token == "" {
			return all
		}
	}
}

// gate stands between a program and the daemon, so that a kill comes in mid-stream. Each of its
// first connections passes so many bytes into one direction, and then none.
type gate struct {
	address string
	held    chan struct{} // one for each connection that passes nothing more
	daemon  string
	inward  bool
	most    int64
	times   int
}

func (b *bench) gate(inward bool, most int64, times int) *gate {
	b.t.Helper()
	g := &gate{filepath.Join(b.dir, "gate"), make(chan struct{}, times), b.socket, inward, most, times}
	l, err := net.Listen("unix", g.address)
	check(b.t, err)
	b.t.Cleanup(func() { _ = l.Close() })
	go g.serve(l)
	return g
}

func (g *gate) serve(l net.Listener) {
	for {
		program, err := l.Accept()
		if err != nil {
			return
		}
		daemon, err := net.Dial("unix", g.daemon)
		if err != nil { // it was killed, and the program comes again
			_ = program.Close()
			continue
		}
		most := int64(math.MaxInt64)
		if g.times > 0 {
			most = g.most
			g.times--
		}
		from, to := daemon, program
		if g.inward {
			from, to = program, daemon
		}
		over := func() { _ = program.Close(); _ = daemon.Close() }
		go func() {
			if n, _ := io.CopyN(to, from, most); n == most {
				g.held <- struct{}{}
				_, _ = io.Copy(io.Discard, from)
			}
			over()
		}()
		go func() { _, _ = io.Copy(from, to); over() }()
	}
}

// holds waits until a connection passes nothing more.
func (b *bench) holds(g *gate, p *program) {
	b.t.Helper()
	select {
	case <-g.held:
		return
	case <-p.ended:
	case <-time.After(awaited):
	}
	b.t.Fatalf("the program does not come so far:\n%s\nthe log:\n%s", &p.out, &b.log)
}
