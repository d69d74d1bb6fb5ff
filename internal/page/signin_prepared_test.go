package page

import (
	"net/http"
	"net/url"
	"os"
	"regexp"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"gauged/internal/access"
	"gauged/internal/words"
)

// Who is asked to sign reads what: a technician has filled in that a gauge is retired, and
// the quality lead sees that, its reason, and how to leave it.
func TestPreparedActIsShown(t *testing.T) {
	r := newClosedRig(t)
	r.pair()
	r.send("/who", as("A. Turner", "4711", nil))
	_, _, plain := r.send("/who", as("A. Turner", "1", nil))
	_, _, body := r.post("/gauges/line/standing", url.Values{"standing": {"retired"}, "reason": {"worn <b>"}})
	for _, want := range []string{"Sign this?", "Change the standing of gauge line", "<dt>Standing</dt><dd>retired</dd>", "<dt>Reason</dt><dd>worn &lt;b&gt;</dd>", "<dd>A. Turner</dd>", `<a id="no" class="big" href="/gauges/line">`} {
		if !strings.Contains(body, want) {
			t.Errorf("the page lacks %s", want)
		}
		if strings.Contains(plain, want) && want != "<dd>A. Turner</dd>" {
			t.Errorf("a plain sign-in has %s", want)
		}
	}
	file, _ := r.station.Library().File("procedure", "ring")
	edited := strings.Replace(string(file.Content), "title:", "title: Another", 1)
	_, _, body = r.post("/procedures/ring/edit", url.Values{"do": {"save"}, "text": {edited}, "base": {file.Hash}, "reason": {"a word"}})
	for _, want := range []string{"Change the procedure ring", "a word", "<ins>title: Another"} {
		if !strings.Contains(body, want) {
			t.Errorf("the page of an edit lacks %s", want)
		}
	}
	r.send("/jobs", as("A. Turner", "4711", begin))
	if _, _, body = r.post("/jobs/1/close", url.Values{"reason": {"unit gone"}}); !strings.Contains(body, "Close job 1") || !strings.Contains(body, "<dd>S-1</dd>") || !strings.Contains(body, "unit gone") {
		t.Error("the page does not say which job is closed")
	}
}

// What was not shown is not signed, nor what was shown long ago, on another device, or with
// other values.
func TestOnlyWhatIsShownIsSigned(t *testing.T) {
	var later atomic.Int64
	r := newClosedRigWith(t, func(o *Options) {
		o.Guard.Now = func() time.Time { return time.Now().Add(time.Duration(later.Load())) }
	})
	r.pair()
	out := url.Values{"standing": {"suspect"}, "reason": {"dropped"}}
	show := func() string {
		_, _, body := r.post("/gauges/line/standing", out)
		return sealed.FindStringSubmatch(body)[1]
	}
	sign := func(seal, reason string) (int, string) {
		status, _, body := r.post("/gauges/line/standing", as("K. Weber", "0815", url.Values{"standing": {"suspect"}, "reason": {reason}, "asked": {seal}}))
		return status, body
	}
	seal := show()
	for what, of := range map[string][2]string{"nothing that was shown": {"", "dropped"}, "what somebody made up": {"1.AAAA", "dropped"}, "another reason": {seal, "worn"}} {
		if status, body := sign(of[0], of[1]); status != http.StatusUnauthorized || !strings.Contains(body, "say once more who you are") {
			t.Errorf("%s is answered with %d", what, status)
		}
	}
	later.Store(int64(2*time.Minute + 2*time.Second))
	if status, body := sign(seal, "dropped"); status != http.StatusUnauthorized || !strings.Contains(body, "look at it again") {
		t.Errorf("what stood there for more than two minutes is answered with %d", status)
	}
	seal = show()
	r.pair() // another device
	if status, _ := sign(seal, "dropped"); status != http.StatusUnauthorized {
		t.Errorf("what another device has shown is answered with %d", status)
	}
	if status, body := sign(show(), "dropped"); status != http.StatusSeeOther {
		t.Errorf("what is shown is answered with %d: %s", status, body)
	}
}

// Every act of the page has its words.
func TestEveryActHasItsWords(t *testing.T) {
	catalogue, err := words.Load()
	if err != nil {
		t.Fatal(err)
	}
	acts := 0
	for _, way := range access.Ways(access.PlacePage) {
		need, _ := access.Needs(way)
		if route, ok := strings.CutPrefix(way.Name, "POST /"); ok && need.Right != access.RightRead && need.Right != access.RightAnyones {
			acts++
			key := "prepared." + strings.ReplaceAll(strings.ReplaceAll(route, "/{id}", ""), "/", "-")
			for _, l := range words.Languages {
				if text, err := catalogue.In(l.Tag).Say(key, "X-1"); err != nil || !strings.Contains(text, "X-1") {
					t.Errorf("%s in %s: %q, %v", way.Name, l.Tag, text, err)
				}
			}
		}
	}
	if acts < 30 {
		t.Errorf("only %d acts", acts)
	}
}

// Every act on a job is in the table of who may do what: else nobody on a closed station may.
func TestEveryActOnAJobIsInTheTable(t *testing.T) {
	source, err := os.ReadFile("act.go")
	if err != nil {
		t.Fatal(err)
	}
	acts := regexp.MustCompile(`"([a-z]+)": +p\.`).FindAllStringSubmatch(string(source), -1)
	if len(acts) < 12 {
		t.Fatalf("only %d acts were found", len(acts))
	}
	for _, act := range acts {
		if _, listed := access.Needs(access.Page("POST /jobs/{id}/" + act[1])); !listed {
			t.Errorf("%s is not in the table", act[1])
		}
	}
}
