package page

import (
	"net/http"
	"net/url"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/page/assets"
	"gauged/internal/page/guard"
)

func TestStartPage(t *testing.T) {
	r := newRig(t)
	status, body := r.get("/", "Accept-Language", "de-AT,en;q=0.5")
	for _, want := range []string{`<html lang="de"`, "Auftrag starten", "Ring for &lt;end&gt; play", "bench &lt;1&gt;", `data-stream="/start/stream"`} {
		if status != http.StatusOK || !strings.Contains(body, want) {
			t.Errorf("%d, no %q in %s", status, want, body)
		}
	}
	if strings.Contains(body, "<script>") || strings.Contains(body, "style=") || strings.Contains(body, "onclick") {
		t.Error("something is inline")
	}
	status, to := r.post("/jobs", url.Values{"procedure": {"ring"}, "serial": {"U 1"}, "technician": {"demo"}})
	if status != http.StatusSeeOther || to != "/jobs/1" {
		t.Errorf("%d %s", status, to)
	}
	status, body = r.post("/jobs", url.Values{"procedure": {"ring"}, "technician": {"demo"}})
	if status != http.StatusUnprocessableEntity || !strings.Contains(body, "a job needs the serial number of the unit") {
		t.Errorf("%d %s", status, body)
	}
}

// TestStream: a page that is open hears of a job that another screen starts.
func TestStream(t *testing.T) {
	r := newRig(t)
	events := r.events("/start/stream")
	first := r.next(events, func(e event) bool { return e.name == "regions" })
	if !strings.Contains(first.data, "No open jobs.") || first.id == "" {
		t.Errorf("%+v", first)
	}
	r.post("/jobs", url.Values{"procedure": {"ring"}, "serial": {"U 1"}, "technician": {"demo"}})
	second := r.next(events, func(e event) bool { return e.name == "regions" && e.id != "" })
	if !strings.Contains(second.data, "U 1") || second.id <= first.id {
		t.Errorf("%+v after %+v", second, first)
	}
	r.next(events, func(e event) bool { return e.name == "alive" })
}

func TestSettings(t *testing.T) {
	r := newRig(t)
	answer := r.send(http.MethodPost, "/settings", strings.NewReader("language=de&light=dark&at=//evil.example/"), "Content-Type", "application/x-www-form-urlencoded")
	defer answer.Body.Close()
	if got := answer.Header.Get("Location"); got != "/" {
		t.Errorf("led to %s", got)
	}
	var cookies []string
	for _, c := range answer.Cookies() {
		cookies = append(cookies, c.Name+"="+c.Value)
	}
	_, body := r.get("/", "Cookie", strings.Join(cookies, "; "))
	if !strings.Contains(body, `<html lang="de" data-light="dark">`) {
		t.Errorf("%v: %.200s", cookies, body)
	}
}

// TestGuard: other sites' forms and other names are refused; nothing is loaded from elsewhere.
func TestGuard(t *testing.T) {
	r := newRig(t)
	answer := r.send(http.MethodGet, "/", nil)
	defer answer.Body.Close()
	if got := answer.Header.Get("Content-Security-Policy"); got != guard.Policy {
		t.Error(got)
	}
	for _, c := range []struct {
		headers []string
		want    int
	}{
		{[]string{"Sec-Fetch-Site", "cross-site"}, http.StatusForbidden},
		{[]string{"Origin", "http://elsewhere.example"}, http.StatusForbidden},
		{[]string{"Host", "elsewhere.example"}, http.StatusMisdirectedRequest},
		{[]string{"Host", "localhost:7480"}, http.StatusSeeOther},
		{[]string{"Host", "[::1]:7480"}, http.StatusSeeOther},
	} {
		if got, body := r.post("/settings", url.Values{}, c.headers...); got != c.want {
			t.Errorf("%v: %d %s", c.headers, got, body)
		}
	}
}

func TestNoSuchPage(t *testing.T) {
	r := newRig(t)
	if status, body := r.get("/nowhere"); status != http.StatusNotFound || !strings.Contains(body, "Page not found") {
		t.Errorf("%d %s", status, body)
	}
	if status, body := r.post("/jobs", url.Values{"procedure": {"none"}, "serial": {"1"}, "technician": {"d"}}, "X-Script", "1"); status != http.StatusNotFound || body != "there is no procedure \"none\": there are ring\n" {
		t.Errorf("%d %q", status, body)
	}
}

func TestAssets(t *testing.T) {
	r := newRig(t)
	a, err := assets.Load()
	if err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob("assets/*[^o]") // all but what is written in Go
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		name := filepath.Base(file)
		answer := r.send(http.MethodGet, a.Path(name), nil)
		answer.Body.Close()
		if answer.StatusCode != http.StatusOK || !strings.Contains(answer.Header.Get("Cache-Control"), "immutable") {
			t.Errorf("%s: %d %v", name, answer.StatusCode, answer.Header)
		}
	}
	if len(files) < 5 {
		t.Errorf("%d assets", len(files))
	}
	if status, _ := r.get("/assets/old/page.js"); status != http.StatusNotFound {
		t.Errorf("an old version is answered with %d", status)
	}
}
