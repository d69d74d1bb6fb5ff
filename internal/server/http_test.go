package server

import (
	"context"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/metadata"
	"google.golang.org/grpc/peer"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/access"
)

// TestJobOverHTTP: a job is run from its start to its end with nothing but JSON, and what
// is answered is as the document says.
func TestJobOverHTTP(t *testing.T) {
	r := newRig(t)
	h := serveHTTP(t, r.server, anyone)
	var started struct{ Job struct{ ID, Stage string } }
	h.ask("POST", "/v1/jobs", `{"procedure_id": "ring", "unit_serial": "A-1", "by": "J. Test"}`, "Idempotency-Key: one").into(t, &started)
	again := started
	h.ask("POST", "/v1/jobs", `{"procedure_id": "ring", "unit_serial": "A-1", "by": "J. Test"}`, "Idempotency-Key: one").into(t, &again)
	if started.Job.ID == "" || again.Job.ID != started.Job.ID {
		t.Fatalf("started %q, and again %q", started.Job.ID, again.Job.ID)
	}
	job := "/v1/jobs/" + started.Job.ID
	for _, step := range []struct{ path, body string }{
		{"/readings", `{"measurement": "depth", "shown": "25.60", "unit": "UNIT_MILLIMETRE", "instrument": "micrometer", "by": "J. Test"}`},
		{"/readings", `{"measurement": "depth", "shown": "25.61", "unit": "UNIT_MILLIMETRE", "instrument": "micrometer", "by": "J. Test"}`},
		{"/readings", `{"measurement": "height", "shown": "23.90", "unit": "UNIT_MILLIMETRE", "instrument": "micrometer", "by": "J. Test"}`},
		{"/choices", `{"by": "J. Test"}`},
		{"/fits", `{"by": "J. Test"}`},
		{"/readings", `{"measurement": "end_play", "shown": "0.15", "unit": "UNIT_MILLIMETRE", "instrument": "micrometer", "by": "J. Test"}`},
		{":verify", `{"by": "J. Test"}`},
		{":close", `{"by": "J. Test"}`},
	} {
		if a := h.ask("POST", job+step.path, step.body); a.status != http.StatusOK {
			t.Fatalf("%s: %d %s", step.path, a.status, a.body)
		}
	}
	var got struct {
		Job struct {
			Stage      string
			Evaluation struct{ Outcome string }
		}
	}
	h.ask("GET", job, "").into(t, &got)
	if got.Job.Evaluation.Outcome != "OUTCOME_CONFORMS" || got.Job.Stage != "JOB_STAGE_CLOSED" {
		t.Errorf("the job is %+v", got.Job)
	}
}

// TestOrderOverHTTP: a job is started with an order, found by it however it is written, and
// the order is put right.
func TestOrderOverHTTP(t *testing.T) {
	r := newRig(t)
	h := serveHTTP(t, r.server, anyone)
	for _, labels := range []string{`{"order": "A-1041", "bay": "3"}`, `{"order": "A-1042"}`, `{}`} {
		if a := h.ask("POST", "/v1/jobs", `{"procedure_id": "ring", "unit_serial": "A-1", "by": "J. Test", "labels": `+labels+`}`); a.status != http.StatusOK {
			t.Fatalf("%s: %d %s", labels, a.status, a.body)
		}
	}
	found := func(query string) (ids string) {
		var list struct{ Jobs []struct{ ID string } }
		h.ask("GET", "/v1/jobs?"+query, "").into(t, &list)
		for _, j := range list.Jobs {
			ids += j.ID + " "
		}
		return ids
	}
	for query, want := range map[string]string{
		"labels[order]=a+1042": "2 ", "labels%5Border%5D=A-1041": "1 ", "labels[order]=A1041&labels[bay]=3": "1 ",
		"labels[order]=A-1042&labels[bay]=3": "", "labels[customer]=A-1042": "", "open_only=true": "3 2 1 ",
	} {
		if got := found(query); got != want {
			t.Errorf("%s: %q, want %q", query, got, want)
		}
	}
	if a := h.ask("POST", "/v1/jobs/1:set-labels", `{"labels": {"order": "A-1042", "bay": ""}}`); a.status != http.StatusBadRequest || !strings.Contains(a.body, `"LABEL_WHY"`) {
		t.Errorf("without a reason: %d %s", a.status, a.body)
	}
	if a := h.ask("POST", "/v1/jobs/1:set-labels", `{"labels": {"order": "A-1042", "bay": ""}, "reason": "misread"}`); a.status != http.StatusOK || !strings.Contains(a.body, `"labels":{"order":"A-1042"}`) {
		t.Errorf("%d %s", a.status, a.body)
	}
	if got := found("labels[order]=A-1042") + found("labels[order]=A-1041"); got != "2 1 " {
		t.Errorf("after it was put right: %q", got)
	}
}

// TestEveryPathForEveryRole: what each path needs is what its call needs, for each role and
// for nobody.
func TestEveryPathForEveryRole(t *testing.T) {
	r := newClosedRig(t, access.Rules{})
	h := serveHTTP(t, r.closed, &access.Guard{Register: r.Register, Now: time.Now})
	secrets := map[access.Role]string{}
	for _, role := range roles[1:] {
		_, secrets[role] = r.token(role)
	}
	services := map[string]string{} // of each call
	for service, info := range r.closed.grpc.GetServiceInfo() {
		for _, m := range info.Methods {
			services[m.Name] = service
		}
	}
	asked, open := 0, 0
	for path, item := range h.document.Paths.Map() {
		for method, o := range item.Operations() {
			call := "/" + services[o.OperationID] + "/" + o.OperationID
			if path == "/v1/openapi.json" { // for who may ask what the daemon is
				call = gaugedv1.ServerService_GetServerInfo_FullMethodName
			}
			need, listed := access.Needs(access.Call(call))
			if !listed {
				t.Errorf("%s %s is %s, which is not in the table", method, path, call)
			}
			for _, role := range roles {
				asked++
				may := role.Has(need.Right)
				in := h.letsIn(method, filled(path), secrets[role])
				if in != may {
					t.Errorf("%s %s as %q: came in %v, may %v", method, path, role, in, may)
				}
				if in && role == access.RoleNone {
					open++
				}
			}
		}
	}
	t.Logf("%d asked, %d open by mistake", asked, open)
	if asked < 300 {
		t.Errorf("only %d were asked", asked)
	}
}

// filled is a path with something for each of its variables.
func filled(path string) string {
	var parts []string
	for part := range strings.SplitSeq(path, "/") {
		if _, rest, ok := strings.Cut(part, "}"); ok {
			part = "1" + rest
		}
		parts = append(parts, part)
	}
	return strings.Join(parts, "/")
}

// letsIn reports whether a request comes further than the door.
func (h *overHTTP) letsIn(method, path, secret string) bool {
	h.t.Helper()
	ctx, cancel := context.WithCancel(h.t.Context())
	defer cancel() // of what streams, the head is enough
	body := ""
	if method == http.MethodPost || method == http.MethodPatch {
		body = "{}"
	}
	r, err := http.NewRequestWithContext(ctx, method, h.url+path, strings.NewReader(body))
	if err != nil {
		h.t.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/json")
	if secret != "" {
		r.Header.Set("Authorization", "Bearer "+secret)
	}
	got, err := h.client.Do(r)
	if err != nil {
		h.t.Fatal(err)
	}
	defer func() { _ = got.Body.Close() }()
	if got.StatusCode == http.StatusUnauthorized && got.Header.Get("WWW-Authenticate") == "" {
		h.t.Errorf("%s %s: 401 without WWW-Authenticate", method, path)
	}
	if got.StatusCode == http.StatusMethodNotAllowed || got.StatusCode == http.StatusNotImplemented {
		h.t.Errorf("%s %s: there is no such path", method, path)
	}
	return got.StatusCode != http.StatusUnauthorized && got.StatusCode != http.StatusForbidden
}

// TestDocumentHasEveryCall: each call that is served has a path, but for the one that is
// for the link between two daemons.
func TestDocumentHasEveryCall(t *testing.T) {
	r := newRig(t)
	d, _ := documentOf(t)
	have := map[string]bool{}
	for _, item := range d.Paths.Map() {
		for _, o := range item.Operations() {
			have[o.OperationID] = true
		}
	}
	var missing []string
	for service, info := range r.server.grpc.GetServiceInfo() {
		for _, m := range info.Methods {
			if strings.HasPrefix(service, "gauged.v1.") && !have[m.Name] {
				missing = append(missing, m.Name)
			}
		}
	}
	if !slices.Equal(missing, []string{"StreamEvaluations"}) {
		t.Errorf("without a path: %v", missing)
	}
}

// TestProblemsOverHTTP: what is refused is a problem with the code of the contract, in the
// language that was asked for.
func TestProblemsOverHTTP(t *testing.T) {
	r := newClosedRig(t, access.Rules{})
	h := serveHTTP(t, r.closed, &access.Guard{Register: r.Register, Now: time.Now})
	_, secret := r.token(access.RoleTechnician)
	large := `{"unit_serial": "` + strings.Repeat("x", 5<<20) + `"}`
	for _, c := range []struct {
		method, path, body, header string
		status                     int
		code, detail               string
	}{
		{"GET", "/v1/jobs/77", "", "", 404, "JOB_MISSING", "there is no job 77"},
		{"GET", "/v1/jobs/77", "", "Accept-Language: de-CH, en", 404, "JOB_MISSING", "es gibt keinen Auftrag 77"},
		{"GET", "/v1/jobs/many", "", "", 400, "HTTP_UNREADABLE", ""},
		{"GET", "/v1/nothing", "", "", 404, "HTTP_NO_PATH", "there is no /v1/nothing here: /v1/openapi.json lists what there is"},
		{"GET", "//v1/jobs", "", "", 404, "HTTP_NO_PATH", ""},
		{"GET", "/v1/jobs/", "", "", 404, "HTTP_NO_PATH", ""},
		{"GET", "/v1/nothing", "", "Accept-Language: en;q=0.1, de", 404, "HTTP_NO_PATH", "/v1/nothing gibt es hier nicht: /v1/openapi.json nennt, was es gibt"},
		{"PUT", "/v1/jobs", "{}", "", 405, "HTTP_NO_METHOD", "/v1/jobs does not take PUT: /v1/openapi.json lists the methods that it takes"},
		{"GET", "/v1/readings", "", "", 405, "HTTP_NO_METHOD", ""},
		{"GET", "/v1/jobs/1:verify", "", "", 405, "HTTP_NO_METHOD", ""},
		{"POST", "/v1/jobs", `{"unit_serial": "1", "kind": 2}`, "", 400, "HTTP_FIELD", "kind is no field here: /v1/openapi.json lists those that there are"},
		{"POST", "/v1/jobs", `{"unit_serial": `, "", 400, "HTTP_UNREADABLE", ""},
		{"POST", "/v1/jobs", `{"unit_serial": "1"} {"unit_serial": "2"}`, "", 400, "HTTP_MORE_VALUES", ""},
		{"POST", "/v1/jobs", `{"unit_serial": "1"} more`, "", 400, "HTTP_MORE_VALUES", ""},
		{"POST", "/v1/evaluations", `{"procedure_id": "1"}` + "\n" + `{"procedure_id": "1"}`, "", 400, "HTTP_MORE_VALUES", ""},
		{"POST", "/v1/jobs?validate_only=true", `{"unit_serial": "1"}`, "", 400, "HTTP_QUERY", `the query has "validate_only", which this call does not take`},
		{"GET", "/v1/jobs/1?nix=1", "", "", 400, "HTTP_QUERY", ""},
		{"GET", "/v1/jobs", `{"unit_serial": "1"}`, "", 400, "HTTP_NO_BODY", ""},
		{"POST", "/v1/jobs/1/choices", `{"job_id": "2"}`, "", 400, "HTTP_TWICE", "job_id stands in the path: leave it out of the body"},
		{"POST", "/v1/jobs/1/choices", `{"jobId": "2"}`, "", 400, "HTTP_TWICE", ""},
		{"POST", "/v1/jobs/1/choices", `{"reading_seq": 1.5}`, "", 400, "HTTP_FIELD", ""},
		{"POST", "/v1/jobs", `{"unit_serial": 7}`, "", 400, "HTTP_KIND", "unit_serial is 7: it is to be of the kind string; a text stands in quotes, a number of 64 bits may"},
		{"GET", "/v1/gauges/%FF", "", "", 400, "HTTP_NO_TEXT", ""},
		{"GET", "/v1/jobs?unit_serial=%FC", "", "", 400, "HTTP_NO_TEXT", ""},
		{"POST", "/v1/jobs", `{"unit_serial": "1"}`, "Idempotency-Key: k\xe4", 400, "HTTP_NO_TEXT", ""},
		{"GET", "/v1/jobs?since_time=2026-11-30T00:00:00", "", "", 400, "HTTP_TIME", ""},
		{"GET", "/v1/jobs?outcome=CONFORMS", "", "", 400, "HTTP_WORD", ""},
		{"POST", "/v1/jobs/1/readings", `{"unit": "mm"}`, "Accept-Language: de", 400, "HTTP_WORD", "unit: „mm“ ist kein Wort des Vertrags: /v1/openapi.json nennt die Wörter, die es gibt"},
		{"GET", "/v1/jobs?label[order]=A", "", "", 400, "HTTP_QUERY", ""},
		{"GET", "/v1/jobs?labels=A", "", "", 400, "HTTP_QUERY", ""},
		{"GET", "/v1/jobs?labels[order]=A&labels[order]=B", "", "", 400, "HTTP_UNREADABLE", ""},
		{"GET", "/v1/jobs?opne_only=true", "", "", 400, "HTTP_QUERY", ""},
		{"POST", "/v1/jobs", `{"procedure_id": "ring", "unit_serial": "K-1", "request_id": "one"}`, "Idempotency-Key: two", 400, "HTTP_TWO_KEYS", ""},
		{"POST", "/v1/jobs/1/motions:capture", `{"request_id": "one"}`, "Idempotency-Key: two", 400, "HTTP_TWO_KEYS", ""},
		{"POST", "/v1/evaluations", `{}`, "Idempotency-Key: two", 400, "HTTP_NO_KEY", ""},
		{"POST", "/v1/jobs", `{"procedure_id": "ring", "unit_serial": "K-1"}`, "Idempotency-Key: ", 400, "HTTP_EMPTY_KEY", ""},
		{"GET", "/v1/jobs", "", "Origin: http://evil.example", 403, "HTTP_SITE", ""},
		{"GET", "/v1/jobs", "", "Origin: null", 403, "HTTP_SITE", ""},
		{"POST", "/v1/jobs", `{}`, "Sec-Fetch-Site: cross-site", 403, "HTTP_SITE", "a request from a page of another site was refused"},
		{"GET", "/v1/access%2fpeople", "", "", 404, "HTTP_NO_PATH", ""},
		{"POST", "/v1/jobs", `{}`, "Content-Type: text/plain", 415, "HTTP_NO_JSON", `the body of the request has the type "text/plain": send JSON, with the header Content-Type: application/json`},
		{"POST", "/v1/jobs", large, "", 413, "HTTP_TOO_LARGE", "the body of the request is larger than 4194304 bytes: send it in parts"},
		{"GET", "/v1/events/readings", "", "Last-Event-ID: yesterday", 400, "HTTP_EVENT_ID", ""},
		{"GET", "/v1/events/readings?after=1", "", "", 400, "HTTP_QUERY", ""},
		{"HEAD", "/v1/events/jobs", "", "", 405, "", ""},
		{"GET", "/v1/events/readings", "", "Last-Event-ID: 0123.1", 400, "WATCH_OTHER_HISTORY", ""},
		{"GET", "/v1/gauges", "", "Authorization: Bearer wrong", 401, "ACCESS_TOKEN_UNKNOWN", ""},
		{"POST", "/v1/gauges/line/standings", `{"standing": "STANDING_SUSPECT"}`, "", 403, "ACCESS_ROLE", "press-technician has the role technician; this needs quality or administrator"},
	} {
		headers := []string{"Authorization: Bearer " + secret}
		if c.header != "" {
			headers = append(headers, c.header)
		}
		a := h.ask(c.method, c.path, c.body, headers...)
		if a.status == http.StatusMethodNotAllowed && a.header.Get("Allow") == "" {
			t.Errorf("%s %s: 405 without Allow", c.method, c.path)
		}
		if c.method == http.MethodHead {
			if a.status != c.status {
				t.Errorf("%s %s: %d, want %d", c.method, c.path, a.status, c.status)
			}
			continue
		}
		var got struct {
			Type, Title, Detail, Code string
			Status                    int
		}
		a.into(t, &got)
		if a.status != c.status || got.Status != c.status || got.Code != c.code || got.Title != http.StatusText(c.status) || got.Type != "about:blank" {
			t.Errorf("%s %s %q: %d %+v, want %d %s", c.method, c.path, c.header, a.status, got, c.status, c.code)
		}
		if c.detail != "" && got.Detail != c.detail || got.Detail == "" || strings.HasPrefix(got.Detail, "refusal.") {
			t.Errorf("%s %s %q: %q, want %q", c.method, c.path, c.header, got.Detail, c.detail)
		}
		if kind := a.header.Get("Content-Type"); kind != "application/problem+json" {
			t.Errorf("%s %s is %s", c.method, c.path, kind)
		}
	}
}

// TestTagOfAnAnswer: who has an answer is told that it holds, and gets another one when it
// does not.
func TestTagOfAnAnswer(t *testing.T) {
	r := newRig(t)
	h := serveHTTP(t, r.server, anyone)
	first := h.ask("GET", "/v1/jobs", "")
	tag := first.header.Get("ETag")
	if tag == "" {
		t.Fatalf("no tag: %v", first.header)
	}
	if a := h.ask("GET", "/v1/jobs", "", "If-None-Match: \"other\", W/"+tag); a.status != http.StatusNotModified || a.body != "" {
		t.Errorf("the same: %d %s", a.status, a.body)
	}
	h.ask("POST", "/v1/jobs", `{"procedure_id": "ring", "unit_serial": "A-1", "by": "J. Test"}`)
	if a := h.ask("GET", "/v1/jobs", "", "If-None-Match: "+tag); a.status != http.StatusOK || a.header.Get("ETag") == tag {
		t.Errorf("another: %d %s", a.status, a.header.Get("ETag"))
	}
}

// sent is a request that brings readings first to last.
func sent(first, last int) string {
	var readings []string
	for i := first; i <= last; i++ {
		readings = append(readings, fmt.Sprintf(`{"source_seq": %d, "gauge_id": "sent", "shown": %q, "unit": "UNIT_MILLIMETRE"}`, i, numbered(i)))
	}
	return `{"source": "press", "readings": [` + strings.Join(readings, ", ") + `]}`
}

// TestReadingsOverHTTP: readings are acknowledged when they are stored; what is sent again
// is stored once, and what is not a reading is named.
func TestReadingsOverHTTP(t *testing.T) {
	r := newRig(t)
	h := serveHTTP(t, r.server, anyone)
	for _, c := range []struct{ body, through string }{{sent(1, 3), "3"}, {sent(2, 5), "5"}, {`{"source": "press"}`, "5"}} {
		var got struct {
			Through string `json:"durable_through_seq"`
		}
		h.ask("POST", "/v1/readings", c.body).into(t, &got)
		if got.Through != c.through {
			t.Errorf("%s: through %s, want %s", c.body, got.Through, c.through)
		}
	}
	if got := texts(t, r.Station, "sent"); !slices.Equal(got, []string{"0.001", "0.002", "0.003", "0.004", "0.005"}) {
		t.Errorf("stored: %v", got)
	}
	var refused struct {
		Refused []struct {
			Seq    string `json:"source_seq"`
			Reason struct{ Code string }
		}
	}
	h.ask("POST", "/v1/readings", `{"source": "press", "readings": [{"source_seq": 6, "gauge_id": "sent", "shown": "1.0"}]}`).into(t, &refused)
	if len(refused.Refused) != 1 || refused.Refused[0].Seq != "6" || refused.Refused[0].Reason.Code == "" {
		t.Errorf("a reading without a unit: %+v", refused)
	}
}

// TestNameOfTheCallerOverHTTP: what is done is done in the name of who shows the token.
func TestNameOfTheCallerOverHTTP(t *testing.T) {
	r := newClosedRig(t, access.Rules{})
	h := serveHTTP(t, r.closed, &access.Guard{Register: r.Register, Now: time.Now})
	_, secret := r.token(access.RoleTechnician)
	show := "Authorization: Bearer " + secret
	if a := h.ask("POST", "/v1/jobs", `{"procedure_id": "ring", "unit_serial": "A-1", "by": "Quality Lead"}`, show); a.status != http.StatusForbidden {
		t.Errorf("in another's name: %d %s", a.status, a.body)
	}
	// What a request says of its caller beside the token counts for nothing.
	for _, header := range []string{"Grpc-Metadata-gauged-caller", "gauged-caller"} {
		if a := h.ask("GET", "/v1/access/people", "", show, header+`: {"Name":"x","Role":"administrator","Door":"open"}`); a.status != http.StatusForbidden {
			t.Errorf("with %s: %d %s", header, a.status, a.body)
		}
	}
	var started struct{ Job struct{ By string } }
	h.ask("POST", "/v1/jobs", `{"procedure_id": "ring", "unit_serial": "A-1"}`, show).into(t, &started)
	if started.Job.By != "press-technician" {
		t.Errorf("by %q", started.Job.By)
	}
}

// TestCallerKeyFromOutside: the word by which this process names a caller is nothing in a
// call from outside.
func TestCallerKeyFromOutside(t *testing.T) {
	r := newClosedRig(t, access.Rules{})
	said := metadata.Pairs(callerKey, `{"Name":"x","Role":"administrator","Door":"socket"}`)
	outside := metadata.NewIncomingContext(connected(t, access.DoorSocket)(access.RoleNone), said)
	if r.reaches(outside, "/gauged.v1.AccessService/ListPeople", grpc.MethodInfo{}) {
		t.Error("it was believed")
	}
	inside := metadata.NewIncomingContext(peer.NewContext(t.Context(), &peer.Peer{AuthInfo: at{inside: true}}), said)
	if !r.reaches(inside, "/gauged.v1.AccessService/ListPeople", grpc.MethodInfo{}) {
		t.Error("from inside it was not")
	}
}
