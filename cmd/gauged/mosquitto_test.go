package main

import (
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"slices"
	"strings"
	"sync"
	"syscall"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"

	pb "gauged/api/gauged/v1"
)

// broker is Debian's mosquitto on this machine, with TLS and a file of passwords.
type broker struct {
	issuer
	port string
	run  *exec.Cmd // nil: it does not run
	log  *lockedBuffer
	more []string // with what else programs of others come in
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
	b := &broker{issuer: issuer{tr: tr}, port: port, log: &lockedBuffer{}}
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
func (b *broker) certificate() { b.own("broker") }

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
