package examples_test

import (
	"encoding/json"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "gauged/api/gauged/v1"
	"gauged/client"
)

const many = 20_000 // more than twice what counts as far behind

// value is what the gauge shows at the n-th reading.
func value(n int) string { return fmt.Sprintf("%d.%03d", n/1000, n%1000) }

// inTrouble runs a program that the daemon is killed under, that is killed itself, and both at
// once, each time in mid-stream, and then alone. It returns the last run and what all of them printed.
func (b *bench) inTrouble(g *gate, run func() *program) (last *program, printed string) {
	b.t.Helper()
	first := run().start()
	b.holds(g, first)
	b.kill()
	b.start()
	b.holds(g, first)
	first.killed()
	second := run().start()
	b.holds(g, second)
	b.kill()
	second.killed()
	last = run().start()
	b.start()
	return last, first.out.String() + second.out.String()
}

// TestFeed: every reading of a file is stored once, in order. One for a gauge that is not there
// is told with its reason.
func TestFeed(t *testing.T) {
	inEach(t, func(t *testing.T, example func(string, ...string) *program) {
		b := newBench(t, open)
		var file strings.Builder
		for n := range many {
			fmt.Fprintf(&file, "press %s mm\n", value(n+1))
		}
		name := b.write("readings.txt", "pres 1.000 mm\n"+file.String())
		g := b.gate(true, 100_000, 3)
		last, printed := b.inTrouble(g, func() *program { return example("feed", "unix://"+g.address, "press-1", name) })
		if err := last.ends(); err != nil {
			t.Fatalf("%v:\n%s", err, &last.out)
		}
		stored := b.stored()
		for i, line := range stored {
			if !strings.HasSuffix(line, " "+value(i+1)) {
				t.Fatalf("reading %d is %s, want %s", i+1, line, value(i+1))
			}
		}
		if len(stored) != many {
			t.Errorf("%d readings are stored, want %d", len(stored), many)
		}
		for _, want := range []string{"stored before: 0\n", "refused: 1 because.sent.no-gauge\n", "the station is away: waiting\n"} {
			if !strings.Contains(printed, want) {
				t.Errorf("it did not print %q but\n%s", want, printed)
			}
		}
		if out := last.out.String(); !regexp.MustCompile(`stored before: [1-9]\d{2,4}\n`).MatchString(out) || !strings.HasSuffix(out, fmt.Sprintf("stored: %d\n", many+1)) {
			t.Errorf("the last run printed\n%s", out)
		}
	})
}

// line is one that readings and verdicts keep.
type line struct {
	client.Place
	Gauge, Value, Unit, Outcome string
	Job                         uint64
}

// kept are the lines of a file that are written.
func kept(t *testing.T, name string) (all []line) {
	t.Helper()
	content, err := os.ReadFile(name)
	if os.IsNotExist(err) {
		return nil
	}
	check(t, err)
	number := regexp.MustCompile(`"(after_seq|job)":\s*"(\d+)"`) // Node has large numbers as text
	for text := range strings.Lines(number.ReplaceAllString(string(content), `"$1":$2`)) {
		if !strings.HasSuffix(text, "\n") {
			break // it is being written
		}
		var l line
		if err := json.Unmarshal([]byte(text), &l); err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		all = append(all, l)
	}
	return all
}

// TestReadings: every reading of the history is kept once, in order, from the first to those
// that come in the end. Who is far behind is told.
func TestReadings(t *testing.T) {
	inEach(t, func(t *testing.T, example func(string, ...string) *program) {
		b := newBench(t, open)
		f, err := b.Feed(t.Context(), client.Sender{Source: "press-1"})
		check(t, err)
		send := func(n int) {
			check(t, f.Send(t.Context(), &pb.IngestedReading{SourceSeq: uint64(n), GaugeId: "press", Shown: value(n), Unit: pb.Unit_UNIT_MILLIMETRE}))
		}
		for n := range many {
			send(n + 1)
		}
		check(t, f.Flush(t.Context()))
		name := filepath.Join(b.dir, "kept")
		g := b.gate(false, 400_000, 3)
		last, printed := b.inTrouble(g, func() *program { return example("readings", "unix://"+g.address, name) })
		send(many + 1)
		check(t, f.Flush(t.Context()))
		b.await("all readings are kept", func() bool { return len(kept(t, name)) > many })
		last.killed()
		var got []string
		for _, l := range kept(t, name) {
			if l.Gauge != "press" || l.Unit != "UNIT_MILLIMETRE" || l.StretchID == "" {
				t.Fatalf("it keeps %+v", l)
			}
			got = append(got, fmt.Sprint(l.AfterSeq, " ", l.Value))
		}
		if want := b.stored(); !slices.Equal(got, want) || len(want) != many+1 {
			t.Errorf("%d of %d readings are kept, of %d", len(got), len(want), many+1)
		}
		for _, want := range []string{"behind: at ", "the station is away: waiting\n"} {
			if !strings.Contains(printed, want) {
				t.Errorf("it did not print %q but\n%s", want, printed)
			}
		}
	})
}

// TestVerdicts: every verdict is kept once, in order, and that one was taken back.
func TestVerdicts(t *testing.T) {
	inEach(t, func(t *testing.T, example func(string, ...string) *program) {
		b := newBench(t, open)
		var ids []uint64
		for n := range 80 {
			ids = append(ids, b.judged(fmt.Sprint("V-", n)))
		}
		name := filepath.Join(b.dir, "kept")
		g := b.gate(false, 1200, 3)
		last, printed := b.inTrouble(g, func() *program { return example("verdicts", "unix://"+g.address, name) })
		_, err := pb.NewJobServiceClient(b.Conn()).DiscardReading(t.Context(), &pb.DiscardReadingRequest{JobId: ids[0], Reason: "slipped"})
		check(t, err)
		var want []string
		for _, id := range ids {
			want = append(want, b.verdicts(id)...)
		}
		b.await("all verdicts are kept", func() bool { return len(kept(t, name)) >= len(want) })
		last.killed()
		var got []string
		for _, l := range kept(t, name) {
			got = append(got, fmt.Sprint(l.AfterSeq, " ", l.Job, " ", l.Outcome))
		}
		inOrder := func(a, b string) int { return seqOf(t, a) - seqOf(t, b) }
		if slices.SortFunc(want, inOrder); !slices.Equal(got, want) || len(got) <= len(ids) {
			t.Errorf("kept were\n%v\nof\n%v", got, want)
		}
		if !strings.HasSuffix(got[len(got)-1], " OUTCOME_MEASURING") {
			t.Errorf("the last one is %s, and its verdict was taken back", got[len(got)-1])
		}
		if !strings.Contains(printed, "the station is away: waiting\n") {
			t.Errorf("it printed\n%s", printed)
		}
	})
}

func seqOf(t *testing.T, line string) (seq int) {
	t.Helper()
	_, err := fmt.Sscan(line, &seq)
	check(t, err)
	return seq
}

// judged is a job with the readings of a verdict.
func (b *bench) judged(unit string) uint64 {
	b.t.Helper()
	jobs := pb.NewJobServiceClient(b.Conn())
	started, err := jobs.StartJob(b.t.Context(), &pb.StartJobRequest{ProcedureId: "idler-thrust-washer", UnitSerial: unit, By: "test"})
	check(b.t, err)
	for _, shown := range []string{"0.0243", "0.0244"} {
		_, err := jobs.EnterReading(b.t.Context(), &pb.EnterReadingRequest{JobId: started.GetJob().GetId(), Shown: shown, Unit: pb.Unit_UNIT_INCH})
		check(b.t, err)
	}
	return started.GetJob().GetId()
}

// verdicts are those of a job that the history has.
func (b *bench) verdicts(id uint64) (all []string) {
	b.t.Helper()
	answer, err := pb.NewHistoryServiceClient(b.Conn()).ListJobFacts(b.t.Context(), &pb.ListJobFactsRequest{JobId: id})
	check(b.t, err)
	for _, f := range answer.GetFacts() {
		if f.GetVerdict() != nil {
			all = append(all, fmt.Sprint(f.GetSeq(), " ", id, " ", f.GetVerdict().GetOutcome()))
		}
	}
	return all
}

// TestRefused: what a program cannot do ends it with the reason. A place of another history is
// refused, and a line of readings that is none is named.
func TestRefused(t *testing.T) {
	inEach(t, func(t *testing.T, example func(string, ...string) *program) {
		b := newBench(t, open)
		b.judged("V-1")
		place := b.write("kept", `{"after_seq": 3, "stretch_id": "0123456789abcdef"}`+"\n")
		readings := b.write("readings.txt", "press 1.000 mm\npress 1.001\n")
		for _, c := range []struct {
			args []string
			want string
		}{
			{[]string{"readings", "unix://" + b.socket, place}, "WATCH_OTHER_HISTORY: "},
			{[]string{"verdicts", "unix://" + b.socket, place}, "WATCH_OTHER_HISTORY: "},
			{[]string{"feed", "unix://" + b.socket, "press-1", readings}, readings + ":2: "},
		} {
			p := example(c.args[0], c.args[1:]...).start()
			if err := p.ends(); err == nil || !strings.Contains(p.out.String(), c.want) {
				t.Errorf("%v ends with %v and %s", c.args, err, &p.out)
			}
		}
	})
}

// TestOverTLS: beyond this machine a program shows a token, and trusts the authority of the station.
func TestOverTLS(t *testing.T) {
	inEach(t, func(t *testing.T, example func(string, ...string) *program) {
		free, err := net.Listen("tcp", "127.0.0.1:0")
		check(t, err)
		address := free.Addr().String()
		check(t, free.Close())
		b := newBench(t, fmt.Sprintf("tls: {own: yes, names: [127.0.0.1]}\nlisten: {grpc: [unix://s, %q]}\n", strings.Replace(address, "127.0.0.1", "0.0.0.0", 1)))
		answer, err := pb.NewAccessServiceClient(b.Conn()).MakeToken(t.Context(), &pb.MakeTokenRequest{
			Name: "press-1", Role: pb.Role_ROLE_STATION, GaugeIds: []string{"press"}, ExpireTime: timestamppb.New(time.Now().Add(time.Hour)),
		})
		check(t, err)
		t.Setenv("CA", filepath.Join(b.dir, "tls", "authority.pem"))
		readings := b.write("readings.txt", "press 1.000 mm\npress 1.001 mm\n")
		p := example("feed", address, "press-1", readings).start()
		if err := p.ends(); err == nil || !strings.Contains(p.out.String(), "ACCESS_") {
			t.Errorf("without a token: %v and %s", err, &p.out)
		}
		t.Setenv("TOKEN_FILE", b.write("token", answer.GetSecret()+"\n"))
		p = example("feed", address, "press-1", readings).start()
		if err := p.ends(); err != nil || !strings.HasSuffix(p.out.String(), "stored: 2\n") || len(b.stored()) != 2 {
			t.Errorf("with a token: %v and %s", err, &p.out)
		}
	})
}
