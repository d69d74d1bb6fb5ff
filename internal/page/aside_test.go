package page

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
)

// TestAsideOnThePage: a job is set aside with a reason and a name, stands on the first page
// as one that waits, is taken up there by somebody else, and its serial number is put right.
func TestAsideOnThePage(t *testing.T) {
	r := newRig(t)
	r.post("/jobs", url.Values{"procedure": {"ring"}, "serial": {"SC-OO42"}, "technician": {"demo"}})
	r.has("/jobs/1", nil, `id="set-aside"`, `action="/jobs/1/aside"`, `<details id="panel-aside" name="more" data-once>`)
	if status, body := r.post("/jobs/1/aside", r.form("reason", " ")); status != http.StatusUnprocessableEntity {
		t.Errorf("without a reason: %d %s", status, body)
	}
	if status, body := r.post("/jobs/1/aside", r.form("reason", "ring ordered", "for", "second hand")); status != http.StatusSeeOther {
		t.Fatalf("%d %s", status, body)
	}
	r.lacks("/jobs/1", `id="set-aside"`, `id="pad"`, `id="enter"`, `id="acknowledge"`)
	r.has("/jobs/1", nil, "Set aside: ring ordered", "second hand", `action="/jobs/1/resume"`, "This job is set aside. By demo, ", `form="act" name="by" value="second hand"`, "Take it up")
	if _, body := r.get("/jobs/1", "Cookie", "people=Ada%0ABo"); !strings.Contains(body, `name="by" value="second hand"`) {
		t.Error("the one whom the job is for is not proposed before the one who was here last")
	}
	r.has("/", nil, `<ul id="waits"`, "SC-OO42", "set aside: ring ordered, for second hand")
	r.has("/jobs", nil, "set aside: ring ordered, for second hand")
	r.has("/jobs/1/sheet", nil, "set aside: ring ordered, for second hand")
	if status, body := r.post("/jobs/1/resume", r.form("by", "")); status != http.StatusUnprocessableEntity {
		t.Errorf("without a name: %d %s", status, body)
	}
	if status, body := r.post("/jobs/1/resume", r.form("by", "third hand")); status != http.StatusSeeOther {
		t.Fatalf("%d %s", status, body)
	}
	r.lacks("/jobs/1", `action="/jobs/1/resume"`)
	r.post("/jobs/1/aside", r.form("reason", "end of shift"))
	if _, body := r.get("/jobs/1", "Cookie", "people=Ada%0ABo"); !strings.Contains(body, `name="by" value="Ada"`) {
		t.Error("the one who was here last is not proposed")
	}
	r.post("/jobs/1/resume", r.form("by", "third hand"))
	r.has("/jobs/1", nil, "third hand")
	if status, body := r.post("/jobs/1/serial", r.form("serial", "SC-0042", "reason", "O and 0")); status != http.StatusSeeOther {
		t.Fatalf("%d %s", status, body)
	}
	r.has("/jobs/1", nil, `data-title="Job 1, unit SC-0042"`, "SC-0042", "The serial number was said to be: SC-OO42")
	r.has("/jobs?serial=sc+oo42", nil, "SC-0042")
	r.has("/jobs/1/sheet", nil, "Taken up again", "SC-OO42 → SC-0042", "O and 0")
}

// TestOrderOnThePage: a job is started with an order, found by it however it is written, stands
// with it in the list, its table and on the sheet, and the order is put right with a reason,
// also once the job is closed.
func TestOrderOnThePage(t *testing.T) {
	r := newRig(t)
	r.has("/start?procedure=ring&order=A-1", nil, `id="order" name="order" value="A-1"`)
	r.post("/jobs", url.Values{"procedure": {"ring"}, "serial": {"U-1"}, "technician": {"demo"}, "order": {" =A-1042 "}})
	r.post("/jobs", url.Values{"procedure": {"ring"}, "serial": {"U-2"}, "technician": {"demo"}, "order": {" "}})
	r.has("/jobs/1", nil, `<p id="labels">Order: =A-1042</p>`, `id="order-right" name="order" value="=A-1042"`)
	r.lacks("/jobs/2", `id="labels"`)
	if _, err := r.station.SetLabels(t.Context(), 1, map[string]string{"bay": "3"}, "", "lead"); err != nil {
		t.Fatal(err)
	}
	if _, err := r.station.CloseJob(t.Context(), 1, "scrapped", "lead"); err != nil {
		t.Fatal(err)
	}
	if status, body := r.post("/jobs/1/labels", r.form("order", "A-1043")); status != http.StatusUnprocessableEntity || !strings.Contains(body, "=A-1042") {
		t.Errorf("without a reason: %d %s", status, body)
	}
	if status, body := r.post("/jobs/1/labels", r.form("order", "=A-1043", "customer", "Miller", "reason", "misread")); status != http.StatusSeeOther {
		t.Fatalf("%d %s", status, body)
	}
	r.has("/jobs/1", nil, `<p id="labels">Order: =A-1043; Customer: Miller; bay: 3</p>`)
	r.has("/jobs?order=%3Da1043", nil, `<td data-head="Order">=A-1043</td>`, `name="order" value="=a1043"`, `href="/jobs.csv?order=%3Da1043"`)
	r.lacks("/jobs?order=%3Da1042", `<td data-head="Order">=A-1043</td>`)
	r.has("/jobs.csv?order=%3Da1043", nil, "people,order,customer,labels\n", ",'=A-1043,Miller,bay=3\n")
	r.has("/jobs/1/sheet", nil, "=A-1042 → =A-1043", "misread", "Miller")
	if status, body := r.post("/jobs", url.Values{"procedure": {"ring"}, "serial": {"U-3"}, "technician": {"demo"}, "order": {"A\x001"}}); status != http.StatusUnprocessableEntity {
		t.Errorf("a control character: %d %s", status, body)
	}
}
