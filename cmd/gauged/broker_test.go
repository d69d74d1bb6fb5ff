package main

import (
	"bytes"
	"crypto/x509"
	"crypto/x509/pkix"
	"fmt"
	"os"
	"slices"
	"strings"
	"syscall"
	"testing"

	pb "gauged/api/gauged/v1"
)

// exit is how the exit to the broker stands.
func (tr *trial) exit() *pb.Exit {
	tr.t.Helper()
	answer, err := pb.NewExitServiceClient(tr.conn).ListExits(tr.t.Context(), &pb.ListExitsRequest{})
	if err != nil || len(answer.GetExits()) != 1 {
		tr.t.Fatal(answer, err)
	}
	return answer.GetExits()[0]
}

// TestBrokerDiesInMidJob: the broker dies and hangs, and the daemon is killed, in mid-job.
// Nobody waits for the broker, nothing is lost, and the order is kept.
func TestBrokerDiesInMidJob(t *testing.T) {
	gauged, _ := buildPrograms(t)
	tr := newTrial(t, socket+"PROCEDURES\n")
	b := newBroker(tr, "")
	first := b.subscribe("shop/#")
	daemon := tr.startProcess(gauged)
	id := tr.startTyped("M-1")
	tr.await("the start has come", func() bool { return same(stepsOf(first), tr.steps(id)) })

	b.kill()
	tr.enter(id, "0.0243") // acknowledged, though nobody is there
	tr.await("the exit waits", func() bool {
		return tr.exit().GetState() == pb.ExitState_EXIT_STATE_WAITING && tr.exit().GetFailure() != nil
	})
	killed(t, daemon)
	_ = tr.conn.Close()
	b.start()
	second := b.subscribe("shop/#")
	daemon = tr.startProcess(gauged)
	tr.await("what was stored has come", func() bool { return same(stepsOf(first, second), tr.steps(id)) })

	b.signal(syscall.SIGSTOP)
	tr.enter(id, "0.0244")
	tr.await("an event is under way", func() bool { return tr.exit().GetWaitingTime() != nil })
	killed(t, daemon)
	_ = tr.conn.Close()
	b.signal(syscall.SIGCONT)
	daemon = tr.startProcess(gauged)
	tr.await("what was stored has come", func() bool { return same(stepsOf(first, second), tr.steps(id)) })

	verdict := second.last("shop/trial/verdict")
	if verdict == nil {
		t.Fatal("no verdict came")
	}
	want := []string{fmt.Sprintf("seq:%d", verdict.event.GetSeq()), "event_id:" + verdict.event.GetEventId(), "unit:in"}
	if verdict.event.GetEvaluation().GetOutcome() != pb.Outcome_OUTCOME_FIT_PART || verdict.qos != "1" || verdict.content != "application/json" || !slices.Equal(verdict.properties, want) || verdict.retained != "0" {
		t.Errorf("the verdict came as %+v, with the properties %v, want %v", verdict, verdict.properties, want)
	}

	b.signal(syscall.SIGSTOP)
	tr.startTyped("M-6")
	tr.await("an event is under way", func() bool { return tr.exit().GetWaitingTime() != nil })
	if err := daemon.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	if err := daemon.Wait(); err != nil {
		t.Errorf("asked to end while its broker hangs the daemon ended with %v", err)
	}
}

// TestBrokerKnowsTheStation: whether the station is there, and how its gauges stand, is
// retained: also after the daemon was killed, and at a broker that has lost what it knew.
func TestBrokerKnowsTheStation(t *testing.T) {
	gauged, _ := buildPrograms(t)
	tr := newTrial(t, socket+"gauges:\n  dial: {layout: value-with-unit, port: dial}\n")
	tr.plug("dial")
	b := newBroker(tr, "")
	stands := func(s *subscriber, online bool, state pb.GaugeState) bool {
		there, gauge := s.last("shop/trial/station"), s.last("shop/trial/gauge/dial")
		return there != nil && there.event.GetPresence() != nil && there.event.GetPresence().GetOnline() == online &&
			gauge != nil && gauge.event.GetStateChange().GetState() == state
	}
	daemon := tr.startProcess(gauged)
	tr.live("dial")
	watching := b.subscribe("shop/#")
	tr.await("the broker knows", func() bool { return stands(watching, true, pb.GaugeState_GAUGE_STATE_LIVE) })
	killed(t, daemon)
	tr.await("the broker tells of the end", func() bool { return stands(watching, false, pb.GaugeState_GAUGE_STATE_LIVE) })
	late := b.subscribe("shop/#")
	tr.await("who comes later knows it too", func() bool { return stands(late, false, pb.GaugeState_GAUGE_STATE_LIVE) })
	if c := late.last("shop/trial/station"); c.retained != "1" || c.event.GetStation() != "trial" {
		t.Errorf("the end came as %+v", c)
	}
	_ = tr.conn.Close()
	daemon = tr.startProcess(gauged)
	tr.await("it is there again", func() bool { return stands(late, true, pb.GaugeState_GAUGE_STATE_LIVE) })
	b.kill()
	b.start()
	fresh := b.subscribe("shop/#")
	tr.await("a broker that knew nothing knows", func() bool { return stands(fresh, true, pb.GaugeState_GAUGE_STATE_LIVE) })
	if err := daemon.Process.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	tr.await("the broker tells of the end", func() bool {
		there := fresh.last("shop/trial/station")
		return there != nil && !there.event.GetPresence().GetOnline()
	})
	if err := daemon.Wait(); err != nil {
		t.Error(err)
	}
}

// TestBrokerThatRefuses: a wrong password and a certificate that changed are said plainly,
// hold up nothing, and are over when they are put right.
func TestBrokerThatRefuses(t *testing.T) {
	tr := newTrial(t, socket+"PROCEDURES\n")
	b := newBroker(tr, "")
	b.login("no such password")
	watching := b.subscribe("shop/#")
	tr.start()
	id := tr.startTyped("M-2")
	tr.await("the refusal is known", func() bool { return tr.exit().GetFailure().GetCode() == "exit.mqtt-login" })
	status, err := pb.NewServerServiceClient(tr.conn).GetServerInfo(t.Context(), &pb.GetServerInfoRequest{})
	if err != nil || !bytes.Contains([]byte(status.String()), []byte("trouble.exit.refused")) {
		t.Errorf("the station does not say that its exit is not let in: %v, %v", status, err)
	}
	if strings.Contains(tr.log.String(), "no such password") {
		t.Error("the log has the password in it")
	}
	b.login("bench knows")
	hangUp(t)
	tr.await("it is let in", func() bool { return same(stepsOf(watching), tr.steps(id)) })

	b.kill()
	b.certificate()
	b.start()
	second := b.subscribe("shop/#")
	tr.enter(id, "0.0243")
	tr.await("the certificate is not believed", func() bool {
		return tr.exit().GetFailure().GetCode() == "exit.mqtt-not-reached" && strings.Contains(tr.exit().GetFailure().String(), "certificate")
	})
	hangUp(t) // which reads the new authority
	tr.await("it is believed", func() bool { return same(stepsOf(watching, second), tr.steps(id)) })
}

// TestThinnedReadings: of readings that come fast few come, the last one does, and none is
// gone uncounted.
func TestThinnedReadings(t *testing.T) {
	tr := newTrial(t, socket+"gauges:\n  dial: {layout: value-with-unit, port: dial}\n")
	line := tr.plug("dial")
	b := newBroker(tr, ", readings_every: 1s")
	watching := b.subscribe("shop/trial/reading/#")
	tr.start()
	tr.live("dial")
	tr.await("the exit is in", func() bool { return strings.Contains(tr.log.String(), "an exit has come in at its broker") })
	const many = 60
	for i := range many {
		if _, err := fmt.Fprintf(line, "+%03d.415 mm\r\n", i); err != nil {
			t.Fatal(err)
		}
	}
	tr.await("all are stored", func() bool { return len(tr.readings()) == many })
	var last *come
	tr.await("the last one has come", func() bool {
		last = watching.last("shop/trial/reading/dial")
		return last != nil && last.event.GetReading().GetNumber() == many
	})
	tr.await("all are counted", func() bool {
		r := tr.exit().GetReadings()
		return r.GetTakenCount()+r.GetThinnedCount() == many && r.GetTakenCount() == uint64(len(watching.got())) && r.GetThinnedCount() > 0
	})
	if want := fmt.Sprintf("seq:%d", last.event.GetSeq()); !slices.Contains(last.properties, want) || !slices.Contains(last.properties, "unit:mm") || last.retained != "0" || last.event.GetKind() != pb.ExitEventKind_EXIT_EVENT_KIND_READING {
		t.Errorf("the last reading came as %+v", last)
	}
}

// TestBrokerThatWantsACertificate: the station proves itself with a certificate of its own,
// in the place of a password. Without one it is told so, and it is let in when it has one.
func TestBrokerThatWantsACertificate(t *testing.T) {
	tr := newTrial(t, socket+"PROCEDURES\n")
	b := newBroker(tr, "")
	b.configure("cafile " + tr.path("broker.pem") + "\nrequire_certificate true\nuse_identity_as_username true\n")
	b.kill()
	b.start()
	b.issue("shop", &x509.Certificate{Subject: pkix.Name{CommonName: "shop"}, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageClientAuth}})
	b.issue("bench", &x509.Certificate{Subject: pkix.Name{CommonName: "bench"}, ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageClientAuth}})
	tr.start()
	id := tr.startTyped("M-3")
	tr.await("the broker does not believe the station", func() bool {
		f := tr.exit().GetFailure()
		return f.GetCode() == "exit.mqtt-certificate" && strings.Contains(f.String(), "certificate")
	})
	b.more = []string{"--cert", tr.path("shop.pem"), "--key", tr.path("shop.key")}
	watching := b.subscribe("shop/#")
	station, err := os.ReadFile(tr.path("station.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	tr.write("station.yaml", strings.Replace(string(station), "login_file: plant.login", "certificate: bench.pem, key: bench.key", 1))
	hangUp(t)
	tr.await("it is let in", func() bool { return same(stepsOf(watching), tr.steps(id)) })
	if !strings.Contains(b.log.String(), "u'bench'") {
		t.Errorf("the broker does not know the station by its certificate:\n%s", b.log)
	}
}

// TestClientIDThatAnotherHas: a program that comes in with the client id of the station takes
// its connection. Debian's broker does not say so; the station does, waits longer each time,
// and loses nothing.
func TestClientIDThatAnotherHas(t *testing.T) {
	tr := newTrial(t, socket+"PROCEDURES\n")
	b := newBroker(tr, "")
	watching := b.subscribe("shop/#")
	tr.start()
	id := tr.startTyped("M-4")
	tr.await("the start has come", func() bool { return same(stepsOf(watching), tr.steps(id)) })
	b.fights("trial-plant")
	tr.await("the station says what its trouble is", func() bool {
		status, err := pb.NewServerServiceClient(tr.conn).GetServerInfo(t.Context(), &pb.GetServerInfoRequest{})
		if err != nil {
			t.Fatal(err)
		}
		return strings.Contains(status.String(), "trouble.exit.unsteady") && strings.Contains(status.String(), "trial-plant")
	})
	tr.enter(id, "0.0243")
	tr.await("what happens meanwhile has come", func() bool { return same(stepsOf(watching), tr.steps(id)) })
}

// TestTopicThatIsForbidden: where the broker lets the station publish only in part, that is
// said with the topic, and the event is taken when the broker allows it.
func TestTopicThatIsForbidden(t *testing.T) {
	tr := newTrial(t, socket+"PROCEDURES\n")
	b := newBroker(tr, "")
	rights := "user shop\ntopic readwrite #\nuser bench\ntopic write shop/trial/station\n"
	tr.write("rights", rights)
	b.configure("acl_file " + tr.path("rights") + "\n")
	b.kill()
	b.start()
	watching := b.subscribe("shop/#")
	tr.start()
	id := tr.startTyped("M-5")
	tr.await("it is said where the station may not publish", func() bool {
		f := tr.exit().GetFailure()
		return f.GetCode() == "exit.mqtt-topic" && strings.Contains(f.String(), "shop/trial/job")
	})
	if e := tr.exit(); e.GetState() != pb.ExitState_EXIT_STATE_WAITING || e.GetWaitingTime() == nil {
		t.Errorf("%v", e)
	}
	tr.write("rights", rights+"topic write shop/trial/#\n")
	b.reads()
	tr.await("it comes when it is allowed", func() bool { return same(stepsOf(watching), tr.steps(id)) })
}
