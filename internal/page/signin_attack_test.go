package page

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"gauged/internal/access"
)

// Many tries at once are no more than one after the other, on one device and on several.
func TestGuessesAtOnce(t *testing.T) {
	r := newClosedRig(t)
	r.pair()
	judged, held := 0, 0
	var all sync.WaitGroup
	var mu sync.Mutex
	for range 20 {
		all.Go(func() {
			_, _, body := r.send("/who", as("K. Weber", "1111", nil))
			mu.Lock()
			defer mu.Unlock()
			if strings.Contains(body, "too many wrong tries") {
				held++
			} else if strings.Contains(body, "not right") {
				judged++
			}
		})
	}
	all.Wait()
	if judged != 3 || held != 17 {
		t.Errorf("%d were judged and %d held, want 3 and 17", judged, held)
	}
}

// Somebody else who signs one act at the device signs that act alone.
func TestOneSignatureIsNoSession(t *testing.T) {
	r := newClosedRig(t)
	r.pair()
	r.send("/who", as("A. Turner", "4711", nil))
	if status, _, _ := r.send("/gauges/line/standing", as("K. Weber", "0815", url.Values{"standing": {"suspect"}, "reason": {"dropped"}})); status != http.StatusSeeOther {
		t.Fatalf("the quality lead's signature is answered with %d", status)
	}
	if _, body := r.get("/"); !strings.Contains(body, "A. Turner") || strings.Contains(body, "K. Weber") {
		t.Error("the device is the quality lead's now")
	}
	if status, _ := r.get("/procedures/ring/edit"); status != http.StatusUnauthorized {
		t.Errorf("the technician edits a procedure: %d", status)
	}
}

// Another PIN ends what was opened with the one before.
func TestAnotherPINEndsSessions(t *testing.T) {
	r := newClosedRig(t)
	r.pair()
	r.send("/who", as("A. Turner", "4711", nil))
	hash, err := access.HashPIN("9999")
	if err != nil {
		t.Fatal(err)
	}
	if err := r.station.ChangeAccess(t.Context(), access.ChangePerson("root", "A. Turner", func(p *access.Person) { p.PIN = hash })); err != nil {
		t.Fatal(err)
	}
	if status, _, _ := r.send("/jobs", begin); status != http.StatusUnauthorized {
		t.Errorf("a session goes on after its PIN: %d", status)
	}
}

// A program with a token has no person's page, and no form of it breaks anything.
func TestTokenAtThePage(t *testing.T) {
	r := newClosedRig(t)
	id, secret := access.NewSecret("gauged-token")
	token := access.Token{ID: id, Name: "reader", Role: access.RoleReader, Hash: access.HashOf(secret), Expires: time.Now().Add(time.Hour)}
	if err := r.station.ChangeAccess(t.Context(), access.MakeToken("root", token)); err != nil {
		t.Fatal(err)
	}
	for _, ask := range [][2]string{{"GET", "/who"}, {"POST", "/who"}, {"POST", "/leave"}, {"POST", "/jobs/1/serial"}, {"POST", "/jobs"}} {
		request, err := http.NewRequest(ask[0], r.url+ask[1], strings.NewReader("x=1"))
		if err != nil {
			t.Fatal(err)
		}
		request.Header.Set("Authorization", "Bearer "+secret)
		request.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		answer, err := r.client.Do(request)
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		if answer.StatusCode != http.StatusForbidden {
			t.Errorf("%s %s with a reader's token is answered with %d", ask[0], ask[1], answer.StatusCode)
		}
	}
	if status, _ := r.get("/jobs", "Authorization", "Bearer "+secret); status != http.StatusOK {
		t.Errorf("a reader's token reads nothing: %d", status)
	}
	person := access.Person{Name: "reader", Role: access.RoleTechnician}
	token.Name = "A. Turner"
	if err := r.station.ChangeAccess(t.Context(), access.MakeToken("root", token)); err == nil {
		t.Error("a program has the name of a person")
	}
	if err := r.station.ChangeAccess(t.Context(), access.AddPerson("root", person)); err == nil {
		t.Error("a person has the name of a program")
	}
}

// Who guesses at codes from one address waits; the code stays for the one who has it.
func TestGuessedCodes(t *testing.T) {
	r := newClosedRig(t)
	code, _ := r.pairing.Begin("root", time.Now())
	var last string
	for range 12 {
		_, _, last = r.send("/pair", url.Values{"code": {"0000 0001"}, "title": {"tablet"}})
	}
	if !strings.Contains(last, "too many wrong tries") {
		t.Errorf("the twelfth wrong code is answered with %s", last)
	}
	if _, ok := r.pairing.Use(code, time.Now()); !ok {
		t.Error("a few wrong codes have ended the right one")
	}
}

// Refusals of the page are told, as those of the other doors.
func TestRefusalsOfThePageAreTold(t *testing.T) {
	var mu sync.Mutex
	told := map[string]bool{}
	r := newClosedRigWith(t, func(o *Options) {
		keep := o.Guard.Change
		o.Guard.Change = func(ctx context.Context, change access.Change) error {
			facts, err := change(access.Register{}, time.Now())
			mu.Lock()
			for _, f := range facts {
				var refused access.RefusedData
				if f.Kind == access.KindRefused && json.Unmarshal(f.Data, &refused) == nil {
					told[f.Subject+" "+refused.What] = true
				}
			}
			mu.Unlock()
			return errors.Join(err, keep(ctx, change))
		}
	})
	r.get("/jobs")
	r.send("/pair", url.Values{"code": {"1"}, "title": {"tablet"}})
	r.pair()
	r.send("/who", as("A. Turner", "1", nil))
	r.send("/who", as("A. Turner", "4711", nil))
	r.send("/gauges/line/void", url.Values{})
	mu.Lock()
	defer mu.Unlock()
	for _, want := range []string{"a device that is not paired GET /jobs", "127.0.0.1 POST /pair", "tablet POST /who", "A. Turner POST /gauges/{id}/void"} {
		if !told[want] {
			t.Errorf("%s was not told among %v", want, told)
		}
	}
}

// A path with a control character leads nowhere else.
func TestOwnPathHasNoControlCharacters(t *testing.T) {
	r := newClosedRig(t)
	r.pair()
	for _, at := range []string{"/\t/elsewhere.example", "/\x00/elsewhere.example", "//elsewhere.example", `/\elsewhere.example`} {
		if _, to, _ := r.send("/who", as("A. Turner", "4711", url.Values{"at": {at}})); to != "/" {
			t.Errorf("at=%q leads to %q", at, to)
		}
	}
}
