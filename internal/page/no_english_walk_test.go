package page

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"go.yaml.in/yaml/v4"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/station"
)

// germanRig is a rig whose gauges have no English titles, on whose pages English is looked for.
func germanRig(t *testing.T) german {
	t.Helper()
	r := newRig(t, func(o *station.Options) {
		for i := range o.Gauges {
			o.Gauges[i].Title = "Messmittel " + o.Gauges[i].ID
		}
		o.Masters = map[string]check.Master{"zero": {ID: "zero"}}
		for i, id := range []string{"eins", "zwei", "drei"} {
			o.Masters[id] = check.Master{ID: id, Value: gauge.Length(i+1) * gauge.Millimetre.Size()}
		}
		o.Plans = map[string]*check.Plan{"micrometer": {Every: time.Hour}}
	})
	var shop []string
	for _, file := range []string{ringProcedure, ringParts} {
		var node yaml.Node
		if err := yaml.Unmarshal([]byte(file), &node); err != nil {
			t.Fatal(err)
		}
		shop = append(shop, scalars(&node)...)
	}
	slices.SortFunc(shop, func(a, b string) int { return len(b) - len(a) })
	return german{rig: r, english: englishTexts(t), whole: wholeTexts(t), shop: shop, seen: map[string]bool{}}
}

// answers sends a form in German and looks at the page that it leads to, or at what is
// answered.
func (g german) answers(status int, path string, form url.Values) string {
	g.Helper()
	got, body := g.post(path, form, "Accept-Language", "de")
	if got != status {
		g.Fatalf("%s: %d, want %d: %s", path, got, status, body)
	}
	if got == http.StatusSeeOther {
		g.look(body)
	} else {
		g.read(path, body)
	}
	return body
}

// TestNoEnglishInAStudy: the form, each reading, what is refused, the result with its charts
// for each kind of study, and studies of the stored checks.
func TestNoEnglishInAStudy(t *testing.T) {
	g := germanRig(t)
	const page = "/gauges/micrometer/study"
	g.look(page)
	for _, form := range []string{"kind=crossed", "by=q&kind=crossed&parts=3", "by=q&kind=one-way", "by=q&kind=bias&master=none", "by=q&kind=bias&reference=x", "by=q&kind=bias&reference=1&trials=x", "by=q&kind=bias&reference=1&seed=-1", "by=q&kind=bias&reference=1&tolerance=-1", "by=q&kind=capability&reference=1", "by=q&kind=linearity&reference=1&trials=3"} {
		fields, err := url.ParseQuery(form)
		if err != nil {
			t.Fatal(err)
		}
		g.answers(http.StatusUnprocessableEntity, page, fields)
	}
	g.answers(http.StatusConflict, page+"/record", nil)
	for _, c := range []struct{ form, readings string }{
		{"kind=crossed&parts=3&persons=Anna,+Berta&trials=2&seed=0&tolerance=0,5", "10,011 10,202 10,303 10,014 10,206 10,301 10,009 10,204 10,306 10,012 10,201 10,307"},
		{"kind=crossed&parts=3&persons=Anna&trials=2&seed=0", "10,011 10,202 10,303 10,014 10,206 10,301"},
		{"kind=bias&reference=1&trials=4", "1,001 1,002 1,004 1,003"},
		{"kind=linearity&master=eins&master=zwei&master=drei&trials=3&seed=0", "1,001 2,002 3,004 1,003 2,004 3,001 1,003 2,001 3,003"},
		{"kind=stability&reference=1&trials=8", "1,001 1,002 1,004 1,003 1,001 1,009 1,003 1,002"},
		{"kind=capability&reference=1&trials=10&tolerance=0,1", "1,001 1,002 1,004 1,003 1,001 1,009 1,003 1,002 1,001 1,003"},
	} {
		fields, err := url.ParseQuery(c.form + "&by=q")
		if err != nil {
			t.Fatal(err)
		}
		status, to := g.post(page, fields, "Accept-Language", "de")
		if status != http.StatusSeeOther {
			t.Errorf("%s: %d %s", c.form, status, to)
			continue
		}
		g.look(page)
		g.answers(http.StatusConflict, page+"/record", nil)
		g.answers(http.StatusConflict, page, fields)
		for i, shown := range strings.Fields(c.readings) {
			status, body := g.post(page+"/take", url.Values{"shown": {shown}}, "Accept-Language", "de")
			if status != http.StatusSeeOther {
				t.Fatalf("%s, reading %d: %d %s", c.form, i, status, body)
			}
			g.look(page)
		}
		to = g.answers(http.StatusSeeOther, page+"/record", nil)
		if !strings.HasPrefix(to, "/studies/") {
			t.Errorf("%s leads to %s", c.form, to)
			g.answers(http.StatusSeeOther, page+"/cancel", nil)
		}
	}
	g.answers(http.StatusSeeOther, page, url.Values{"kind": {"bias"}, "by": {"q"}, "reference": {"5"}, "trials": {"2"}})
	for range 2 {
		g.answers(http.StatusSeeOther, page+"/take", url.Values{"shown": {"5,001"}})
	}
	g.answers(http.StatusSeeOther, page+"/record", nil) // all equal: refused with the reason on the page
	g.answers(http.StatusSeeOther, page+"/drop", url.Values{"seen": {"2.0"}})
	g.answers(http.StatusSeeOther, page+"/cancel", nil)
}

// TestNoEnglishInACheck: the form, each reading, one far off, what is refused, the gauge with
// its check and its history, and studies of the checks.
func TestNoEnglishInACheck(t *testing.T) {
	g := germanRig(t)
	const page = "/gauges/micrometer/check"
	g.look("/gauges")
	g.look("/gauges/micrometer")
	g.look(page)
	g.answers(http.StatusUnprocessableEntity, page, url.Values{"by": {"q"}})
	g.answers(http.StatusUnprocessableEntity, page, url.Values{"by": {"q"}, "master": {"zero"}, "repeats": {"x"}})
	g.answers(http.StatusUnprocessableEntity, page, url.Values{"by": {"q"}, "master": {"zero"}, "temperature": {"x"}})
	g.answers(http.StatusConflict, page+"/record", nil)
	for i := range 10 {
		g.answers(http.StatusSeeOther, page, url.Values{"by": {"q"}, "master": {"zero"}, "repeats": {"2"}})
		g.answers(http.StatusConflict, page+"/record", nil)
		shown := []string{"0,00" + string('0'+rune(3*i%7)), "0,00" + string('0'+rune((3*i+1)%7))}
		for _, s := range shown {
			g.answers(http.StatusSeeOther, page+"/take", url.Values{"shown": {s}})
		}
		if i == 0 {
			g.answers(http.StatusSeeOther, page+"/adjusted", nil)
			for range 2 {
				g.answers(http.StatusSeeOther, page+"/take", url.Values{"shown": {"0,000"}})
			}
		}
		g.answers(http.StatusSeeOther, page+"/record", url.Values{"remark": {"x"}})
	}
	g.answers(http.StatusSeeOther, page, url.Values{"by": {"q"}, "master": {"zero"}, "repeats": {"1"}})
	g.answers(http.StatusSeeOther, page+"/take", url.Values{"shown": {"9,000"}})
	if status, body := g.post(page+"/record", nil, "Accept-Language", "de"); status == http.StatusSeeOther {
		g.look(body)
	} else {
		g.read(page+"/record", body)
	}
	for _, kind := range []string{"bias", "stability", "capability&tolerance=0.1"} {
		g.look("/gauges/micrometer/study/checks?kind=" + kind)
	}
	for _, kind := range []string{"linearity", "capability", "bias&since=x"} {
		_, body := g.get("/gauges/micrometer/study/checks?kind="+kind, "Accept-Language", "de")
		g.read(kind, body)
	}
}

// TestNoEnglishInARecall: its form, the answer in each way that an error comes about, and
// what is refused.
func TestNoEnglishInARecall(t *testing.T) {
	g := germanRig(t)
	wholeJob(g.rig)
	const page = "/gauges/button/recall?"
	for _, query := range []string{"", "go=1&error=0,060&unit=mm", "go=1&error=60&unit=um&standard=5", "go=1", "go=1&model=from+work", "go=1&error=0.060&unit=mm&model=growing&since=2026-01-01"} {
		_, body := g.get(page+query, "Accept-Language", "de")
		g.read(page+query, body)
	}
	for _, query := range []string{"go=1&model=growing", "go=1&model=odd", "go=1&model=from+work&error=1&unit=mm", "go=1&error=1&unit=mm&standard=-1", "go=1&error=0.1&unit=degC", "go=1&error=1e3&unit=mm", "go=1&error=1&unit=mm&since=x"} {
		status, body := g.get(page+query, "Accept-Language", "de")
		if status != http.StatusUnprocessableEntity {
			t.Errorf("%s: %d", query, status)
		}
		g.read(page+query, body)
	}
}

// TestNoEnglishInTheEditor: the pages of procedures and families, copies with problems, with
// differences and tries, and what is not saved.
func TestNoEnglishInTheEditor(t *testing.T) {
	g := germanRig(t)
	const ring, rings = "/procedures/ring", "/parts/rings"
	if _, err := g.station.StartJob(t.Context(), station.StartRequest{Procedure: "ring", UnitSerial: "1", Technician: "t"}); err != nil {
		t.Fatal(err)
	}
	for _, shown := range []string{"25.000", "25.010", "23.300"} {
		g.typed(1, shown)
	}
	for _, path := range []string{"/procedures", ring, rings, ring + "/edit", rings + "/edit", "/versions/" + gauge.HashContent([]byte(ringProcedure))} {
		g.look(path)
	}
	const table = "measurement,value,unit\n"
	with := func(old, by string) string {
		t.Helper()
		if !strings.Contains(ringProcedure, old) {
			t.Fatalf("no %q", old)
		}
		return strings.Replace(ringProcedure, old, by, 1)
	}
	named := url.Values{"by": {"A"}, "reason": {"enger"}}
	for _, c := range []struct {
		at, text, do string
		more         url.Values
	}{
		{ring, with("gap: depth - height", "gap: deep - height"), "check", nil},
		{ring, with("gap: depth - height", "gap: depth - - height * ("), "check", nil},
		{ring, with("repeats: 2", "repeats: zwei"), "check", nil},
		{ring, with("max: 0.20", "max: 0,20"), "check", nil},
		{ring, with("choose: {method: middle}", "choose: {method: mitte}"), "check", nil},
		{ring, with("unit: mm", "unit: Zoll"), "check", nil},
		{ring, with("parts: rings", "parts: keine"), "check", nil},
		{ring, with("title: Ring for <end> play\n", ""), "check", nil},
		{ring, with("procedure: ring", "procedure: anderer"), "check", nil},
		{ring, with("\ngap:", "\nexamples:\n  - {readings: {depth: 25.0, height: 23.3}, wants: {part: R150, outcome: fit part}}\ngap:"), "check", nil},
		{ring, ringProcedure + "examples:\n  - {readings: {depth: [25.0, 25.01], height: 23.3}, wants: {part: R150, gap: 1.8, outcome: measuring}}\n", "check", nil},
		{ring, "a: [", "check", nil},
		{ring, "\tx: 1", "check", nil},
		{ring, "", "check", nil},
		{ring, ringProcedure + "# fein\n", "check", nil},
		{rings, "family: rings\ntitle: Rings\nunit: mm\nborder: lower row\ngrades:\n  - {part: A, serves: {max: 1}}\n  - {part: B, serves: {min: 1}}\n", "check", nil},
		{rings, strings.Replace(ringParts, "stock: 4", "stock: viel", 1), "check", nil},
		{rings, strings.Replace(ringParts, "R155", "R150", 1), "check", nil},
		{rings, strings.Replace(ringParts, "thickness: 1.55", "thickness: -1.55", 1), "check", nil},
		{ring, with("max: 0.20", "max: 0.18"), "difference", nil},
		{ring, ringProcedure, "difference", nil},
		{ring, with("max: 0.20", "max: 0.18"), "save", url.Values{"by": {"A"}}},
		{ring, with("play: {min: 0.10, max: 0.20}", "play: {min: 0.16, max: 0.26}"), "try", url.Values{"job": {"1"}}},
		{ring, strings.NewReplacer("height: {title", "boss: {title", "depth - height", "depth - boss").Replace(ringProcedure), "try", url.Values{"job": {"1"}}},
		{rings, strings.Replace(ringParts, "stock: 0", "stock: 5", 1), "try", url.Values{"job": {"1"}}},
		{rings, ringParts, "try", url.Values{"readings": {table + "depth,25.000,mm\ndepth,25.010,mm\nheight,23.300,mm\n"}, "procedure": {"ring"}}},
		{ring, ringProcedure, "try", nil},
		{ring, ringProcedure, "try", url.Values{"readings": {table + "depth,,mm\n"}}},
		{ring, ringProcedure, "try", url.Values{"readings": {table + "depth,25.000,mm\ndepth,25.010,mm\nheight,23.300,mm\nend_play,0.150,mm\n"}}},
		{ring, ringProcedure, "try", url.Values{"readings": {table + "depth,15.000,mm\ndepth,25.010,mm\nheight,33.300,mm\n"}}},
		{ring, ringProcedure, "try", url.Values{"readings": {table + "depth,25,000,mm\nwidth,1,mm\n"}}},
		{ring, ringProcedure, "try", url.Values{"readings": {table + "depth,25.000,mm\ndepth,,mm\ndepth,x,mm\nheight,23.300,s\nheight,23.3,in\n"}}},
		{ring, ringProcedure, "try", url.Values{"readings": {"mass,wert\n1,2\n"}}},
		{ring, strings.NewReplacer("height: {title", "boss: {title", "depth - height", "depth - boss").Replace(ringProcedure), "try", url.Values{"readings": {table + "depth,25.000,mm\ndepth,25.010,mm\nboss,23.300,mm\n"}}},
	} {
		_, body := g.edit(c.at, c.text, c.do, c.more, "Accept-Language", "de")
		g.read(c.at+" "+c.do, body)
	}
	if status, to := g.edit(ring, with("max: 0.20", "max: 0.18"), "save", named, "Accept-Language", "de"); status != http.StatusSeeOther {
		t.Fatal(status, to)
	}
	for _, path := range []string{ring, "/versions/" + gauge.HashContent([]byte(ringProcedure))} {
		g.look(path)
	}
	_, body := g.post(ring+"/edit", url.Values{"base": {gauge.HashContent([]byte(ringProcedure))}, "text": {ringProcedure + "# x\n"}, "do": {"save"}, "by": {"B"}, "reason": {"c"}}, "Accept-Language", "de")
	g.read("a stale copy", body)
}
