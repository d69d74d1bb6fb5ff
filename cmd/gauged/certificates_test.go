package main

import (
	"bytes"
	"os"
	"os/exec"
	"strings"
	"testing"

	pb "gauged/api/gauged/v1"
	"gauged/internal/cli"
)

// pythonWithCertificate asks with a client certificate who it is.
const pythonWithCertificate = `import sys
sys.path.insert(0, sys.argv[1])
import grpc
from gauged.v1 import access_pb2 as a, access_pb2_grpc
read = lambda path: open(path, "rb").read()
shown = grpc.ssl_channel_credentials(read(sys.argv[3]), read(sys.argv[5]), read(sys.argv[4]))
with grpc.secure_channel(sys.argv[2], shown) as channel:
    try:
        me = access_pb2_grpc.AccessServiceStub(channel).WhoAmI(a.WhoAmIRequest(), timeout=20)
        print(me.name, a.Role.Name(me.role), a.Door.Name(me.door))
    except grpc.RpcError as error:
        print(error.code().name)
`

// TestCertificatesMadeWithOpenssl: the commands of docs/access.md make an authority and a
// certificate with which a client in Python and gaugectl come in under its name; one of
// another authority does not, nor does TLS 1.2.
func TestCertificatesMadeWithOpenssl(t *testing.T) {
	page, err := os.ReadFile("../../docs/access.md")
	if err != nil {
		t.Fatal(err)
	}
	var commands []string
	for line := range strings.Lines(string(page)) {
		if command, ok := strings.CutPrefix(line, "    openssl "); ok {
			commands = append(commands, strings.TrimSpace(command))
		}
	}
	if len(commands) != 3 {
		t.Fatalf("docs/access.md has %d commands of openssl", len(commands))
	}
	openssl := func(dir string, args ...string) (string, error) {
		cmd := exec.CommandContext(t.Context(), "openssl", args...)
		cmd.Dir = dir
		out, err := cmd.CombinedOutput()
		return string(out), err
	}
	tr, grpcPort, _ := closedTrial(t, "access: {certificates: {press-1: {role: station}}}\n")
	station, err := os.ReadFile(tr.path("station.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	tr.write("station.yaml", strings.Replace(string(station), "{own: yes, ", "{own: yes, clients: shop-authority.pem, ", 1))
	other := t.TempDir()
	for _, dir := range []string{tr.dir, other} {
		for _, command := range commands {
			if out, err := openssl(dir, strings.Fields(strings.ReplaceAll(command, `"`, ""))...); err != nil {
				t.Fatalf("openssl %s: %v\n%s", command, err, out)
			}
		}
	}
	tr.start()
	authority, address := tr.path("tls/authority.pem"), "127.0.0.1:"+grpcPort
	generated := pythonClient(t)
	tr.write("who.py", pythonWithCertificate)
	for dir, want := range map[string]string{tr.dir: "press-1 ROLE_STATION DOOR_CERTIFICATE\n", other: "UNAVAILABLE\n"} {
		client := exec.CommandContext(t.Context(), debianPython, tr.path("who.py"), generated, address, authority, dir+"/press-1.pem", dir+"/press-1.key")
		client.Env = append(os.Environ(), "PYTHONDONTWRITEBYTECODE=1")
		if out, err := client.Output(); err != nil || string(out) != want {
			t.Errorf("%s: %v, %s, want %s", dir, err, out, want)
		}
	}
	gaugectl := func(args ...string) string {
		var out bytes.Buffer
		cli.Run(t.Context(), append([]string{"--address", address, "--ca", authority}, args...), strings.NewReader(""), &out, &out, noEnv)
		return out.String()
	}
	for want, args := range map[string][]string{
		"press-1, station, known by the certificate\n": {"--certificate", tr.path("press-1.pem"), "--key", tr.path("press-1.key"), "access", "who"},
		"desk, reader, known by the token\n":           {"--token-file", tr.token("desk", pb.Role_ROLE_READER), "access", "who"},
	} {
		if got := gaugectl(args...); got != want {
			t.Errorf("gaugectl %v: %s", args, got)
		}
	}
	if got := gaugectl("access", "who"); !strings.Contains(got, "it is not known who calls") {
		t.Errorf("gaugectl with nothing to show: %s", got)
	}
	if out, err := openssl(tr.dir, "s_client", "-connect", address, "-CAfile", authority, "-tls1_2"); err == nil {
		t.Errorf("TLS 1.2 came in:\n%s", out)
	}
}
