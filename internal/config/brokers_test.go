package config

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gauged/internal/gauge"
)

// withBrokers writes a station with brokers, and a login that its owner alone may read.
func withBrokers(t *testing.T, brokers string) (path string) {
	t.Helper()
	return withSecrets(t, brokers, map[string]string{"open.login": "ada\npw\n"}, map[string]string{"plant.login": "ada\npw\n", "half.login": "ada\n", "orders.secret": hookSecret})
}

// TestBrokers: what a station's file says of brokers, and what holds where it says nothing.
func TestBrokers(t *testing.T) {
	c, err := Load(t.Context(), withBrokers(t, `mqtt:
  plant: {broker: "mqtts://plant.example", login_file: plant.login}
  here: {broker: "mqtt://127.0.0.1:1884", topics: shop/bench, client: bench, events: [verdict, gauge], readings_every: 500ms, give_up_after: 12h}
`), noEnv)
	if err != nil {
		t.Fatal(err)
	}
	plant, here := c.Brokers[0], c.Brokers[1]
	if plant.Topics != "gauged/s" || plant.Client != "s-plant" || plant.GiveUpAfter != 72*time.Hour || plant.Every != 0 ||
		!cmp.Equal(plant.Letters(), []gauge.Event{gauge.EventVerdict, gauge.EventJob, gauge.EventCheck}) || !cmp.Equal(plant.Besides(), []gauge.Event{gauge.EventGauge}) {
		t.Errorf("%+v", plant)
	}
	if here.Topics != "shop/bench" || here.Client != "bench" || here.GiveUpAfter != 12*time.Hour ||
		!cmp.Equal(here.Letters(), []gauge.Event{gauge.EventVerdict}) || !cmp.Equal(here.Besides(), []gauge.Event{gauge.EventGauge, gauge.EventReading}) {
		t.Errorf("%+v", here)
	}
}

// TestBrokerProblems: each mistake with its place, all in one pass, and no secret in any.
func TestBrokerProblems(t *testing.T) {
	path := withBrokers(t, `webhooks:
  a: {url: "https://erp.example/", secret_file: orders.secret}
mqtt:
  a: {broker: "mqtt://plant.example", login_file: open.login}
  b: {broker: "mqtts://ada:pw@plant.example", login_file: half.login, topics: "a/#", readings_every: 1ms}
  c: {broker: "mqtts://plant.example", ca: ca.pem, certificate: ca.pem, password: pw}
  d: {broker: "mqtt://127.0.0.1", ca: ca.pem, events: [reading]}
  e: {broker: "plant.example"}
  f: {broker: "mqtts://plant.example", client: one}
  g: {broker: "mqtts://plant.example", client: one}
`)
	_, err := Load(t.Context(), path, noEnv)
	if err == nil {
		t.Fatal("no problem was found")
	}
	got := strings.ReplaceAll(err.Error(), filepath.Dir(path)+"/", "")
	for _, want := range []string{
		"station.yaml:5:3: a is already the name of a webhook",
		"station.yaml:5:15: plant.example is not this machine: beyond it an address begins with mqtts://",
		"station.yaml:5:51: others than its owner may read or change open.login",
		"station.yaml:6:15: the address of a broker is a name and perhaps a port",
		"station.yaml:6:59: half.login is to have two lines",
		`station.yaml:6:79: "a/#" is nothing that topics begin with`,
		`station.yaml:6:102: "1ms" is not between 10ms and an hour`,
		"station.yaml:7:44: tls: ca.pem has no certificate in PEM in it",
		"station.yaml:7:65: a certificate of the station needs its key",
		`station.yaml:7:73: "password" is not a key here`,
		`station.yaml:8:39: "ca" is for mqtts:// alone`,
		`station.yaml:8:56: "reading" is not known here: use verdict, job, gauge, check`,
		`station.yaml:9:15: "plant.example" is no address of a broker`,
		"station.yaml:11:3: g has the client id one of f at the same broker",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not among\n%s", want, got)
		}
	}
}
