package main

import (
	"context"
	"io"
	"os"
	"slices"
	"strings"
	"syscall"
	"testing"

	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"

	pb "gauged/api/gauged/v1"
)

// TestReload: the real daemon takes a file that was edited by hand, and refuses
// a broken one with its place while the version before stays in force.
func TestReload(t *testing.T) {
	tr := newTrial(t, socket+"procedures: ring.yaml\nparts: rings.yaml\ngauges:\n  a: {layout: value-with-unit, port: a}\n")
	demo, err := os.ReadFile("../../deploy/demo/procedures/output-shaft-ring.yaml")
	if err != nil {
		t.Fatal(err)
	}
	parts, err := os.ReadFile("../../deploy/demo/parts/output-shaft-rings.yaml")
	if err != nil {
		t.Fatal(err)
	}
	tr.write("ring.yaml", string(demo))
	tr.write("rings.yaml", string(parts))
	tr.start()
	procedures := pb.NewProcedureServiceClient(tr.conn)
	edition := func() string {
		t.Helper()
		p, err := procedures.GetProcedure(t.Context(), &pb.GetProcedureRequest{ProcedureId: "output-shaft-ring"})
		if err != nil {
			t.Fatal(err)
		}
		return p.GetProcedure().GetEdition()
	}
	tr.write("ring.yaml", strings.Replace(string(demo), `edition: "1"`, `edition: "2"`, 1))
	answer, err := procedures.ReloadProcedures(t.Context(), &pb.ReloadProceduresRequest{})
	if err != nil || len(answer.GetChanged()) != 1 || edition() != "2" {
		t.Errorf("%v, edition %s, %v", answer, edition(), err)
	}
	tr.write("ring.yaml", strings.Replace(string(demo), `edition: "1"`, `edition: "3"`, 1))
	hangUp(t)
	tr.await("the files are read again", func() bool { return strings.Contains(tr.log.String(), "SIGHUP: all files were read again") })
	if edition() != "3" {
		t.Errorf("edition %s after SIGHUP", edition())
	}
	tr.write("ring.yaml", strings.Replace(string(demo), `unit: mm`, `unit: furlong`, 1))
	hangUp(t)
	tr.await("the log says why nothing changes", func() bool {
		return strings.Contains(tr.log.String(), "SIGHUP: nothing was put in force") && !strings.Contains(tr.log.String(), "refusal.")
	})
	_, err = procedures.ReloadProcedures(t.Context(), &pb.ReloadProceduresRequest{})
	if status.Code(err) != codes.FailedPrecondition || !strings.Contains(err.Error(), tr.path("ring.yaml")+`:6:7: unknown unit "furlong"`) || edition() != "3" {
		t.Errorf("edition %s, %v", edition(), err)
	}
}

// TestReloadEverything: SIGHUP takes the layouts and what of the configuration can change
// while the daemon runs, and names the rest. What is bad changes nothing, a pipe in the
// place of a file included, and the daemon ends as it is told.
func TestReloadEverything(t *testing.T) {
	const station = "station: trial\nhistory: history.db\nlisten: {grpc: unix://s}\nlayouts: layouts\nmasters: {MASTERS}\ngauges:\n  a: {layout: ours, port: a}\n"
	const layout = `layout: ours
title: Value in millimetres behind a letter
mode: button
frame: {ends: ["\r\n"], longest: 16}
match: 'MARK(?P<value>-?\d{1,3}\.\d{3})'
unit: mm
good: [{bytes: "MARK1.500\r\n", shown: "1.500", unit: mm, value: "1.5"}, {bytes: "MARK-1.500\r\n", shown: "-1.500", unit: mm, value: "-1.5"}]
bad: [{bytes: "1.500\r\n", reason: layout}]
`
	tr := newTrial(t, "")
	tr.write("station.yaml", strings.Replace(station, "MASTERS", "", 1))
	if err := os.Mkdir(tr.path("layouts"), 0o755); err != nil {
		t.Fatal(err)
	}
	tr.write("layouts/ours.yaml", strings.ReplaceAll(layout, "MARK", "A"))
	line := tr.plug("a")
	tr.start()
	tr.live("a")
	hung := 0
	reload := func(log string) {
		t.Helper()
		hung++
		hangUp(t)
		tr.await("the log says: "+log, func() bool {
			return strings.Count(tr.log.String(), "msg=\"SIGHUP: ") >= hung && strings.Contains(tr.log.String(), log)
		})
	}
	send := func(text string, want int) {
		t.Helper()
		if _, err := io.WriteString(line, text+"\r\n"); err != nil {
			t.Fatal(err)
		}
		tr.await(text+" is stored", func() bool { return len(tr.readings()) == want })
	}
	masters := func() int {
		t.Helper()
		answer, err := pb.NewHealthServiceClient(tr.conn).ListMasters(t.Context(), &pb.ListMastersRequest{})
		if err != nil {
			t.Fatal(err)
		}
		return len(answer.GetMasters())
	}
	send("A1.250", 1)

	tr.write("layouts/ours.yaml", strings.ReplaceAll(layout, "MARK", "B"))
	tr.write("station.yaml", strings.Replace(station, "MASTERS", `ring: {unit: mm, value: "25"}`, 1))
	reload("changed=0 gauges=1")
	tr.live("a")
	send("B1.251", 2)
	if n := masters(); n != 2 {
		t.Errorf("%d masters", n)
	}

	if err := syscall.Mkfifo(tr.path("layouts/pipe.yaml"), 0o600); err != nil {
		t.Fatal(err)
	}
	reload("layouts/pipe.yaml:1:1: this is no regular file")
	if err := os.Remove(tr.path("layouts/pipe.yaml")); err != nil {
		t.Fatal(err)
	}
	tr.write("station.yaml", "station: [")
	reload("nothing was put in force, and what was in force stays so")
	send("B1.252", 3)

	tr.write("station.yaml", strings.NewReplacer("MASTERS", "", "unix://s", "unix://other", "  a:", "  b:").Replace(station))
	reload(`keys="[listen gauges]"`)
	send("B1.253", 4)
	if n := masters(); n != 1 {
		t.Errorf("%d masters", n)
	}
	tr.stop()
}

// TestHangUpBeforeReady: a signal that comes while the files are read does not end the daemon.
func TestHangUpBeforeReady(t *testing.T) {
	tr := newTrial(t, "listen: {grpc: unix://s}\n")
	log, hung := &lockedBuffer{}, false
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan int, 1)
	go func() {
		ended <- run(ctx, []string{"--config", tr.path("station.yaml")}, log, log, func(string) string {
			if !hung {
				hung = true
				if err := syscall.Kill(os.Getpid(), syscall.SIGHUP); err != nil {
					t.Error(err)
				}
			}
			return ""
		})
	}()
	tr.await("the files are read again", func() bool { return strings.Contains(log.String(), "SIGHUP: all files were read again") })
	cancel()
	if code := <-ended; code != exitFine {
		t.Errorf("%d:\n%s", code, log)
	}
}

// TestEditedOnDisk: a job that begins on a procedure that was edited and not put in force says so.
func TestEditedOnDisk(t *testing.T) {
	tr := newTrial(t, socket+"procedures: ring.yaml\nparts: rings.yaml\ngauges:\n  a: {layout: value-with-unit, port: a}\n")
	for to, from := range map[string]string{"ring.yaml": "procedures/output-shaft-ring.yaml", "rings.yaml": "parts/output-shaft-rings.yaml"} {
		content, err := os.ReadFile("../../deploy/demo/" + from)
		if err != nil {
			t.Fatal(err)
		}
		tr.write(to, string(content))
	}
	tr.start()
	start := func(serial string) []string {
		t.Helper()
		answer, err := tr.jobs().StartJob(t.Context(), &pb.StartJobRequest{ProcedureId: "output-shaft-ring", UnitSerial: serial, By: "A", UnitSerialConfirmed: true})
		if err != nil {
			t.Fatal(err)
		}
		var codes []string
		for _, w := range answer.GetJob().GetWarnings() {
			codes = append(codes, w.GetCode())
		}
		return codes
	}
	if codes := start("1001"); len(codes) != 0 {
		t.Error(codes)
	}
	for _, name := range []string{"ring.yaml", "rings.yaml"} {
		content, err := os.ReadFile(tr.path(name))
		if err != nil {
			t.Fatal(err)
		}
		tr.write(name, string(content)+"# a note\n")
	}
	if codes := start("2002"); !slices.Equal(codes, []string{"warning.edited.procedure", "warning.edited.parts"}) {
		t.Error(codes)
	}
	hangUp(t)
	tr.await("the files are read again", func() bool { return strings.Contains(tr.log.String(), "SIGHUP: all files were read again") })
	if codes := start("3003"); len(codes) != 0 {
		t.Error(codes)
	}
}

func hangUp(t *testing.T) {
	t.Helper()
	if err := syscall.Kill(os.Getpid(), syscall.SIGHUP); err != nil {
		t.Fatal(err)
	}
}
