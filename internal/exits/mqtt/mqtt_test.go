package mqtt

import (
	"bytes"
	"errors"
	"fmt"
	"net"
	"strings"
	"testing"
	"time"

	"go.uber.org/goleak"

	"gauged/internal/exits/letter"
	"gauged/internal/gauge"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

var morning = time.Date(2026, 3, 2, 7, 0, 0, 0, time.UTC)

// at is so many milliseconds after the morning.
func at(ms int) time.Time { return morning.Add(time.Duration(ms) * time.Millisecond) }

func reading(seq uint64, id string) gauge.Fact {
	return gauge.Fact{Seq: seq, Reading: &gauge.Reading{Gauge: id}}
}

// TestThinning: readings of a gauge come no closer than was said, the last one before a
// silence always comes, and no gauge waits for another.
func TestThinning(t *testing.T) {
	th := newThinning(500 * time.Millisecond)
	due := func(ms int, want uint64, next int) {
		t.Helper()
		f, when := th.due(at(ms))
		if f.Seq != want || want == 0 && next > 0 && !when.Equal(at(next)) || want == 0 && next == 0 && !when.IsZero() {
			t.Errorf("after %d ms reading %d is due, want %d; next at %v", ms, f.Seq, want, when)
		}
	}
	came := func(seq uint64, id string, replaces bool) {
		t.Helper()
		if got := th.came(reading(seq, id)); got != replaces {
			t.Errorf("reading %d takes the place of one: %v", seq, got)
		}
	}
	due(0, 0, 0)
	came(1, "dial", false)
	due(0, 1, 0)
	came(2, "dial", false)
	due(100, 0, 500)
	came(3, "dial", true)
	came(4, "lever", false)
	due(200, 4, 0)
	due(499, 0, 500)
	due(500, 3, 0) // the last before the silence
	due(5000, 0, 0)
	came(5, "dial", false)
	due(5000, 5, 0)
	if !th.back(reading(5, "dial")) {
		t.Error("a reading that was not handed on is not kept")
	}
	due(5001, 5, 0)
	came(6, "dial", false)
	if th.back(reading(5, "dial")) {
		t.Error("a reading that a later one follows is kept")
	}
}

// TestLongPackets: a packet of the broker that is longer than an answer is refused before it
// is read, however its bytes come.
func TestLongPackets(t *testing.T) {
	puback := []byte{0x40, 2, 0, 1}
	longest := append([]byte{0x30, 0x80, 0x80, 0x04}, make([]byte, longestAnswer)...)
	fine := bytes.Join([][]byte{puback, longest, puback, {0xd0, 0}, puback}, nil)
	for _, step := range []int{1, 3, 1000, len(fine)} {
		p := incoming{}
		for rest := fine; len(rest) > 0; {
			n := min(step, len(rest))
			if !p.passes(rest[:n]) {
				t.Fatalf("in steps of %d bytes packets within the bound are refused", step)
			}
			rest = rest[n:]
		}
		if p != (incoming{}) {
			t.Errorf("in steps of %d bytes the end is %+v", step, p)
		}
	}
	for _, long := range [][]byte{{0x30, 0x81, 0x80, 0x04}, {0x30, 0xff, 0xff, 0xff, 0x7f}, {0x30, 0x80, 0x80, 0x80, 0x80, 0x6d}} {
		p := incoming{}
		if p.passes(append(bytes.Clone(puback), long...)) {
			t.Errorf("% x was taken", long)
		}
	}
}

// TestAddresses: beyond this machine a connection is encrypted, and an address has nothing secret in it.
func TestAddresses(t *testing.T) {
	for address, want := range map[string]string{
		"mqtts://plant.example": "plant.example:8883", "mqtts://plant.example:9000/": "plant.example:9000", "mqtt://127.0.0.1": "127.0.0.1:1883",
		"mqtt://[::1]:5000": "[::1]:5000", "mqtt://localhost": "localhost:1883",
		"mqtt://plant.example": "", "mqtts://ada:pw@plant.example": "", "mqtts://plant.example/x": "", "mqtts://plant.example?x=1": "", "https://plant.example": "", "plant.example:8883": "", "": "", "mqtts://": "",
	} {
		if err := CheckURL(address); (err == nil) != (want != "") {
			t.Errorf("%q: %v", address, err)
		}
		if got, _, _ := (Broker{URL: address}).place(); want != "" && got != want {
			t.Errorf("%q is at %s, want %s", address, got, want)
		}
	}
	for topics, fine := range map[string]bool{"gauged/bench-1": true, "shop": true, "": false, "a//b": false, "/a": false, "a/": false, "a/+": false, "#": false, "$SYS/a": false, "a\nb": false, strings.Repeat("a", 201): false} {
		if err := CheckTopics(topics); (err == nil) != fine {
			t.Errorf("%q: %v", topics, err)
		}
	}
}

// TestSecrets: what is no login is refused, and no form of printing shows one.
func TestSecrets(t *testing.T) {
	for content, fine := range map[string]bool{"ada\npw\n": true, "ada\r\npw\r\n": true, "ada\npw": true, "ada": false, "": false, "\npw\n": false, "ada\n\n": false, "ada\npw\nmore\n": false} {
		if _, err := ReadLogin([]byte(content), "x"); (err == nil) != fine || err != nil && !errors.Is(err, gauge.ErrInput) {
			t.Errorf("%q: %v", content, err)
		}
	}
	b := Broker{Login: Login{"ada", "hidden"}, Identity: Identity{nil, []byte("hidden")}}
	for _, form := range []string{"%v", "%+v", "%#v", "%s"} {
		if got := fmt.Sprintf(form, b); strings.Contains(got, "hidden") {
			t.Errorf("%s shows a secret: %s", form, got)
		}
	}
}

// TestBrokerThatSaysNothing: one that takes the connection and never answers is given up.
func TestBrokerThatSaysNothing(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = l.Close() }()
	short := limits{connect: time.Minute, answer: 100 * time.Millisecond, write: time.Minute, alive: 20}
	_, err = connect(t.Context(), Broker{URL: "mqtt://" + l.Addr().String(), Client: "x", Topics: "x"}, short, nil, nil)
	var says letter.AwayError
	if !errors.As(err, &says) || says.Refuses() || gauge.Told(err).Code != "exit.mqtt-silent" {
		t.Errorf("%v", err)
	}
}
