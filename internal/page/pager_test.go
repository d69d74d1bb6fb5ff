package page

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"gauged/internal/page/lists"
	"gauged/internal/station"
)

var linkTo = map[string]*regexp.Regexp{
	"newer": regexp.MustCompile(`<a class="big" href="([^"]+)" rel="prev">`), "older": regexp.MustCompile(`<a class="big" href="([^"]+)" rel="next">`),
}

// link is where a page leads to its neighbour; empty: nowhere.
func link(body, name string) string {
	found := linkTo[name].FindStringSubmatch(body)
	if found == nil {
		return ""
	}
	return strings.ReplaceAll(found[1], "&amp;", "&")
}

// TestJobsInPages: every job of the list is reached by older, and the way back by newer.
func TestJobsInPages(t *testing.T) {
	r := newRig(t)
	const jobs = 2*jobsShown + 5
	for i := range 2 * jobs { // every other one is of the unit that is looked for
		unit := []string{"U", "other"}[i%2]
		if _, err := r.station.StartJob(t.Context(), station.StartRequest{Procedure: "ring", UnitSerial: unit, Technician: "demo"}); err != nil {
			t.Fatal(err)
		}
	}
	shown := func(body string) (ids []string) {
		for _, found := range regexp.MustCompile(`<a href="/jobs/(\d+)">`).FindAllStringSubmatch(body, -1) {
			ids = append(ids, found[1])
		}
		return ids
	}
	var want []string
	for id := 2*jobs - 1; id > 0; id -= 2 {
		want = append(want, fmt.Sprint(id))
	}
	var all []string
	var pages []string
	for path := "/jobs?serial=U"; path != ""; {
		_, body := r.get(path)
		all, pages = append(all, shown(body)...), append(pages, body)
		path = link(body, "older")
	}
	if len(pages) != 3 || !slices.Equal(all, want) {
		t.Fatalf("%d pages with %d jobs: %v", len(pages), len(all), all)
	}
	if link(pages[0], "newer") != "" {
		t.Error("there is something newer than the newest")
	}
	_, middle := r.get(link(pages[2], "newer"))
	_, first := r.get(link(middle, "newer"))
	if !slices.Equal(shown(middle), shown(pages[1])) || !slices.Equal(shown(first), want[:jobsShown]) || link(first, "newer") != "" || link(middle, "older") == "" {
		t.Errorf("back: %v and %v", shown(middle), shown(first))
	}
}

// TestParts: parts of a list hold all of it, and lead to their neighbours alone.
func TestParts(t *testing.T) {
	all := []int{1, 2, 3, 4, 5}
	for _, c := range []struct {
		part  uint64
		want  string
		pager lists.Pager
	}{
		{0, "[1 2]", lists.Pager{Older: "/g?checks=1&point=a#c"}},
		{1, "[3 4]", lists.Pager{Newer: "/g?point=a#c", Older: "/g?checks=2&point=a#c"}},
		{2, "[5]", lists.Pager{Newer: "/g?checks=1&point=a#c"}},
		{99, "[5]", lists.Pager{Newer: "/g?checks=1&point=a#c"}},
	} {
		if part, p := lists.PartOf(all, c.part, 2, "/g", "checks", "#c", "point", "a"); fmt.Sprint(part) != c.want || p != c.pager {
			t.Errorf("part %d is %v, %+v", c.part, part, p)
		}
	}
	if part, p := lists.PartOf([]int{}, 3, 2, "/g", "checks", ""); len(part) != 0 || p != (lists.Pager{}) {
		t.Errorf("%v, %+v", part, p)
	}
}
