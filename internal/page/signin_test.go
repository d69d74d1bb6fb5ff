package page

import (
	"io"
	"maps"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"gauged/internal/access"
)

// closedRig is a rig on which people say who they are: a technician and a quality lead,
// invented, and a device that is not paired yet.
type closedRig struct {
	*rig
	pairing *access.Pairing
}

func newClosedRig(t *testing.T) *closedRig {
	t.Helper()
	return newClosedRigWith(t, func(*Options) {})
}

// newClosedRigWith is a closed rig whose page may be another one too.
func newClosedRigWith(t *testing.T, change func(*Options)) *closedRig {
	t.Helper()
	pairing := &access.Pairing{}
	r := &closedRig{rigWith(t, ringProcedure, func(o *Options) {
		o.Guard, o.Pairing = &access.Guard{Register: o.Station.Register, Change: o.Station.ChangeAccess, Now: time.Now}, pairing
		change(o)
	}), pairing}
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	r.client.Jar = jar
	r.add("A. Turner", access.RoleTechnician, "4711", "")
	r.add("K. Weber", access.RoleQuality, "0815", "badge-77")
	return r
}

func (r *closedRig) add(name string, role access.Role, pin, badge string) {
	r.Helper()
	p := access.Person{Name: name, Role: role}
	var err error
	if p.PIN, err = access.HashPIN(pin); err != nil {
		r.Fatal(err)
	}
	if badge != "" {
		if p.Badge, err = r.station.Register().HashBadge(badge); err != nil {
			r.Fatal(err)
		}
	}
	if err := r.station.ChangeAccess(r.Context(), access.AddPerson("root", p)); err != nil {
		r.Fatal(err)
	}
}

// pair pairs the device, as somebody does who reads the code at the bench.
func (r *closedRig) pair() {
	r.Helper()
	code, _ := r.pairing.Begin("root", time.Now())
	if status, _, _ := r.send("/pair", url.Values{"code": {code}, "title": {"tablet"}}); status != http.StatusSeeOther {
		r.Fatalf("pairing is answered with %d", status)
	}
}

// send sends a form and returns the status, where it leads and the page. Where it says who
// somebody is, it was first sent without that, and shown: what is signed is what was shown.
func (r *closedRig) send(path string, form url.Values) (status int, to, body string) {
	r.Helper()
	if !form.Has("pin") || path == "/who" {
		return r.post(path, form)
	}
	shown := maps.Clone(form)
	shown.Del("person")
	shown.Del("pin")
	status, to, body = r.post(path, shown)
	seal := sealed.FindStringSubmatch(body)
	if seal == nil {
		return status, to, body
	}
	form = maps.Clone(form)
	form.Set("asked", seal[1])
	return r.post(path, form)
}

// sealed finds in a page for what it asks who somebody is.
var sealed = regexp.MustCompile(`name="asked" value="([^"]+)"`)

func (r *closedRig) post(path string, form url.Values) (status int, to, body string) {
	r.Helper()
	answer, err := r.client.PostForm(r.url+path, form)
	if err != nil {
		r.Fatal(err)
	}
	defer answer.Body.Close()
	content, err := io.ReadAll(answer.Body)
	if err != nil {
		r.Fatal(err)
	}
	return answer.StatusCode, answer.Header.Get("Location"), string(content)
}

func as(person, pin string, form url.Values) url.Values {
	signed := url.Values{"person": {person}, "pin": {pin}}
	for name, values := range form {
		signed[name] = values
	}
	return signed
}

var begin = url.Values{"procedure": {"ring"}, "serial": {"S-1"}, "technician": {"Somebody Else"}}

// A device that is not paired sees nothing but how it is paired.
func TestUnpairedDeviceSeesNothing(t *testing.T) {
	r := newClosedRig(t)
	for _, way := range access.Ways(access.PlacePage) {
		need, _ := access.Needs(way)
		method, path, _ := strings.Cut(way.Name, " ")
		if path == "" || need.Right == access.RightAnyones {
			continue
		}
		path = strings.NewReplacer("{$}", "", "{id}", "1", "{seq}", "1", "{chart}", "x", "{hash}", "x", "{version}", "x", "{name}", "x").Replace(path)
		request, err := http.NewRequest(method, r.url+path, strings.NewReader(as("A. Turner", "4711", nil).Encode()))
		if err != nil {
			t.Fatal(err)
		}
		request.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		request.Header.Set("Accept", "text/html")
		answer, err := r.client.Do(request)
		if err != nil {
			t.Fatal(err)
		}
		body, _ := io.ReadAll(answer.Body)
		answer.Body.Close()
		leads := answer.StatusCode == http.StatusSeeOther && answer.Header.Get("Location") == "/pair"
		if !leads && answer.StatusCode != http.StatusUnauthorized {
			t.Errorf("%s is answered with %d, to %s", way.Name, answer.StatusCode, answer.Header.Get("Location"))
		}
		if strings.Contains(string(body), "Turner") {
			t.Errorf("%s names who works here", way.Name)
		}
	}
}

// A code serves once, and a wrong one not at all.
func TestPairingADevice(t *testing.T) {
	r := newClosedRig(t)
	if status, _, body := r.send("/pair", url.Values{"code": {"1234 5678"}, "title": {"tablet"}}); status != http.StatusUnauthorized || !strings.Contains(body, "ten minutes") {
		t.Errorf("a wrong code is answered with %d: %s", status, body)
	}
	code, _ := r.pairing.Begin("root", time.Now())
	if status, _, _ := r.send("/pair", url.Values{"code": {code}}); status != http.StatusUnprocessableEntity {
		t.Errorf("a device without a name is answered with %d", status)
	}
	if status, _, _ := r.send("/pair", url.Values{"code": {code}, "title": {"tablet"}}); status != http.StatusSeeOther {
		t.Errorf("the code that was shown is answered with %d", status)
	}
	if status, _, _ := r.send("/pair", url.Values{"code": {code}, "title": {"another"}}); status != http.StatusUnauthorized {
		t.Errorf("the code serves twice: %d", status)
	}
	if status, body := r.get("/jobs"); status != http.StatusOK || strings.Contains(body, `href="/pair"`) {
		t.Errorf("the paired device gets %d", status)
	}
	devices := r.station.Register().Devices()
	if len(devices) != 1 || devices[0].Title != "tablet" || devices[0].By != "root" {
		t.Fatalf("the devices are %+v", devices)
	}
	if err := r.station.ChangeAccess(t.Context(), access.UnpairDevice("root", devices[0].ID)); err != nil {
		t.Fatal(err)
	}
	if status, _ := r.get("/jobs", "Accept", "text/html"); status != http.StatusSeeOther {
		t.Errorf("the device that is unpaired gets %d", status)
	}
}

// Whoever starts a job says who they are, and the name that was proven is the one that is
// stored, whatever the form says.
func TestProvenNameIsStored(t *testing.T) {
	r := newClosedRig(t)
	r.pair()
	status, _, body := r.send("/jobs", begin)
	if status != http.StatusUnauthorized || !strings.Contains(body, "A. Turner") || !strings.Contains(body, `value="S-1"`) {
		t.Fatalf("a job of nobody is answered with %d:\n%s", status, body)
	}
	if status, _, body = r.send("/jobs", as("A. Turner", "4712", begin)); status != http.StatusUnauthorized || !strings.Contains(body, "not right") || strings.Contains(body, "4712") {
		t.Errorf("a wrong PIN is answered with %d:\n%s", status, body)
	}
	if jobs := r.station.Open(); len(jobs) != 0 {
		t.Fatalf("%d jobs were started by nobody", len(jobs))
	}
	if status, to, _ := r.send("/jobs", as("A. Turner", "4711", begin)); status != http.StatusSeeOther || to != "/jobs/1" {
		t.Fatalf("the technician is answered with %d, to %s", status, to)
	}
	j, err := r.station.Job(t.Context(), 1)
	if err != nil || j.Technician != "A. Turner" {
		t.Fatalf("the job is %s's: %v", j.Technician, err)
	}
	seen := strconv.FormatUint(j.LastSeq, 10)
	if status, _, _ := r.send("/jobs/1/acknowledge", url.Values{"seen": {seen}, "by": {"K. Weber"}}); status != http.StatusSeeOther {
		t.Errorf("what needs no second proof is answered with %d", status)
	}
	if j, _ = r.station.Job(t.Context(), 1); j.Acknowledged != "A. Turner" {
		t.Errorf("the cautions were read by %q", j.Acknowledged)
	}
}

// What is signed is signed by somebody who says once more who they are, and what a role may
// not do it does not.
func TestProofAndRole(t *testing.T) {
	r := newClosedRig(t)
	r.pair()
	if status, _, _ := r.send("/jobs", as("A. Turner", "4711", begin)); status != http.StatusSeeOther {
		t.Fatalf("the start is answered with %d", status)
	}
	j, _ := r.station.Job(t.Context(), 1)
	close := url.Values{"seen": {strconv.FormatUint(j.LastSeq, 10)}, "reason": {"wrong unit"}}
	if status, _, body := r.send("/jobs/1/close", close); status != http.StatusUnauthorized || !strings.Contains(body, "once more") || !strings.Contains(body, "wrong unit") {
		t.Errorf("closing without a proof is answered with %d:\n%s", status, body)
	}
	out := url.Values{"standing": {"retired"}, "reason": {"dropped"}, "by": {"K. Weber"}}
	status, _, body := r.send("/gauges/line/standing", as("A. Turner", "4711", out))
	if status != http.StatusUnauthorized || !strings.Contains(body, "K. Weber") || strings.Contains(body, `value="A. Turner"`) {
		t.Errorf("a technician who puts a gauge out of service is answered with %d:\n%s", status, body)
	}
	if status, _, body := r.send("/gauges/line/standing", as("", "badge-77", out)); status != http.StatusSeeOther {
		t.Errorf("the quality lead's badge is answered with %d:\n%s", status, body)
	}
	health, err := r.station.Health("line")
	if err != nil {
		t.Fatal(err)
	}
	if changes := health.Standings(); len(changes) == 0 || changes[len(changes)-1].By != "K. Weber" {
		t.Errorf("the gauge was put out of service by %+v", changes)
	}
}

// Who guesses waits, and is told how long.
func TestGuessesSlowDown(t *testing.T) {
	r := newClosedRig(t)
	r.pair()
	for range 3 {
		r.send("/who", as("A. Turner", "1", nil))
	}
	if status, _, body := r.send("/who", as("A. Turner", "4711", nil)); status != http.StatusUnauthorized || !strings.Contains(body, "too many wrong tries") {
		t.Errorf("the right PIN after three wrong ones is answered with %d:\n%s", status, body)
	}
}

// A session is another one after each sign-in, and ends when the person leaves.
func TestSessionsOfAPage(t *testing.T) {
	r := newClosedRig(t)
	r.pair()
	at, _ := url.Parse(r.url)
	session := func() string {
		for _, c := range r.client.Jar.Cookies(at) {
			if c.Name == "gauged-session" {
				return c.Value
			}
		}
		return ""
	}
	if status, to, _ := r.send("/who", as("A. Turner", "4711", url.Values{"at": {"/gauges"}})); status != http.StatusSeeOther || to != "/gauges" {
		t.Errorf("signing in leads to %s with %d", to, status)
	}
	first := session()
	if _, to, _ := r.send("/who", as("A. Turner", "4711", url.Values{"at": {"//elsewhere.example"}})); to != "/" {
		t.Errorf("signing in leads to %s", to)
	}
	if second := session(); first == "" || second == first {
		t.Errorf("the session stays %q", second)
	}
	if _, body := r.get("/"); !strings.Contains(body, "A. Turner") {
		t.Error("the page does not say who works on it")
	}
	if status, _, _ := r.send("/leave", nil); status != http.StatusSeeOther || session() != "" {
		t.Errorf("leaving is answered with %d", status)
	}
	if _, body := r.get("/"); strings.Contains(body, "A. Turner") {
		t.Error("the page names who has left")
	}
}

// A page over TLS gives cookies that no other host and no page without TLS gets.
func TestCookiesAreKept(t *testing.T) {
	r := newClosedRig(t)
	code, _ := r.pairing.Begin("root", time.Now())
	request := httptest.NewRequest("POST", "https://localhost/pair", strings.NewReader(url.Values{"code": {code}, "title": {"tablet"}}.Encode()))
	request.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	answer := httptest.NewRecorder()
	r.page.Handler().ServeHTTP(answer, request)
	set := answer.Header().Get("Set-Cookie")
	for _, want := range []string{"__Host-gauged-device=", "; Path=/;", "HttpOnly", "Secure", "SameSite=Strict"} {
		if !strings.Contains(set, want) {
			t.Errorf("the cookie %q lacks %s", set, want)
		}
	}
}
