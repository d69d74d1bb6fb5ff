package main

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"

	"google.golang.org/protobuf/encoding/protojson"

	pb "gauged/api/gauged/v1"
)

// shop is a receiver of webhooks.
type shop struct {
	t      testing.TB
	server *httptest.Server
	secret []byte

	mu     sync.Mutex
	events []*pb.ExitEvent
	bodies map[string]string // of events by their ids
	hangs  chan struct{}     // nil: it answers; what comes is answered when it is closed
	held   int               // requests that wait for that
}

const shopSecret = "c2VjcmV0LW9mLXRoZS1zaG9wLWZvci10ZXN0cw=="

// newShop serves a shop, and has the station of a trial tell it what is in events.
func newShop(tr *trial, events string) *shop {
	tr.t.Helper()
	s := &shop{t: tr.t, bodies: map[string]string{}}
	s.secret, _ = base64.StdEncoding.DecodeString(shopSecret)
	s.server = httptest.NewServer(s)
	tr.t.Cleanup(func() { s.answers(); s.server.Close() })
	if err := os.WriteFile(tr.path("shop.secret"), []byte("whsec_"+shopSecret+"\n"), 0o600); err != nil {
		tr.t.Fatal(err)
	}
	station, err := os.ReadFile(tr.path("station.yaml"))
	if err != nil {
		tr.t.Fatal(err)
	}
	tr.write("station.yaml", string(station)+fmt.Sprintf("webhooks:\n  orders: {url: %q, secret_file: shop.secret, events: %s}\n", s.server.URL+"/gauged", events))
	return s
}

// ServeHTTP takes an event, if it is signed.
func (s *shop) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	body, err := io.ReadAll(r.Body)
	mac := hmac.New(sha256.New, s.secret)
	fmt.Fprintf(mac, "%s.%s.%s", r.Header.Get("webhook-id"), r.Header.Get("webhook-timestamp"), body)
	if want := "v1," + base64.StdEncoding.EncodeToString(mac.Sum(nil)); err != nil || r.Header.Get("webhook-signature") != want {
		s.t.Errorf("signature %q, want %q, %v", r.Header.Get("webhook-signature"), want, err)
	}
	e := &pb.ExitEvent{}
	if err := protojson.Unmarshal(body, e); err != nil || e.GetEventId() != r.Header.Get("webhook-id") {
		s.t.Errorf("%s has the body %s, %v", r.Header.Get("webhook-id"), body, err)
	}
	s.mu.Lock()
	hangs := s.hangs
	if hangs != nil {
		s.held++
	}
	s.mu.Unlock()
	if hangs != nil {
		select {
		case <-hangs:
		case <-r.Context().Done():
		}
		w.WriteHeader(http.StatusServiceUnavailable)
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if before, again := s.bodies[e.GetEventId()]; again && before != string(body) {
		s.t.Errorf("%s came again with another body:\n%s\n%s", e.GetEventId(), before, body)
	} else if !again {
		s.bodies[e.GetEventId()] = string(body)
		s.events = append(s.events, e)
	}
}

// hang has the shop answer nothing.
func (s *shop) hang() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.hangs, s.held = make(chan struct{}), 0
}

// answers has it answer again.
func (s *shop) answers() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.hangs != nil {
		close(s.hangs)
		s.hangs = nil
	}
}

// holds is how many requests wait for an answer, or were given up by who asked.
func (s *shop) holds() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.held
}

// got are the events that came, each once, in the order in which they came first.
func (s *shop) got() (all []string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, e := range s.events {
		all = append(all, fmt.Sprintf("%d %v", e.GetSeq(), e.GetJobChange().GetKind()))
	}
	return all
}

// steps are those of a job in the history, in the same form.
func (tr *trial) steps(job uint64) (all []string) {
	tr.t.Helper()
	kinds := map[string]string{"started": "STARTED", "cautions_read": "ACKNOWLEDGED", "taken": "TAKEN", "verdict": "VERDICT", "chosen": "CHOSEN", "fitted": "FITTED", "verdict_signed": "VERIFIED", "closed": "CLOSED"}
	answer, err := tr.history().ListJobFacts(tr.t.Context(), &pb.ListJobFactsRequest{JobId: job})
	if err != nil {
		tr.t.Fatal(err)
	}
	for _, f := range answer.GetFacts() {
		m := f.ProtoReflect()
		step := m.WhichOneof(m.Descriptor().Oneofs().ByName("step"))
		all = append(all, fmt.Sprintf("%d JOB_CHANGE_KIND_%s", f.GetSeq(), kinds[string(step.Name())]))
	}
	return all
}

// startTyped starts a job whose readings are typed in.
func (tr *trial) startTyped(unit string) uint64 {
	tr.t.Helper()
	answer, err := tr.jobs().StartJob(tr.t.Context(), &pb.StartJobRequest{ProcedureId: "idler-thrust-washer", UnitSerial: unit, By: "test"})
	if err != nil {
		tr.t.Fatal(err)
	}
	return answer.GetJob().GetId()
}

func (tr *trial) enter(job uint64, shown string) {
	tr.t.Helper()
	if _, err := tr.jobs().EnterReading(tr.t.Context(), &pb.EnterReadingRequest{JobId: job, Shown: shown, Unit: pb.Unit_UNIT_INCH}); err != nil {
		tr.t.Fatal(err)
	}
}

func same(a, b []string) bool { return strings.Join(a, "\n") == strings.Join(b, "\n") }

// TestKillInMidDelivery kills the daemon while the receiver holds an event, again and again.
// Nothing is lost, the order is kept, and what comes twice has the same id and body.
func TestKillInMidDelivery(t *testing.T) {
	gauged, _ := buildPrograms(t)
	tr := newTrial(t, socket+"PROCEDURES\n")
	s := newShop(tr, "[job, verdict]")
	daemon := tr.startProcess(gauged)
	kill := func(daemon *exec.Cmd) *exec.Cmd {
		tr.await("an event is under way", func() bool { return s.holds() > 0 })
		killed(t, daemon)
		_ = tr.conn.Close()
		s.answers()
		return tr.startProcess(gauged)
	}
	s.hang()
	id := tr.startTyped("H-1")
	daemon = kill(daemon)
	for _, shown := range []string{"0.0243", "0.0244"} {
		tr.await("what is stored has come", func() bool { return same(s.got(), tr.steps(id)) })
		s.hang()
		tr.enter(id, shown)
		daemon = kill(daemon)
	}
	tr.await("what is stored has come", func() bool { return same(s.got(), tr.steps(id)) })
	killed(t, daemon)
	s.mu.Lock()
	defer s.mu.Unlock()
	last := s.events[len(s.events)-1]
	if last.GetKind() != pb.ExitEventKind_EXIT_EVENT_KIND_VERDICT || last.GetEvaluation().GetOutcome() != pb.Outcome_OUTCOME_FIT_PART || last.GetStation() != "trial" || last.GetJobChange().GetUnitSerial() != "H-1" {
		t.Errorf("the last event is %v", last)
	}
}

// TestNothingWaitsForAReceiver: with a receiver that takes an event and never answers, a job
// goes from its start to its end. When the receiver answers at last, everything comes.
func TestNothingWaitsForAReceiver(t *testing.T) {
	tr := newTrial(t, socket+"PROCEDURES\n")
	s := newShop(tr, "[job, verdict]")
	s.hang()
	tr.start()
	id := tr.startTyped("H-2")
	tr.await("the receiver hangs", func() bool { return s.holds() == 1 })
	for _, shown := range []string{"0.0243", "0.0244"} {
		tr.enter(id, shown)
	}
	if _, err := tr.jobs().CloseJob(t.Context(), &pb.CloseJobRequest{JobId: id, Reason: "given up", By: "test"}); err != nil {
		t.Fatal(err)
	}
	if n, got := s.holds(), s.got(); n != 1 || len(got) > 0 {
		t.Fatalf("the receiver has %d events and answered %v: it was to hang", n, got)
	}
	exits := pb.NewExitServiceClient(tr.conn)
	answer, err := exits.ListExits(t.Context(), &pb.ListExitsRequest{})
	if err != nil || len(answer.GetExits()) != 1 {
		t.Fatal(answer, err)
	}
	if e := answer.GetExits()[0]; e.GetExitId() != "orders" || e.GetState() != pb.ExitState_EXIT_STATE_SENDING || e.GetBehindCount() < 5 || e.GetWaitingTime() == nil || e.GetAddress() != s.server.URL+"/gauged" {
		t.Errorf("the exit stands as %v", e)
	}
	s.answers()
	tr.await("what is stored has come", func() bool { return same(s.got(), tr.steps(id)) })
}

// TestExitByCommand pauses an exit over the calls; the daemon that is started next knows it,
// and what happened comes when it is resumed.
func TestExitByCommand(t *testing.T) {
	tr := newTrial(t, socket+"PROCEDURES\n")
	s := newShop(tr, "verdict")
	tr.start()
	exits := pb.NewExitServiceClient(tr.conn)
	paused, err := exits.PauseExit(t.Context(), &pb.PauseExitRequest{ExitId: "orders", By: "lead"})
	if err != nil || paused.GetExit().GetState() != pb.ExitState_EXIT_STATE_PAUSED || paused.GetExit().GetPausedBy() != "lead" {
		t.Fatal(paused, err)
	}
	id := tr.startTyped("H-3")
	for _, shown := range []string{"0.0243", "0.0244"} {
		tr.enter(id, shown)
	}
	tr.stop()
	tr.start()
	exits = pb.NewExitServiceClient(tr.conn)
	letters, err := exits.ListDeadLetters(t.Context(), &pb.ListDeadLettersRequest{ExitId: "orders"})
	if err != nil || len(letters.GetDeadLetters()) > 0 || len(s.got()) > 0 {
		t.Errorf("%v, %v; %v came", letters, err, s.got())
	}
	resumed, err := exits.ResumeExit(t.Context(), &pb.ResumeExitRequest{ExitId: "orders", By: "lead"})
	if err != nil || resumed.GetExit().GetPauseTime() != nil {
		t.Fatal(resumed, err)
	}
	tr.await("the verdicts come", func() bool { return len(s.got()) > 0 && strings.HasSuffix(s.got()[0], "VERDICT") })
}

// TestWebhooksAreReadAgain: SIGHUP takes another address and another secret, and the exit
// goes on where it was; without its webhook nothing more comes.
func TestWebhooksAreReadAgain(t *testing.T) {
	tr := newTrial(t, socket+"PROCEDURES\n")
	s := newShop(tr, "[job, verdict]")
	station, err := os.ReadFile(tr.path("station.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	hung := 0
	reload := func(content string) {
		t.Helper()
		tr.write("station.yaml", content)
		hung++
		hangUp(t)
		tr.await("the files are read again", func() bool { return strings.Count(tr.log.String(), "SIGHUP: all files were read again") == hung })
	}
	reach := func(url string) string { return strings.Replace(string(station), s.server.URL, url, 1) }
	tr.write("station.yaml", reach("http://127.0.0.1:1"))
	tr.start()
	id := tr.startTyped("H-4")
	tr.await("the receiver is not reached", func() bool { return strings.Contains(tr.log.String(), "an exit could not hand on what is stored") })
	if strings.Contains(tr.log.String(), shopSecret) {
		t.Error("the log has the secret in it")
	}
	reload(reach(s.server.URL))
	tr.await("what is stored has come", func() bool { return same(s.got(), tr.steps(id)) })
	plain, _, _ := strings.Cut(string(station), "webhooks:")
	reload(plain)
	answer, err := pb.NewExitServiceClient(tr.conn).ListExits(t.Context(), &pb.ListExitsRequest{})
	if err != nil || len(answer.GetExits()) > 0 {
		t.Errorf("%v, %v", answer, err)
	}
	before := len(s.got())
	tr.enter(id, "0.0243")
	reload(string(station))
	tr.await("what was stored meanwhile has come", func() bool { return len(s.got()) > before && same(s.got(), tr.steps(id)) })
}
