//go:build walk

package walk

import (
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
)

// languages are those of the page.
var languages = []string{"en", "de"}

// walker goes through the page of a station in one language.
type walker struct {
	*site
	language string
	mux      *http.ServeMux // knows the pattern of an address
	seen     map[string]bool
	asked    map[string]bool // addresses of forms, which may be refused with a reason
	waiting  []string
	visited  map[string]int // addresses by pattern
}

// route is where the page's code says which addresses are got.
var route = regexp.MustCompile(`mux\.Handle\("(GET [^"]+)"`)

// patterns are the routes of the page that are got, as its code names them.
var patterns = sync.OnceValue(func() (got []string) {
	for _, path := range goFiles("../../internal/page") {
		content, err := os.ReadFile(path)
		if err != nil {
			panic(err)
		}
		for _, m := range route.FindAllStringSubmatch(string(content), -1) {
			got = append(got, m[1])
		}
		if handled := strings.Count(string(content), "mux.Handle("); handled != strings.Count(string(content), `mux.Handle("`) {
			panic(path + " makes the pattern of a route: write it out, so that the walk finds it")
		}
	}
	return got
})

// goFiles are the files of a package and of those below it, tests left out.
func goFiles(dir string) (paths []string) {
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if strings.HasSuffix(path, ".go") && !strings.HasSuffix(path, "_test.go") {
			paths = append(paths, path)
		}
		return err
	})
	if err != nil {
		panic(err)
	}
	return paths
}

// newWalker is somebody at the page who has been nowhere yet.
func (s *site) newWalker(language string) *walker {
	w := &walker{site: s, language: language, mux: http.NewServeMux(), seen: map[string]bool{}, asked: map[string]bool{}, visited: map[string]int{}}
	for _, p := range patterns() {
		w.mux.Handle(p, http.NotFoundHandler())
	}
	return w
}

// walk gets every address that can be reached from the first page, and those
// that nobody links. It returns how often each pattern was visited.
func (s *site) walk(language string, unlinked ...string) map[string]int {
	s.Helper()
	w := s.newWalker(language)
	w.go_("/", "the beginning")
	for _, address := range unlinked {
		w.go_(address, "nowhere")
	}
	for len(w.waiting) > 0 {
		next := w.waiting[0]
		w.waiting = w.waiting[1:]
		w.visit(next)
	}
	for address := range shownAt[s.name] {
		if !w.seen[address] {
			s.Errorf("%s, %s: nothing leads to %s", s.name, language, address)
		}
	}
	return w.visited
}

// go_ notes an address of this page that has not been visited yet, and returns it
// without its fragment.
func (w *walker) go_(address, from string) string {
	w.Helper()
	u, err := url.Parse(address)
	if err != nil {
		w.Errorf("%s leads to %q: %v", from, address, err)
		return ""
	}
	if u.Host != "" || u.Scheme != "" && u.Scheme != "data" {
		w.Errorf("%s leads to another place: %s", from, address)
		return ""
	}
	u.Fragment = ""
	key := u.String()
	if u.Scheme == "" && key != "" && !w.seen[key] {
		w.seen[key] = true
		w.waiting = append(w.waiting, key)
	}
	return key
}

// visit gets an address and looks at the answer.
func (w *walker) visit(address string) {
	w.Helper()
	at := fmt.Sprintf("%s, %s: GET %s", w.name, w.language, address)
	r, err := http.NewRequestWithContext(w.Context(), http.MethodGet, w.page+address, nil)
	if err != nil {
		w.Fatal(err)
	}
	r.Header.Set("Cookie", "language="+w.language)
	_, pattern := w.mux.Handler(r)
	if pattern == "" {
		w.Errorf("%s: the page has no such route", at)
		return
	}
	w.visited[pattern]++
	a, err := http.DefaultClient.Do(r)
	if err != nil {
		w.Errorf("%s: %v", at, err)
		return
	}
	defer a.Body.Close()
	kind, _, _ := strings.Cut(a.Header.Get("Content-Type"), ";")
	if a.StatusCode != http.StatusOK {
		body, _ := io.ReadAll(a.Body)
		d, _ := parse(string(body))
		if reason := strings.TrimSpace(d.main); w.asked[address] && refusal(a.StatusCode, reason) {
			return
		}
		w.Errorf("%s: %s: %s", at, a.Status, strings.TrimSpace(d.main))
		return
	}
	var text string
	if kind == "text/event-stream" {
		text, err = firstEvent(a.Body)
	} else {
		var body []byte
		body, err = io.ReadAll(a.Body)
		text = string(body)
	}
	if err == nil {
		text, err = w.look(kind, text, address)
	}
	if err != nil {
		w.Errorf("%s: %v", at, err)
		return
	}
	if found := wrong(text); found != "" && kind != "text/javascript" && kind != "text/css" {
		w.Errorf("%s: %s", at, found)
	}
	wanted, ok := shown[pattern]
	if !ok {
		w.Errorf("%s: say in this test what %s must show", at, pattern)
	}
	for _, texts := range [][]string{wanted[w.name], wanted[""], shownAt[w.name][address]} {
		if missing := lacks(text, named(texts, pattern, r.URL.Path)); missing != "" {
			w.Errorf("%s: there is no %q in %s", at, missing, text)
		}
	}
}

// refusal reports whether the answer to a form says, to a person at a page, why
// it cannot be: choices that do not go together.
func refusal(status int, reason string) bool {
	return (status == http.StatusConflict || status == http.StatusUnprocessableEntity) &&
		len(strings.Fields(reason)) > 8 && wrong(reason) == "" && !strings.Contains(reason, "--")
}

// named fills the parts of a path, such as {id}, into the texts that are wanted.
func named(wanted []string, pattern, path string) []string {
	var parts []string
	in := strings.Split(path, "/")
	for i, part := range strings.Split(strings.TrimPrefix(pattern, "GET "), "/") {
		if strings.HasPrefix(part, "{") && i < len(in) {
			parts = append(parts, part, in[i])
		}
	}
	r := strings.NewReplacer(parts...)
	texts := make([]string, len(wanted))
	for i, text := range wanted {
		texts[i] = r.Replace(text)
	}
	return texts
}

// metricsAnswer: the addresses that are for programs.
func (s *site) metricsAnswer() {
	s.Helper()
	for path, want := range map[string]string{"/metrics": "gauged_readings_total{", "/": "metrics"} {
		a, err := http.Get(s.metrics + path)
		if err != nil {
			s.Errorf("%s: metrics: %v", s.name, err)
			continue
		}
		body, err := io.ReadAll(a.Body)
		_ = a.Body.Close()
		if err != nil || a.StatusCode != http.StatusOK || !strings.Contains(string(body), want) {
			s.Errorf("%s: GET %s of the metrics: %s, %v, no %q", s.name, path, a.Status, err, want)
		}
	}
}

// testAddresses walks the page of stations in every language.
func testAddresses(t *testing.T, sites ...*site) {
	visited := map[string]int{}
	for _, s := range sites {
		s = s.in(t)
		for _, language := range languages {
			for pattern, n := range s.walk(language, "/start/stream", "/gauges/stream") {
				visited[pattern] += n
			}
		}
		s.metricsAnswer()
	}
	for _, pattern := range patterns() {
		if visited[pattern] == 0 {
			t.Errorf("%s was never visited: nothing leads there; have it linked, or give the walk an address", pattern)
		}
	}
	for pattern := range shown {
		if visited[pattern] == 0 {
			t.Errorf("this test says what %s must show, and it was never visited", pattern)
		}
	}
}

// TestWalk goes everywhere on both stations.
func TestWalk(t *testing.T) {
	demo, past := newDemo(t), newPast(t)
	demo.thirdJob()
	demo.begun("depth")
	past.begun("dial")
	t.Run("page", func(t *testing.T) { testAddresses(t, demo, past) })
	t.Run("stages", func(t *testing.T) { demo.in(t).stages() })
	t.Run("commands", func(t *testing.T) { testCommands(t, demo, past) })
	for _, s := range []*site{demo, past} {
		s.quiet()
	}
}
