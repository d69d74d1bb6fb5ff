package page

import (
	"context"
	"errors"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"gauged/internal/access"
	"gauged/internal/gauge"
	"gauged/internal/station"
)

// fullStore is a history whose disk is full for as long as somebody says so.
type fullStore struct {
	station.Store
	full atomic.Bool
}

func (s *fullStore) Append(ctx context.Context, facts []gauge.Fact, requests ...gauge.Request) error {
	if s.full.Load() {
		return errors.New("database or disk is full")
	}
	return s.Store.Append(ctx, facts, requests...)
}

// TestTroublesOnEveryPage: while nothing can be stored a line on every page says so, in the
// language of who looks, and leaves by itself when there is room again.
func TestTroublesOnEveryPage(t *testing.T) {
	disk := &fullStore{}
	r := newRig(t, func(o *station.Options) {
		disk.Store = o.Store
		o.Store = disk
	})
	pages := []string{"/", "/start", "/jobs", "/gauges", "/gauges/line", "/gauges/line/check", "/gauges/line/study", "/procedures", "/procedures/ring", "/procedures/ring/edit", "/nothing"}
	events := r.events("/troubles/stream")
	hears := func(want string) {
		t.Helper()
		r.next(events, func(e event) bool {
			return e.name == "regions" && strings.Contains(e.data, `"troubles"`) && strings.Contains(e.data, want)
		})
	}
	hears(`role=\"alert\"\u003e\u003c/div`)
	disk.full.Store(true)
	r.station.Report(station.Report{Reading: &gauge.Reading{Gauge: "line", Time: time.Now(), Value: gauge.MustLength("25.1", gauge.Millimetre), Shown: "25.1", Unit: gauge.Millimetre, Status: gauge.StatusOK}})
	hears("nothing is stored at present: database or disk is full")
	for _, path := range pages {
		if _, body := r.get(path); !strings.Contains(body, `class="troubles" role="alert"><p>nothing is stored at present`) || !strings.Contains(body, "data-stream=") {
			t.Errorf("%s does not say it", path)
		}
		if _, body := r.get(path, "Accept-Language", "de"); !strings.Contains(body, "zurzeit wird nichts gespeichert") {
			t.Errorf("%s does not say it in German", path)
		}
	}
	disk.full.Store(false)
	hears(`role=\"alert\"\u003e\u003c/div`)
	for _, path := range pages {
		if _, body := r.get(path); strings.Contains(body, "nothing is stored") {
			t.Errorf("%s still says it", path)
		}
	}
}

// TestStreamEnds: a stream on which nothing happens ends when its person leaves or is put out,
// when its device is unpaired, and when its token is revoked.
func TestStreamEnds(t *testing.T) {
	change := func(r *closedRig, c access.Change) {
		r.Helper()
		if err := r.station.ChangeAccess(r.Context(), c); err != nil {
			r.Fatal(err)
		}
	}
	for name, end := range map[string]func(r *closedRig){
		"the person leaves":  func(r *closedRig) { r.send("/leave", nil) },
		"another one comes":  func(r *closedRig) { r.send("/who", as("K. Weber", "0815", nil)) },
		"the person is gone": func(r *closedRig) { change(r, access.RemovePerson("root", "A. Turner")) },
		"unpaired":           func(r *closedRig) { change(r, access.UnpairDevice("root", r.station.Register().Devices()[0].ID)) },
	} {
		r := newClosedRig(t)
		r.pair()
		r.send("/who", as("A. Turner", "4711", nil))
		events := r.events("/gauges/stream")
		end(r)
		if !closes(events) {
			t.Errorf("%s: the stream goes on", name)
		}
	}
	r := newClosedRig(t)
	id, secret := access.NewSecret("gauged-token")
	change(r, access.MakeToken("root", access.Token{ID: id, Name: "reader", Role: access.RoleReader, Hash: access.HashOf(secret), Expires: time.Now().Add(time.Hour)}))
	events := r.events("/gauges/stream", "Authorization", "Bearer "+secret)
	change(r, access.RevokeToken("root", id))
	if !closes(events) {
		t.Error("revoked: the stream goes on")
	}
}

// closes reports whether a stream ends.
func closes(events <-chan event) bool {
	late := time.After(20 * time.Second)
	for {
		select {
		case _, open := <-events:
			if !open {
				return true
			}
		case <-late:
			return false
		}
	}
}

// TestRestartRemembersWrongTries: who has guessed wrong waits on after a restart of the page.
func TestRestartRemembersWrongTries(t *testing.T) {
	file := t.TempDir() + "/tries"
	r := newClosedRigWith(t, func(o *Options) { o.Tries = file })
	r.pair()
	for range 3 {
		r.send("/who", as("A. Turner", "1111", nil))
	}
	again, err := New(Options{Station: r.station, Name: "again", Guard: r.page.o.Guard, Pairing: r.pairing, Tries: file, Log: r.page.o.Log, Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	web := again.Server()
	request, err := http.NewRequestWithContext(t.Context(), http.MethodPost, r.url+"/who", strings.NewReader(as("A. Turner", "4711", url.Values{}).Encode()))
	if err != nil {
		t.Fatal(err)
	}
	request.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	for _, c := range r.client.Jar.Cookies(request.URL) {
		request.AddCookie(c)
	}
	request.RequestURI = "/who"
	answer := httptest.NewRecorder()
	web.Handler.ServeHTTP(answer, request)
	if !strings.Contains(answer.Body.String(), "too many wrong tries") {
		t.Errorf("after a restart the right PIN is taken at once: %d", answer.Code)
	}
}
