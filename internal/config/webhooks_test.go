package config

import (
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gauged/internal/gauge"
)

// A secret of the shape that Standard Webhooks asks for.
const hookSecret = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw\n"

// withHooks writes a station with webhooks, and secrets that their owner alone may read.
func withHooks(t *testing.T, hooks string) (path string) {
	t.Helper()
	return withSecrets(t, hooks, map[string]string{"open.secret": hookSecret}, map[string]string{"orders.secret": hookSecret, "short.secret": "whsec_c2hvcnQ=\n"})
}

// withSecrets writes a station of which more is said, with files that all may read, among them
// one of authorities without any, and files that their owner alone may read.
func withSecrets(t *testing.T, more string, open, own map[string]string) (path string) {
	t.Helper()
	files := map[string]string{"station.yaml": "station: s\n" + more, "ca.pem": "no certificate\n"}
	maps.Copy(files, open)
	dir := write(t, files)
	for name, content := range own {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return filepath.Join(dir, "station.yaml")
}

// TestWebhooks: what a station's file says of webhooks, and what holds where it says nothing.
func TestWebhooks(t *testing.T) {
	c, err := Load(t.Context(), withHooks(t, `webhooks:
  orders: {url: "https://erp.example/gauged?shop=7", secret_file: orders.secret}
  here: {url: "http://127.0.0.1:8080/", secret_file: orders.secret, events: [verdict, check], give_up_after: 12h}
`), noEnv)
	if err != nil {
		t.Fatal(err)
	}
	orders, here := c.Webhooks[0], c.Webhooks[1]
	if orders.ID != "orders" || orders.Shown() != "https://erp.example/gauged" || orders.GiveUpAfter != 72*time.Hour || !cmp.Equal(orders.Events, gauge.Events) {
		t.Errorf("%+v", orders)
	}
	if here.ID != "here" || here.GiveUpAfter != 12*time.Hour || !cmp.Equal(here.Events, []gauge.Event{gauge.EventVerdict, gauge.EventCheck}) {
		t.Errorf("%+v", here)
	}
}

// TestWebhookProblems: each mistake with its place, all in one pass, and no secret in any.
func TestWebhookProblems(t *testing.T) {
	path := withHooks(t, `webhooks:
  a: {url: "http://erp.example/gauged", secret_file: open.secret}
  b: {url: "https://ada:pw@erp.example/", secret_file: short.secret, events: [verdicts], give_up_after: 5s}
  c: {secret_file: orders.secret, ca: ca.pem, attempts_at_most: 3}
  d: {url: "erp.example"}
  e: {url: "https://erp.example/", secret_file: orders.secret, events: [], give_up_after: 0s}
`)
	_, err := Load(t.Context(), path, noEnv)
	if err == nil {
		t.Fatal("no problem was found")
	}
	want := `station.yaml:3:12: erp.example is not this machine: beyond it an address begins with https://
station.yaml:3:54: others than its owner may read or change open.secret, so its secret is none: chmod 600 open.secret, and make a new secret
station.yaml:4:12: the address has a name, a secret or a part after # in it: leave them out
station.yaml:4:56: short.secret is to have one secret in it, or two on two lines while the receiver changes over. A secret is whsec_ and 24 to 64 random bytes as base64
station.yaml:4:79: "verdicts" is not known here: use verdict, job, gauge, check
station.yaml:4:105: "5s" is not between a minute and a year (8760h)
station.yaml:5:39: tls: ca.pem has no certificate in PEM in it
station.yaml:5:47: "attempts_at_most" is not a key here: did you mean url?
station.yaml:6:6: "secret_file" is missing
station.yaml:6:12: "erp.example" is no address: write https://, a name and a path
station.yaml:7:72: the exit tells of nothing: name some of verdict, job, gauge, check, or leave "events" out for all
station.yaml:7:91: "0s" is not between a minute and a year (8760h)`
	got := strings.ReplaceAll(err.Error(), filepath.Dir(path)+"/", "")
	if diff := cmp.Diff(strings.Split(want, "\n"), strings.Split(got, "\n")); diff != "" {
		t.Error(diff)
	}
}
