//go:build walk

package walk

import (
	"io"
	"net/http"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// thirdJob begins a job on the demonstration that stays open, so that a page of
// work in progress is walked too.
func (s *site) thirdJob() {
	s.Helper()
	s.gaugectl("job", "start", "idler-thrust-washer", "--unit-serial", "L2-0501", "--gauge", "*=lever")
}

// stages looks at the page and the sheet of a job after each of its steps.
func (s *site) stages() {
	s.Helper()
	s.gaugectl("job", "start", "output-shaft-ring", "--unit-serial", "L2-0502")
	job := s.field("jobs 0 id", "jobs", "--page-size", "1")
	for _, step := range []string{
		"acknowledge {job}",
		"enter {job} 46.415mm", "enter {job} 46.418mm", "discard {job} --reason slipped", "enter {job} 46.414mm", "enter {job} 46.417mm",
		"enter {job} 45.030mm", "enter {job} 45.034mm",
		"choose {job}", "fit {job} --thickness 1.498mm",
		"enter {job} 0.010mm", "enter {job} 0.190mm", "verify {job}", "close {job}",
	} {
		s.gaugectl(append([]string{"job"}, strings.Fields(strings.ReplaceAll(step, "{job}", job))...)...)
		for _, language := range languages {
			w := s.newWalker(language)
			for _, address := range []string{"/jobs/" + job, "/jobs/" + job + "/sheet", "/jobs/" + job + "/sheet.pdf", "/"} {
				w.visit(address)
			}
		}
		if s.Failed() {
			s.Fatalf("after job %s", step)
		}
	}
}

// begun begins a check and a study of a gauge on the page, which are not ended.
func (s *site) begun(gauge string) {
	s.Helper()
	for path, form := range map[string]url.Values{
		"/check": {"by": {"quality"}, "occasion": {"periodic"}, "master": {"zero"}, "repeats": {"3"}},
		"/study": {"by": {"quality"}, "kind": {"crossed"}, "parts": {"3"}, "persons": {"A, B"}, "trials": {"2"}, "tolerance": {"0.1"}},
	} {
		a, err := http.PostForm(s.page+"/gauges/"+gauge+path, form)
		if err != nil {
			s.Fatal(err)
		}
		_ = a.Body.Close()
		if a.StatusCode != http.StatusOK {
			s.Fatalf("%s: %s", path, a.Status)
		}
	}
}

// leverMoved puts the lever indicator on the idler with its trial washer.
func (s *site) leverMoved() {
	s.hands("set lever 0.0243")
	s.shows("lever", "0.024")
}

// atZero is how many readings the check at zero takes: the simulated indicator
// scatters, and of two readings that differ a check is undecided.
const atZero = 12

// indicatorAtZero has the indicator send what it shows at zero.
func (s *site) indicatorAtZero() {
	s.hands("set indicator 0.000")
	s.shows("indicator", "0.00")
	for range atZero {
		before := s.field("gauges 1 reading_count", "gauges")
		await(s, "the indicator sends", func() bool { return s.field("gauges 1 reading_count", "gauges") != before })
	}
}

// garbled has the depth gauge send what is no reading.
func (s *site) garbled() {
	s.hands("send depth 2b3f3f3f0d0a")
	await(s, "it is rejected", func() bool { return strings.Contains(s.gaugectl("history", "rejects"), "depth") })
}

// simulated plays a gauge that sends all the time until the test ends, and returns
// the path of its line, which nobody has open.
func (s *site) simulated() string {
	s.Helper()
	dir := s.TempDir()
	scenario := filepath.Join(dir, "scenario.yaml")
	write(s, scenario, "gauges:\n  dial: {layout: signed-line, mode: stream, every: 20ms, unit: mm, value: 1.250}\n")
	start(s, filepath.Join(dir, "out"), "dial is at", exec.Command(program(s, "gaugectl"), "simulate", scenario, "--dir", dir))
	return filepath.Join(dir, "dial")
}

// opened reads what is played into a line until its end.
func (s *site) opened(link string) {
	await(s, "the line is there", func() bool { _, err := os.Stat(link); return err == nil })
	f, err := os.Open(link)
	if err != nil {
		s.Error(err)
		return
	}
	defer f.Close()
	_, _ = io.Copy(io.Discard, f) // it ends when the player hangs up
}
