package main

import (
	"bytes"
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"fmt"
	"math/big"
	"net"
	"os"
	"os/exec"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"google.golang.org/protobuf/encoding/protojson"

	pb "gauged/api/gauged/v1"
)

// broker is Debian's mosquitto on this machine, with TLS and a file of passwords.
type broker struct {
	tr   *trial
	port string
	run  *exec.Cmd // nil: it does not run
	log  *lockedBuffer

	authority *x509.Certificate // of the broker itself
	key       *ecdsa.PrivateKey
	more      []string // with what else programs of others come in
}

// newBroker runs a broker, and has the station of a trial tell it what more says.
func newBroker(tr *trial, more string) *broker {
	tr.t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		tr.t.Fatal(err)
	}
	_, port, err := net.SplitHostPort(l.Addr().String())
	if err != nil || l.Close() != nil {
		tr.t.Fatal(err)
	}
	b := &broker{tr: tr, port: port, log: &lockedBuffer{}}
	b.certificate()
	for _, user := range []string{"bench", "shop"} {
		command := []string{"-b", tr.path("passwords"), user, user + " knows"}
		if user == "bench" {
			command = append([]string{"-c"}, command...)
		}
		if out, err := exec.Command("mosquitto_passwd", command...).CombinedOutput(); err != nil {
			tr.t.Fatalf("%v: %s", err, out)
		}
	}
	b.login("bench knows")
	b.configure("")
	station, err := os.ReadFile(tr.path("station.yaml"))
	if err != nil {
		tr.t.Fatal(err)
	}
	tr.write("station.yaml", string(station)+fmt.Sprintf("mqtt:\n  plant: {broker: \"mqtts://127.0.0.1:%s\", topics: shop/trial, ca: broker.pem, login_file: plant.login%s}\n", port, more))
	b.start()
	tr.t.Cleanup(b.kill)
	return b
}

// login writes with which password the station comes in.
func (b *broker) login(password string) {
	b.tr.t.Helper()
	if err := os.WriteFile(b.tr.path("plant.login"), []byte("bench\n"+password+"\n"), 0o600); err != nil {
		b.tr.t.Fatal(err)
	}
}

// configure writes the broker's file, with more lines.
func (b *broker) configure(more string) {
	b.tr.t.Helper()
	path := b.tr.path
	b.tr.write("mosquitto.conf", fmt.Sprintf("listener %s 127.0.0.1\ncertfile %s\nkeyfile %s\npassword_file %s\nallow_anonymous false\npersistence false\nset_tcp_nodelay true\nuser root\n%s",
		b.port, path("broker.pem"), path("broker.key"), path("passwords"), more))
}

// certificate makes a new certificate of the broker, which is its own authority.
func (b *broker) certificate() {
	b.tr.t.Helper()
	b.authority, b.key = b.issue("broker", &x509.Certificate{
		Subject: pkix.Name{CommonName: "broker of the test"}, IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, BasicConstraintsValid: true, IsCA: true,
	})
}

// issue writes a certificate with its key, which the broker's authority signs; an authority
// signs itself.
func (b *broker) issue(name string, template *x509.Certificate) (*x509.Certificate, *ecdsa.PrivateKey) {
	b.tr.t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		b.tr.t.Fatal(err)
	}
	template.SerialNumber, template.NotBefore, template.NotAfter = big.NewInt(time.Now().UnixNano()), time.Now().Add(-time.Hour), time.Now().Add(time.Hour)
	authority, signer := b.authority, b.key
	if template.IsCA {
		authority, signer = template, key
	}
	der, err := x509.CreateCertificate(rand.Reader, template, authority, &key.PublicKey, signer)
	if err != nil {
		b.tr.t.Fatal(err)
	}
	secret, err := x509.MarshalPKCS8PrivateKey(key)
	if err != nil {
		b.tr.t.Fatal(err)
	}
	b.tr.write(name+".pem", string(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der})))
	if err := os.WriteFile(b.tr.path(name+".key"), pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: secret}), 0o600); err != nil {
		b.tr.t.Fatal(err)
	}
	made, err := x509.ParseCertificate(der)
	if err != nil {
		b.tr.t.Fatal(err)
	}
	return made, key
}

func (b *broker) start() {
	b.tr.t.Helper()
	b.run = exec.Command("mosquitto", "-c", b.tr.path("mosquitto.conf"))
	b.run.Stdout, b.run.Stderr = b.log, b.log
	if err := b.run.Start(); err != nil {
		b.tr.t.Fatal(err)
	}
	b.tr.await("the broker listens", func() bool {
		c, err := net.Dial("tcp", "127.0.0.1:"+b.port)
		if err == nil {
			_ = c.Close()
		}
		return err == nil
	})
}

func (b *broker) kill() {
	if b.run != nil {
		_ = b.run.Process.Kill()
		_ = b.run.Wait()
		b.run = nil
	}
}

// reads has the broker read its files again.
func (b *broker) reads() { b.signal(syscall.SIGHUP) }

// signal stops the broker where it is, or has it go on.
func (b *broker) signal(s syscall.Signal) {
	b.tr.t.Helper()
	if err := b.run.Process.Signal(s); err != nil {
		b.tr.t.Fatal(err)
	}
}

// come is a message as a subscriber got it.
type come struct {
	topic, retained, qos, content string
	properties                    []string
	event                         *pb.ExitEvent
}

// subscriber is Debian's mosquitto_sub.
type subscriber struct {
	run *exec.Cmd
	out *lockedBuffer
	t   testing.TB
}

// arguments are those with which a program of others comes in at the broker.
func (b *broker) arguments(more ...string) []string {
	return slices.Concat([]string{"-V", "5", "-h", "127.0.0.1", "-p", b.port, "--cafile", b.tr.path("broker.pem"), "-u", "shop", "-P", "shop knows", "-q", "1"}, b.more, more)
}

// subscribe begins to listen to a filter of topics, and returns when the broker knows.
func (b *broker) subscribe(filter string) *subscriber {
	b.tr.t.Helper()
	if out, err := exec.Command("mosquitto_pub", b.arguments("-r", "-t", "probe", "-m", "here")...).CombinedOutput(); err != nil {
		b.tr.t.Fatalf("%v: %s", err, out)
	}
	s := &subscriber{out: &lockedBuffer{}, t: b.tr.t}
	s.run = exec.Command("mosquitto_sub", b.arguments("-t", filter, "-t", "probe", "-F", "%t\t%r\t%q\t%C\t%P\t%p")...)
	s.run.Stdout, s.run.Stderr = s.out, s.out
	if err := s.run.Start(); err != nil {
		b.tr.t.Fatal(err)
	}
	end := sync.OnceFunc(func() {
		_ = s.run.Process.Kill()
		_ = s.run.Wait()
	})
	b.tr.t.Cleanup(end)
	b.tr.await("somebody subscribes", func() bool { return strings.Contains(s.out.String(), "probe\t") })
	return s
}

// fights comes in with a client id once more whenever it was sent away, for as long as the test runs.
func (b *broker) fights(client string) {
	ctx, cancel := context.WithCancel(context.Background())
	var running sync.WaitGroup
	running.Go(func() {
		for ctx.Err() == nil {
			_ = exec.CommandContext(ctx, "mosquitto_sub", b.arguments("-i", client, "-t", "nothing", "-W", "2")...).Run()
		}
	})
	b.tr.t.Cleanup(func() {
		cancel()
		running.Wait()
	})
}

// got are the messages that came so far.
func (s *subscriber) got() (all []come) {
	s.t.Helper()
	text := s.out.String()
	for line := range strings.Lines(text) {
		parts := strings.SplitN(strings.TrimSuffix(line, "\n"), "\t", 6)
		if len(parts) != 6 || !strings.HasSuffix(line, "\n") || parts[0] == "probe" {
			continue
		}
		e := &pb.ExitEvent{}
		if err := protojson.Unmarshal([]byte(parts[5]), e); err != nil {
			s.t.Errorf("%q is no event: %v", line, err)
			continue
		}
		all = append(all, come{parts[0], parts[1], parts[2], parts[3], strings.Fields(parts[4]), e})
	}
	return all
}

// steps are those of jobs that came, each once, in the order in which they came first.
func stepsOf(all ...*subscriber) (steps []string) {
	for _, s := range all {
		for _, c := range s.got() {
			step := fmt.Sprintf("%d %v", c.event.GetSeq(), c.event.GetJobChange().GetKind())
			if c.event.GetJobChange() != nil && !slices.Contains(steps, step) {
				steps = append(steps, step)
			}
		}
	}
	return steps
}

// last is the newest message at a topic; nil: none came.
func (s *subscriber) last(topic string) (found *come) {
	for _, c := range s.got() {
		if c.topic == topic {
			found = &c
		}
	}
	return found
}

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
	killed(t, daemon)
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
