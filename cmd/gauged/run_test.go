package main

import (
	"context"
	"io"
	"net"
	"net/http"
	"os/exec"
	"strings"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "gauged/api/gauged/v1"
)

// call runs the program with arguments and returns what it printed.
func call(t *testing.T, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var out, errOut strings.Builder
	code = run(t.Context(), args, &out, &errOut, noEnv)
	return code, out.String(), errOut.String()
}

func TestCommandLine(t *testing.T) {
	good := newTrial(t, socket+"PROCEDURES\ngauges:\n  a: {layout: value-with-unit, port: a}\n")
	numbered := newTrial(t, socket+"PROCEDURES\ngauges:\n  a: {layout: value-with-unit, port: /dev/ttyUSB0}\n")
	bad := newTrial(t, "lisen: {}\ngauges:\n  a: {layout: value-with-unit, port: x}\n  b: {layout: nothing, port: y}\n  c: {layout: value-with-unit, port: x}\n")
	const open = "access: open: nobody is asked who they are, and whoever reaches this machine's doors may do everything under any name\n"
	cases := []struct {
		name   string
		args   []string
		code   int
		stdout string
		stderr string
	}{
		{"check", []string{"--check", "--config", good.path("station.yaml")}, exitFine, good.path("station.yaml") + ": station trial, 1 gauge, 2 procedures: fine\n" + open, ""},
		{
			"problems",
			[]string{"--config", bad.path("station.yaml")},
			exitConfig, "",
			"S:4:1: \"lisen\" is not a key here: did you mean listen?\n" +
				"S:7:15: there is no layout \"nothing\": there are bcd-digits, channel-and-value, clocked-bits, request-channel, request-reply, signed-line, value-with-unit\n" +
				"S:8:38: gauge \"c\" is on the same port as gauge \"a\" (port " + bad.path("x") + "): a port has one gauge, unless they are asked one by one, or the frames of their one layout say the channel\n",
		},
		{"check of a numbered port", []string{"--check", "--config", numbered.path("station.yaml")}, exitFine, numbered.path("station.yaml") + ": station trial, 1 gauge, 2 procedures: fine\n" + open +
			"gauge a: the kernel numbers /dev/ttyUSB0 anew when it is plugged in; name it by its link in /dev/serial/by-id or by usb: SERIAL\n", ""},
		{"unknown flag", []string{"--confg"}, exitUsage, "", ""},
		{"argument", []string{"serve"}, exitUsage, "", "gauged: unexpected \"serve\"; the daemon takes flags only\n"},
		{"no file", []string{"--config", "/nowhere/gauged.yaml"}, exitConfig, "", "stat /nowhere/gauged.yaml: no such file or directory\n"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			code, stdout, stderr := call(t, c.args...)
			stderr = strings.ReplaceAll(stderr, bad.path("station.yaml")+":", "S:")
			if code != c.code || stdout != c.stdout || c.stderr != "" && stderr != c.stderr {
				t.Errorf("code %d, stdout\n%s\nstderr\n%s\nwant %d\n%s\n%s", code, stdout, stderr, c.code, c.stdout, c.stderr)
			}
		})
	}
}

// TestStartInGerman: what is wrong with the configuration, what is said of it with --check,
// and why the daemon cannot start, in the language of who starts it.
func TestStartInGerman(t *testing.T) {
	german := func(name string) string { return map[string]string{"LANG": "de_DE.UTF-8"}[name] }
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	port := taken.Addr().String()
	for station, want := range map[string]struct {
		args []string
		code int
		says string
	}{
		"lisen: {}\ngauges: {}\n": {nil, exitConfig, "S:4:1: „lisen“ ist hier kein Schlüssel: ist listen gemeint?\n"},
		"gauges: {}\n":            {[]string{"--check"}, exitFine, "S: Station trial, 0 Messmittel, 0 Verfahren: in Ordnung\naccess: open: niemand wird gefragt, wer er ist"},
		"listen: {grpc: \"" + port + "\"}\ngauges: {}\n": {nil, exitFailure, "annehmen auf " + port + ": dort nimmt schon ein anderes Programm an; es beenden, oder einen anderen Port nennen"},
		"listen: {grpc: unix://no/way/s}\ngauges: {}\n":  {nil, exitFailure, "/no/way gibt es nicht; es anlegen, oder einen anderen Ort nennen"},
	} {
		tr := newTrial(t, station)
		var out strings.Builder
		code := run(t.Context(), append([]string{"--config", tr.path("station.yaml")}, want.args...), &out, &out, german)
		if got := strings.ReplaceAll(out.String(), tr.path("station.yaml"), "S"); code != want.code || !strings.Contains(got, want.says) {
			t.Errorf("%s: %d, %s, want %d, %s", station, code, got, want.code, want.says)
		}
	}
}

// TestMetricsConform lets promtool judge the metrics of a working daemon.
func TestMetricsConform(t *testing.T) {
	address := freeAddress(t)
	tr := newTrial(t, "listen: {grpc: unix://s, metrics: "+address+"}\nPROCEDURES\ngauges:\n  a: {layout: value-with-unit, port: a}\n  b: {layout: value-with-unit, port: b}\n")
	line := tr.plug("a")
	tr.start()
	tr.live("a")
	if _, err := io.WriteString(line, "+012.345 mm\r\n+012,345 mm\r\n"); err != nil {
		t.Fatal(err)
	}
	tr.await("the reading is stored", func() bool { return len(tr.readings()) == 1 })
	scrape := get(t, "http://"+address+"/metrics")
	for _, want := range []string{
		`gauged_readings_total{gauge="a"} 1`,
		`gauged_readings_total{gauge="b"} 0`,
		`gauged_connection_state{gauge="a",state="live"} 1`,
		`gauged_connection_state{gauge="b",state="absent"} 1`,
	} {
		if !strings.Contains(scrape, want+"\n") {
			t.Errorf("the scrape has no line %s", want)
		}
	}
	tr.await("the rejected frame is counted", func() bool {
		return strings.Contains(get(t, "http://"+address+"/metrics"), `gauged_frames_rejected_total{gauge="a",reason="comma"} 1`)
	})
	promtool := exec.Command(program(t, "promtool"), "check", "metrics")
	promtool.Stdin = strings.NewReader(scrape)
	if out, err := promtool.CombinedOutput(); err != nil {
		t.Errorf("promtool: %v\n%s", err, out)
	}
}

func get(t *testing.T, url string) string {
	t.Helper()
	client := http.Client{Transport: &http.Transport{DisableKeepAlives: true}}
	response, err := client.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer response.Body.Close()
	body, err := io.ReadAll(response.Body)
	if err != nil || response.StatusCode != http.StatusOK {
		t.Fatalf("%s: %s, %v", url, response.Status, err)
	}
	return string(body)
}

func freeAddress(t testing.TB) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	return l.Addr().String()
}

// TestStopWithOpenStreams: a watcher is told that the daemon stops, and the
// daemon does not wait for it.
func TestStopWithOpenStreams(t *testing.T) {
	tr := newTrial(t, socket)
	tr.start()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	stream, err := tr.gauges().WatchReadings(ctx, &pb.WatchReadingsRequest{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := stream.Recv(); err != nil {
		t.Fatal(err)
	}
	ended := make(chan error, 1)
	go func() {
		_, err := stream.Recv()
		ended <- err
	}()
	conn := tr.conn
	tr.conn = nil // the connection stays open while the daemon stops
	tr.stop()
	if err := <-ended; status.Code(err) != codes.Unavailable {
		t.Errorf("the stream ended with %v", err)
	}
	_ = conn.Close()
	for _, part := range []string{"gRPC", "gauges", "station", "history"} {
		if !strings.Contains(tr.log.String(), "msg=stopped part="+part) {
			t.Errorf("the log does not say that %s has stopped:\n%s", part, tr.log)
		}
	}
}
