package page

import (
	"encoding/csv"
	"fmt"
	"net/http"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"gauged/internal/station"
)

// TestJobsAreFiltered: by each thing that is asked for, alone and together; the form keeps it,
// and so do the pages and the table.
func TestJobsAreFiltered(t *testing.T) {
	r := newRig(t)
	wholeJob(r) // job 1, of demo, with the gauges button and line
	for i := range 2*jobsShown + 1 {
		start := station.StartRequest{Procedure: "ring", UnitSerial: "=U+1", Technician: []string{"Ann", "Ben"}[i%2]}
		if _, err := r.station.StartJob(t.Context(), start); err != nil {
			t.Fatal(err)
		}
	}
	today := time.Now().Format(time.DateOnly)
	shown := func(query string) (ids []string) {
		status, body := r.get("/jobs" + query)
		if status != http.StatusOK {
			t.Fatalf("%s: %d %s", query, status, body)
		}
		for _, found := range regexp.MustCompile(`<a href="/jobs/(\d+)">`).FindAllStringSubmatch(body, -1) {
			ids = append(ids, found[1])
		}
		return ids
	}
	for query, want := range map[string]string{
		"?outcome=conforms": "[1]", "?gauge=button": "[1]", "?person=DEMO": "[1]", "?outcome=conforms&person=de+mo": "[1]", "?person=dem": "[]", "?gauge=button&person=Demo": "[1]", "?person=Ben&until=2001-02-03": "[]", "?procedure=ring&outcome=conforms": "[1]",
		"?outcome=conforms&since=" + today + "&until=" + today: "[1]", "?outcome=does+not+conform": "[]", "?gauge=button&person=Ann": "[]", "?since=2999-01-01": "[]",
	} {
		if got := fmt.Sprint(shown(query)); got != want {
			t.Errorf("%s: %s, want %s", query, got, want)
		}
	}
	if first, last := shown("?person=Ben"), shown("?person=Ann"); len(first) != jobsShown || first[0] != "201" || last[0] != "202" {
		t.Errorf("%v, %v", first, last)
	}
	r.has("/jobs?person=Ann&outcome=measuring&procedure=gone", nil, `name="person" value="Ann"`, `<option value="measuring" selected>`, "<option selected>gone</option>", "Show all jobs")
	r.lacks("/jobs?person=Ann&outcome=measuring&procedure=gone", "/jobs.csv") // there is nothing to download
	r.has("/jobs?person=Ann&outcome=measuring&procedure=ring", nil, `href="/jobs.csv?outcome=measuring&amp;person=Ann&amp;procedure=ring"`)
	if next := link(r.has("/jobs?person=Ann&outcome=measuring", nil), "older"); !strings.Contains(next, "person=Ann") || !strings.Contains(next, "outcome=measuring") {
		t.Errorf("the next page is %s", next)
	}
	for query, want := range map[string]string{"?outcome=odd": "is no verdict of a job", "?since=yesterday": "is no day such as", "?since=2026-03-02&until=2026-03-01": "the first day, 2026-03-02, is after the last one, 2026-03-01", "?gauge=nowhere": "nowhere"} {
		for _, path := range []string{"/jobs", "/jobs.csv"} {
			if status, body := r.get(path + query); status == http.StatusOK || !strings.Contains(body, want) {
				t.Errorf("%s%s: %d %s", path, query, status, body)
			}
		}
	}
}

// TestUnfinishedJobs: one that was closed before it had a verdict is listed as that alone, in the
// words of its verdict, and its step is not done.
func TestUnfinishedJobs(t *testing.T) {
	r := newRig(t)
	wholeJob(r)
	for range 2 {
		if _, err := r.station.StartJob(t.Context(), station.StartRequest{Procedure: "ring", UnitSerial: "U 8", Technician: "Ann"}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := r.station.CloseJob(t.Context(), 2, "scrapped", "Ann"); err != nil {
		t.Fatal(err)
	}
	for outcome, want := range map[string]string{"measuring": "3", "unfinished": "2", "conforms": "1"} {
		_, body := r.get("/jobs?outcome=" + outcome)
		found := regexp.MustCompile(`<a href="/jobs/(\d+)">`).FindAllStringSubmatch(body, -1)
		if len(found) != 1 || found[0][1] != want {
			t.Errorf("%s lists %q, want %s", outcome, found, want)
		}
	}
	r.has("/jobs?outcome=unfinished", nil, `<option value="unfinished" selected>Closed unfinished</option>`, "Closed unfinished: scrapped", `href="/jobs.csv?outcome=unfinished"`)
	for path, state := range map[string]string{"/jobs/2": "next", "/jobs/1": "done"} {
		if _, page := r.get(path); !regexp.MustCompile(`<li class="` + state + `" data-step="\d+"><span>Verdict</span>`).MatchString(page) {
			t.Errorf("%s does not say that the verdict is %s", path, state)
		}
	}
}

// TestJobsAsTable: the table has every job of the list, not one page of it, and no cell that
// a spreadsheet takes for a formula.
func TestJobsAsTable(t *testing.T) {
	r := newRig(t)
	wholeJob(r)
	const jobs = 2 * jobsShown // the last page is full
	for range jobs {
		if _, err := r.station.StartJob(t.Context(), station.StartRequest{Procedure: "ring", UnitSerial: "=U+1", Technician: "Ann"}); err != nil {
			t.Fatal(err)
		}
	}
	read := func(query string) [][]string {
		status, body := r.get("/jobs.csv" + query)
		rows, err := csv.NewReader(strings.NewReader(body)).ReadAll()
		if status != http.StatusOK || err != nil || len(rows) == 0 || rows[0][0] != "job" {
			t.Fatalf("%s: %d %v %v", query, status, err, rows)
		}
		return rows[1:]
	}
	rows := read("?person=Ann")
	if len(rows) != jobs || rows[0][0] != fmt.Sprint(jobs+1) || rows[jobs-1][0] != "2" || rows[0][1] == "=U+1" || !strings.Contains(rows[0][1], "=U+1") {
		t.Errorf("%d rows from %v to %v", len(rows), rows[0], rows[len(rows)-1])
	}
	one := read("?outcome=conforms")
	if len(one) != 1 || !slices.Equal(one[0][:6], []string{"1", "U <7>", "ring", one[0][3], "conforms", "demo"}) || one[0][7] == "" || !strings.Contains(one[0][8], "button") {
		t.Errorf("%v", one)
	}
}

// TestEachPersonOfAJobIsListed: who signs a job of another finds it, and stands in its row
// and in the table beside who started it.
func TestEachPersonOfAJobIsListed(t *testing.T) {
	r := rigOf(t, "procedure: ring\ntitle: Friction\nunit: mm\nmeasure: {drag: {title: Drag}}\njudge: {drag: {min: 1.2, max: 2.0}}\n")
	r.begin()
	r.does("enter", []string{"shown", "1.6", "unit", "mm"})
	if _, err := r.station.Verify(t.Context(), 1, "Ozan"); err != nil {
		t.Fatal(err)
	}
	if _, err := r.station.CloseJob(t.Context(), 1, "", "Ozan"); err != nil {
		t.Fatal(err)
	}
	for _, person := range []string{"ozan", "demo"} {
		r.has("/jobs?person="+person, nil, `<a href="/jobs/1">`, ">demo, Ozan</td>")
		r.has("/jobs.csv?person="+person, nil, ",people", ",demo; Ozan")
	}
	r.lacks("/jobs?person=other", `<a href="/jobs/1">`)
}
