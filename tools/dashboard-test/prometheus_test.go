package dashboardtest

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// monitor is a real Prometheus with the shipped rules.
type monitor struct {
	t   *testing.T
	url string
}

// newMonitor starts a Prometheus that scrapes the addresses five times a second.
// Its data are in the directory.
func newMonitor(t *testing.T, dir string, targets ...string) *monitor {
	t.Helper()
	rules, err := filepath.Abs("../../deploy/prometheus/gauged.rules.yaml")
	if err != nil {
		t.Fatal(err)
	}
	config := fmt.Sprintf(`global: {scrape_interval: 200ms, scrape_timeout: 200ms, evaluation_interval: 200ms}
rule_files: [%s]
scrape_configs: [{job_name: gauged, static_configs: [{targets: [%s]}]}]
`, rules, strings.Join(targets, ", "))
	file := filepath.Join(dir, "prometheus.yaml")
	if err := os.WriteFile(file, []byte(config), 0o644); err != nil {
		t.Fatal(err)
	}
	address := freeAddress(t)
	process(t, dir, "prometheus", "prometheus", "--config.file", file, "--web.listen-address", address,
		"--storage.tsdb.path", filepath.Join(dir, "prometheus"), "--storage.tsdb.wal-segment-size", "10MB", "--log.level", "warn")
	m := &monitor{t: t, url: "http://" + address}
	await(t, "Prometheus is ready", func() bool {
		answer, err := http.Get(m.url + "/-/ready")
		if err != nil {
			return false
		}
		_ = answer.Body.Close()
		return answer.StatusCode == http.StatusOK
	})
	return m
}

// get asks the HTTP API and reads the data of a successful answer.
func (m *monitor) get(path string, query url.Values, into any) error {
	answer, err := http.Get(m.url + "/api/v1/" + path + "?" + query.Encode())
	if err != nil {
		return err
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil {
		return err
	}
	var envelope struct {
		Status, Error string
		Data          json.RawMessage
	}
	if err := json.Unmarshal(body, &envelope); err != nil {
		return fmt.Errorf("%s: %w", body, err)
	}
	if envelope.Status != "success" {
		return fmt.Errorf("status %s: %s", envelope.Status, envelope.Error)
	}
	return json.Unmarshal(envelope.Data, into)
}

// series is one series of an answer.
type series struct {
	Metric map[string]string // its labels
	Value  [2]any            // time, and the value as text
}

// query evaluates an expression now.
func (m *monitor) query(expr string) ([]series, error) {
	var data struct{ Result []series }
	err := m.get("query", url.Values{"query": {expr}}, &data)
	return data.Result, err
}

// holds reports whether an expression gives a number now; an error fails the test.
func (m *monitor) holds(expr string) bool {
	m.t.Helper()
	result, err := m.query(expr)
	if err != nil {
		m.t.Fatalf("%s: %v", expr, err)
	}
	return slices.ContainsFunc(result, func(s series) bool { return s.Value[1] != "NaN" })
}

// rule is what Prometheus says of a rule that it has loaded.
type rule struct {
	Name, Query, Type, Health, LastError string
}

// rules lists the rules that Prometheus has loaded.
func (m *monitor) rules() []rule {
	m.t.Helper()
	var data struct{ Groups []struct{ Rules []rule } }
	if err := m.get("rules", nil, &data); err != nil {
		m.t.Fatal(err)
	}
	var all []rule
	for _, group := range data.Groups {
		all = append(all, group.Rules...)
	}
	return all
}

// fires reports whether an alert of a gauge has been raised.
func (m *monitor) fires(alert, gauge string) bool {
	m.t.Helper()
	var data struct {
		Alerts []struct {
			Labels map[string]string
			State  string
		}
	}
	if err := m.get("alerts", nil, &data); err != nil {
		m.t.Fatal(err)
	}
	for _, a := range data.Alerts {
		if a.Labels["alertname"] == alert && a.Labels["gauge"] == gauge && a.State == "firing" {
			return true
		}
	}
	return false
}
