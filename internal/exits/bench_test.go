package exits_test

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"sync"
	"testing"
	"time"

	"gauged/internal/exits"
	"gauged/internal/exits/letter"
	"gauged/internal/exits/webhook"
	"gauged/internal/gauge"
	"gauged/internal/historytest"
	"gauged/internal/tail"
)

// followed is a history that an exit follows.
type followed struct{ *tail.Tail }

func (f followed) Watch(after uint64) *tail.Cursor { return f.From(after) }

// BenchmarkWebhook takes the time from the end of a commit to the event in the hands of its
// receiver, on this machine, and in the same run that of a bare request to it. Then it takes
// how many events a second come of what was stored at once.
func BenchmarkWebhook(b *testing.B) {
	const one, burst = 1000, 5000
	came := make(chan time.Time, burst)
	receiver := httptest.NewServer(http.HandlerFunc(func(_ http.ResponseWriter, r *http.Request) {
		_, _ = io.Copy(io.Discard, r.Body)
		came <- time.Now()
	}))
	defer receiver.Close()
	secret := filepath.Join(b.TempDir(), "secret")
	if err := os.WriteFile(secret, []byte("whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw\n"), 0o600); err != nil {
		b.Fatal(err)
	}
	secrets, err := webhook.ReadSecrets(secret, "")
	if err != nil {
		b.Fatal(err)
	}
	store := historytest.Open(b)
	newest := tail.New(store)
	body := bytes.Repeat([]byte("x"), 2000)
	x := exits.New(exits.Options{Store: store, History: followed{newest}, Now: time.Now, Log: slog.New(slog.DiscardHandler), Writer: func() letter.Write {
		return func(_ context.Context, f gauge.Fact) (letter.Letter, error) {
			return letter.Letter{Fact: f, ID: fmt.Sprint(f.Seq), Body: body}, nil
		}
	}})
	hook := webhook.Hook{ID: "shop", URL: receiver.URL, Secrets: secrets}
	x.Set(b.Context(), []exits.Definition{{ID: "shop", Events: gauge.Events, GiveUpAfter: 72 * time.Hour, Sender: webhook.NewSender(hook, "gauged", time.Now)}})
	ctx, cancel := context.WithCancel(context.Background())
	var running sync.WaitGroup
	running.Go(func() { x.Run(ctx) })
	defer running.Wait()
	defer cancel()
	happens := func(n int) {
		var facts []gauge.Fact
		for i := range uint64(n) {
			facts = append(facts, gauge.Fact{Seq: newest.Newest() + 1 + i, State: &gauge.StateChange{Gauge: "dial", Time: time.Now(), State: gauge.StateLive}})
		}
		if err := store.Append(b.Context(), facts); err != nil {
			b.Fatal(err)
		}
		newest.Add(facts)
	}
	var lags, bare []time.Duration
	rate := 0.0
	for b.Loop() {
		for range one {
			happens(1)
			stored := time.Now()
			lags = append(lags, max((<-came).Sub(stored), 0))
			begin := time.Now()
			answer, err := http.Post(receiver.URL, "application/json", bytes.NewReader(body))
			if err != nil {
				b.Fatal(err)
			}
			bare = append(bare, (<-came).Sub(begin))
			_ = answer.Body.Close()
		}
		begin := time.Now()
		happens(burst)
		for range burst {
			<-came
		}
		rate = burst / time.Since(begin).Seconds()
	}
	http.DefaultClient.CloseIdleConnections()
	for name, all := range map[string][]time.Duration{"lag": lags, "bare": bare} {
		slices.Sort(all)
		b.ReportMetric(float64(all[len(all)/2].Microseconds()), name+"-p50-us")
		b.ReportMetric(float64(all[len(all)*99/100].Microseconds()), name+"-p99-us")
	}
	b.ReportMetric(rate, "events/s")
}
