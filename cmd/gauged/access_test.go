package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "gauged/api/gauged/v1"
)

// port is a TCP port that was free a moment ago.
func port(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = l.Close() }()
	_, port, err := net.SplitHostPort(l.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	return port
}

// closedTrial is a trial whose station is closed and listens beyond this machine.
func closedTrial(t *testing.T, rest string) (tr *trial, grpcPort, metricsPort string) {
	t.Helper()
	tr = newTrial(t, "")
	grpcPort, metricsPort = port(t), port(t)
	tr.write("station.yaml", "station: trial\nhistory: history.db\ntls: {own: yes, names: [127.0.0.1]}\n"+
		fmt.Sprintf("listen: {grpc: [unix://s, \"0.0.0.0:%s\"], metrics: \"0.0.0.0:%s\"}\n", grpcPort, metricsPort)+rest)
	return tr, grpcPort, metricsPort
}

// token makes a token, as who runs the daemon may at its socket, and writes it to a file.
func (tr *trial) token(name string, role pb.Role) (file string) {
	tr.t.Helper()
	answer, err := pb.NewAccessServiceClient(tr.conn).MakeToken(tr.t.Context(), &pb.MakeTokenRequest{Name: name, Role: role, ExpireTime: timestamppb.New(time.Now().Add(time.Hour))})
	if err != nil {
		tr.t.Fatal(err)
	}
	tr.write(name+".token", answer.GetSecret()+"\n")
	return tr.path(name + ".token")
}

// pythonOverTLS lists the gauges with a token, as a program on another machine does.
const pythonOverTLS = `import sys
sys.path.insert(0, sys.argv[1])
import grpc
from gauged.v1 import gauge_pb2 as g, gauge_pb2_grpc
trust = grpc.ssl_channel_credentials(open(sys.argv[3], "rb").read())
for secret in (open(sys.argv[4]).read().strip(), "wrong", None):
    shown = [("authorization", "Bearer " + secret)] if secret else []
    with grpc.secure_channel(sys.argv[2], trust) as channel:
        try:
            print(len(gauge_pb2_grpc.GaugeServiceStub(channel).ListGauges(g.ListGaugesRequest(), metadata=shown, timeout=20).gauges))
        except grpc.RpcError as error:
            print(error.code().name)
`

// TestProgramsBeyondThisMachine: a closed station is reached over TLS with a token, by a
// client in Python and by curl, and by nobody without; its socket is its user's.
func TestProgramsBeyondThisMachine(t *testing.T) {
	tr, grpcPort, metricsPort := closedTrial(t, "gauges:\n  depth: {outside: yes, mode: button}\n")
	tr.start()
	file := tr.token("reader-1", pb.Role_ROLE_READER)
	authority := tr.path("tls/authority.pem")
	t.Run("python", func(t *testing.T) {
		generated := pythonClient(t)
		tr.write("tls.py", pythonOverTLS)
		client := exec.CommandContext(t.Context(), debianPython, tr.path("tls.py"), generated, "127.0.0.1:"+grpcPort, authority, file)
		client.Env = append(os.Environ(), "PYTHONDONTWRITEBYTECODE=1")
		out, err := client.Output()
		if got := strings.Join(strings.Fields(string(out)), " "); err != nil || got != "1 UNAUTHENTICATED UNAUTHENTICATED" {
			t.Errorf("%v: %s", err, got)
		}
	})
	t.Run("curl", func(t *testing.T) {
		secret, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		curl := func(path, header string) string {
			cmd := exec.CommandContext(t.Context(), "curl", "-sS", "--max-time", "20", "--cacert", authority, "-H", "@-", "https://127.0.0.1:"+metricsPort+path)
			cmd.Stdin = strings.NewReader(header)
			out, err := cmd.CombinedOutput()
			if err != nil {
				t.Errorf("curl %s: %v\n%s", path, err, out)
			}
			return string(out)
		}
		if out := curl("/metrics", "Authorization: Bearer "+string(bytes.TrimSpace(secret))); !strings.Contains(out, "gauged_") {
			t.Errorf("with the token: %s", out)
		}
		if out := curl("/metrics", "X-Nothing: 1"); !strings.Contains(out, "it is not known who calls") {
			t.Errorf("without: %s", out)
		}
		if out := curl("/healthz", "X-Nothing: 1"); out != "ok\n" {
			t.Errorf("/healthz: %s", out)
		}
	})
	secret, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	tr.await("the refusals are kept", func() bool { return strings.Contains(tr.log.String(), "msg=refused") })
	if strings.Contains(tr.log.String(), string(bytes.TrimSpace(secret))) {
		t.Error("the log has the secret")
	}
}

// TestEvaluatorOverTLS: the link of a bench goes over TLS with a token, and says what is
// wrong without one.
func TestEvaluatorOverTLS(t *testing.T) {
	site, grpcPort, _ := closedTrial(t, "gauges:\n  depth: {outside: yes, mode: button}\n")
	site.start()
	file := site.token("bench-1", pb.Role_ROLE_STATION)
	link := func(shows string) string {
		return socket + fmt.Sprintf("evaluator: {address: \"127.0.0.1:%s\", ca: %s%s}\n", grpcPort, site.path("tls/authority.pem"), shows)
	}
	nobody := newTrial(t, link(""))
	nobody.start()
	nobody.await("the link is refused", func() bool { return strings.Contains(nobody.log.String(), "it is not known who calls") })
	bench := newTrial(t, link(", token_file: "+file)+"gauges:\n  depth: {layout: value-with-unit, port: depth}\n")
	line := bench.plug("depth")
	bench.start()
	bench.live("depth")
	if _, err := line.Write([]byte("+046.415 mm\r\n")); err != nil {
		t.Fatal(err)
	}
	site.await("the reading is there", func() bool { return len(site.readings()) == 1 })
}

// TestOpenIsForThisMachine: neither an open station nor one without TLS listens beyond
// this machine, and both say why.
func TestOpenIsForThisMachine(t *testing.T) {
	for station, want := range map[string]string{
		"access: open\ntls: {own: yes}\nlisten: {grpc: \"0.0.0.0:7411\"}\n": "access: open lets everybody in",
		"listen: {grpc: \"0.0.0.0:7411\"}\n":                                "in the clear",
		"tls: {own: yes, key: a.pem}\n":                                     "an own certificate is made",
		"tls: {certificate: a.pem}\n":                                       "a certificate and its key are needed",
		"access: {users: {ada: emperor}}\n":                                 "emperor",
		"access: {proxies: [shop]}\n":                                       "is not the address of a proxy",
	} {
		path := filepath.Join(t.TempDir(), "station.yaml")
		if err := os.WriteFile(path, []byte("station: s\nhistory: h.db\ngauges: {}\n"+station), 0o644); err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		if code := run(t.Context(), []string{"--config", path, "--check"}, &out, &out, noEnv); code != exitConfig || !strings.Contains(out.String(), want) {
			t.Errorf("%s: %d, %s", station, code, out.String())
		}
	}
}

// TestRefusedIsAFact: who was refused stands in the history, with why and how often.
func TestRefusedIsAFact(t *testing.T) {
	tr, _, metricsPort := closedTrial(t, "")
	tr.start()
	for range 3 {
		cmd := exec.CommandContext(t.Context(), "curl", "-sS", "--max-time", "20", "--cacert", tr.path("tls/authority.pem"), "https://127.0.0.1:"+metricsPort+"/metrics")
		if out, err := cmd.CombinedOutput(); err != nil || !strings.Contains(string(out), "not known who calls") {
			t.Fatalf("%v: %s", err, out)
		}
	}
	tr.stop()
	store, err := openHistory(t.Context(), tr.path("history.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = store.Close() }()
	facts, err := store.AccessFacts(t.Context(), 0, 100)
	if err != nil || len(facts) != 1 {
		t.Fatalf("%d facts, %v", len(facts), err)
	}
	var data struct {
		Reason, What string
		Count        int
	}
	if err := json.Unmarshal(facts[0].Access.Data, &data); err != nil || facts[0].Access.Subject != "127.0.0.1" || data.Reason != "refusal.access.nobody" || data.What != "GET /metrics" || data.Count != 1 {
		t.Errorf("%+v %+v, %v", facts[0].Access, data, err)
	}
}
