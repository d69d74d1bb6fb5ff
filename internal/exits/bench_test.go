package exits_test

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/eclipse/paho.golang/paho"

	"gauged/internal/exits"
	"gauged/internal/exits/letter"
	"gauged/internal/exits/mqtt"
	"gauged/internal/exits/webhook"
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/history"
	"gauged/internal/historytest"
	"gauged/internal/tail"
)

// followed is a history that an exit follows.
type followed struct{ *tail.Tail }

func (f followed) Watch(after uint64) *tail.Cursor { return f.From(after) }

// The bench: how many events one by one, and how many that were stored at once.
const oneByOne, atOnce = 1000, 5000

// rig is a history with one exit, whose receiver says when an event came.
type rig struct {
	b      *testing.B
	store  *history.Store
	newest *tail.Tail
	came   chan time.Time
}

var body = bytes.Repeat([]byte("x"), 2000)

// newRig is a history; runs has an exit follow it.
func newRig(b *testing.B) *rig {
	b.Helper()
	store := historytest.Open(b)
	return &rig{b, store, tail.New(store), make(chan time.Time, atOnce)}
}

func (*rig) writer() letter.Write {
	return func(_ context.Context, f gauge.Fact) (letter.Letter, error) {
		return letter.Letter{Fact: f, ID: fmt.Sprint(f.Seq), Body: body}, nil
	}
}

func (r *rig) runs(sender exits.Sender) {
	x := exits.New(exits.Options{Store: r.store, History: followed{r.newest}, Writer: r.writer, Now: time.Now, Log: slog.New(slog.DiscardHandler)})
	x.Set(r.b.Context(), []exits.Definition{{ID: "shop", Events: gauge.Events, GiveUpAfter: 72 * time.Hour, Sender: sender}})
	ctx, cancel := context.WithCancel(context.Background())
	var running sync.WaitGroup
	running.Go(func() { x.Run(ctx) })
	r.b.Cleanup(func() {
		cancel()
		running.Wait()
	})
}

// happens stores events.
func (r *rig) happens(n int) {
	var facts []gauge.Fact
	for i := range uint64(n) {
		facts = append(facts, gauge.Fact{Seq: r.newest.Newest() + 1 + i, Gauge: &gauge.GaugeFact{Gauge: "dial", Kind: health.KindChecked, Time: time.Now()}})
	}
	if err := r.store.Append(r.b.Context(), facts); err != nil {
		r.b.Fatal(err)
	}
	r.newest.Add(facts)
}

// measures takes the time from the end of a commit to the event in the hands of its receiver,
// on this machine, and in the same run that of a bare message to it. Then it takes how many
// events a second come of what was stored at once.
func (r *rig) measures(bare func() error) {
	var lags, bares []time.Duration
	rate := 0.0
	for r.b.Loop() {
		for range oneByOne {
			r.happens(1)
			stored := time.Now()
			lags = append(lags, max((<-r.came).Sub(stored), 0))
			begin := time.Now()
			if err := bare(); err != nil {
				r.b.Fatal(err)
			}
			bares = append(bares, (<-r.came).Sub(begin))
		}
		begin := time.Now()
		r.happens(atOnce)
		for range atOnce {
			<-r.came
		}
		rate = atOnce / time.Since(begin).Seconds()
	}
	for name, all := range map[string][]time.Duration{"lag": lags, "bare": bares} {
		slices.Sort(all)
		r.b.ReportMetric(float64(all[len(all)/2].Microseconds()), name+"-p50-us")
		r.b.ReportMetric(float64(all[len(all)*99/100].Microseconds()), name+"-p99-us")
	}
	r.b.ReportMetric(rate, "events/s")
}

// BenchmarkWebhook: the receiver is one of HTTP.
func BenchmarkWebhook(b *testing.B) {
	r := newRig(b)
	receiver := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, request *http.Request) {
		_, _ = io.Copy(io.Discard, request.Body)
		r.came <- time.Now()
	}))
	b.Cleanup(receiver.Close)
	secret := filepath.Join(b.TempDir(), "secret")
	if err := os.WriteFile(secret, []byte("whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw\n"), 0o600); err != nil {
		b.Fatal(err)
	}
	secrets, err := webhook.ReadSecrets(secret, "")
	if err != nil {
		b.Fatal(err)
	}
	r.runs(webhook.NewSender(webhook.Hook{ID: "shop", URL: receiver.URL, Secrets: secrets}, "gauged", time.Now))
	r.measures(func() error {
		answer, err := http.Post(receiver.URL, "application/json", bytes.NewReader(body))
		if err != nil {
			return err
		}
		return answer.Body.Close()
	})
	http.DefaultClient.CloseIdleConnections()
}

// BenchmarkMQTT: the receiver subscribes at a broker, Debian's mosquitto.
func BenchmarkMQTT(b *testing.B) {
	r := newRig(b)
	address := broker(b)
	subscriber := comesIn(b, address, "subscriber", func() { r.came <- time.Now() })
	if _, err := subscriber.Subscribe(b.Context(), &paho.Subscribe{Subscriptions: []paho.SubscribeOptions{{Topic: "shop/check/dial", QoS: 1}}}); err != nil {
		b.Fatal(err)
	}
	publisher := comesIn(b, address, "publisher", func() {})
	r.runs(mqtt.NewSender(mqtt.Options{
		Broker:  mqtt.Broker{ID: "shop", URL: "mqtt://" + address, Client: "station", Topics: "shop"},
		History: followed{r.newest}, Writer: r.writer, States: func() []gauge.Fact { return nil },
		Presence: func(bool) ([]byte, error) { return []byte("{}"), nil }, Log: slog.New(slog.DiscardHandler),
	}))
	r.measures(func() error {
		_, err := publisher.Publish(b.Context(), &paho.Publish{Topic: "shop/check/dial", QoS: 1, Payload: body})
		return err
	})
}

// broker runs a broker on this machine, which lets everybody in, and returns where it is.
func broker(b *testing.B) string {
	b.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		b.Fatal(err)
	}
	address := l.Addr().String()
	_, port, err := net.SplitHostPort(address)
	if err != nil || l.Close() != nil {
		b.Fatal(err)
	}
	file := filepath.Join(b.TempDir(), "mosquitto.conf")
	if err := os.WriteFile(file, []byte("listener "+port+" 127.0.0.1\nallow_anonymous true\nset_tcp_nodelay true\npersistence false\nmax_queued_messages 0\nuser root\n"), 0o600); err != nil {
		b.Fatal(err)
	}
	run := exec.Command("mosquitto", "-c", file)
	if err := run.Start(); err != nil {
		b.Fatalf("%v (tools/setup.sh installs or names what the benchmarks need)", err)
	}
	b.Cleanup(func() {
		_ = run.Process.Kill()
		_ = run.Wait()
	})
	return address
}

// comesIn comes in at a broker once it is there, and hears of each message.
func comesIn(b *testing.B, address, id string, heard func()) *paho.Client {
	b.Helper()
	conn, err := net.Dial("tcp", address)
	for ; err != nil; conn, err = net.Dial("tcp", address) {
		time.Sleep(10 * time.Millisecond)
	}
	client := paho.NewClient(paho.ClientConfig{Conn: conn, OnPublishReceived: []func(paho.PublishReceived) (bool, error){
		func(paho.PublishReceived) (bool, error) { heard(); return true, nil },
	}})
	if _, err := client.Connect(b.Context(), &paho.Connect{ClientID: id, CleanStart: true, KeepAlive: 60}); err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { _ = client.Disconnect(&paho.Disconnect{}) })
	return client
}
