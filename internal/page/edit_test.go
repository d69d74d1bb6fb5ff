package page

import (
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/station"
)

// edit sends a copy of the file that is in force.
func (r *rig) edit(address, text, do string, more url.Values, headers ...string) (int, string) {
	r.Helper()
	kind, id, _ := strings.Cut(strings.TrimPrefix(address, "/"), "/")
	if kind == "procedures" {
		kind = "procedure"
	}
	f, err := r.station.Library().File(kind, id)
	if err != nil {
		r.Fatal(err)
	}
	form := url.Values{"base": {f.Hash}, "text": {strings.ReplaceAll(text, "\n", "\r\n")}, "do": {do}}
	for key, values := range more {
		form[key] = values
	}
	return r.post(address+"/edit", form, headers...)
}

func (r *rig) disk(name string) string {
	r.Helper()
	content, err := os.ReadFile(filepath.Join(r.dir, name))
	if err != nil {
		r.Fatal(err)
	}
	return string(content)
}

func TestEditPage(t *testing.T) {
	r := newRig(t)
	status, body := r.get("/procedures/ring/edit")
	r.shows(status, body, `<span id="line-1">1</span>`, "\nprocedure: ring\ntitle: Ring for &lt;end&gt; play", "depth,,mm\ndepth,,mm\nheight,,mm\n# end_play,,mm", "No job to try it on yet.")
	if strings.Contains(body, "style=") || strings.Contains(body, "<script>") {
		t.Error("something is inline")
	}
}

// TestCheckCopy: each problem leads to its line; those of other files are named.
func TestCheckCopy(t *testing.T) {
	r := newRig(t)
	status, body := r.edit("/procedures/ring", strings.Replace(ringProcedure, "gap: depth - height", "gap: deep - height", 1), "check", nil)
	r.shows(status, body, `<a href="#line-9" data-line="9" data-column="6">Line 9, column 6:</a>`, `&#34;deep&#34; is not known here`, "The copy has problems")
	status, body = r.edit("/procedures/ring", "a: [", "check", nil)
	r.shows(status, body, `data-line="2"`)
	status, body = r.edit("/parts/rings", "family: rings\ntitle: Rings\nunit: mm\nborder: lower row\ngrades:\n  - {part: A, serves: {max: 1}}\n  - {part: B, serves: {min: 1}}\n", "check", nil)
	r.shows(status, body, "ring.yaml:1</code>", "chooses by thickness, but A of family rings has none")
	status, body = r.edit("/procedures/ring", ringProcedure+"# fine\n", "check", nil)
	r.shows(status, body, "The copy is valid")
	if r.disk("ring.yaml") != ringProcedure {
		t.Error("checking has written the file")
	}
}

func TestDifference(t *testing.T) {
	r := newRig(t)
	status, body := r.edit("/procedures/ring", strings.Replace(ringProcedure, "max: 0.20", "max: 0.18", 1), "difference", nil)
	r.shows(status, body, "<del>allow: {play: {min: 0.10, max: 0.20}}</del>", "<ins>allow: {play: {min: 0.10, max: 0.18}}</ins>", "<code>gap: depth - height</code>")
	if strings.Contains(body, "<code>procedure: ring</code>") {
		t.Error("lines far from a change are shown")
	}
	status, body = r.edit("/procedures/ring", ringProcedure, "difference", nil)
	r.shows(status, body, "There is no difference.")
}

// TestSaveVersion: from the form to the file, the next job and the list of versions.
func TestSaveVersion(t *testing.T) {
	r := newRig(t)
	changed := strings.Replace(ringProcedure, "max: 0.20", "max: 0.18", 1)
	named := url.Values{"by": {"A. Author"}, "reason": {"tighter <limits>"}}
	status, body := r.edit("/procedures/ring", changed, "save", url.Values{"by": {"A. Author"}})
	r.shows(status, body, "Nothing was saved", "say why the new version is made", "max: 0.18", `value="A. Author"`)
	if status, to := r.edit("/procedures/ring", changed, "save", named); status != http.StatusSeeOther || to != "/procedures/ring" {
		t.Fatalf("%d %s", status, to)
	}
	if r.disk("ring.yaml") != changed {
		t.Errorf("the file has\n%s", r.disk("ring.yaml"))
	}
	status, body = r.get("/procedures/ring")
	r.shows(status, body, "A. Author", "tighter &lt;limits&gt;", "0.100 mm to 0.180 mm", `<strong class="good">in force</strong>`)
	status, body = r.get("/versions/" + gauge.HashContent([]byte(ringProcedure)))
	r.shows(status, body, "This version is not in force.", "0.100 mm to 0.200 mm", "<ins>allow: {play: {min: 0.10, max: 0.18}}</ins>", "procedure: ring\n")

	// A copy of the older version is stale, also when its text would be fine.
	status, body = r.post("/procedures/ring/edit", url.Values{"base": {gauge.HashContent([]byte(ringProcedure))}, "text": {ringProcedure + "# x\n"}, "do": {"save"}, "by": {"B"}, "reason": {"c"}})
	r.shows(status, body, "Another version has come into force since this copy was made", "another version of ring has come in force")

	// Somebody edits the file by hand meanwhile.
	write(t, filepath.Join(r.dir, "ring.yaml"), changed+"# by hand\n")
	status, body = r.edit("/procedures/ring", changed+"# by form\n", "save", named)
	r.shows(status, body, "was changed by somebody else", "# by form")
	if r.disk("ring.yaml") != changed+"# by hand\n" {
		t.Error("the edit by hand is lost")
	}
}

func TestFileThatCannotBeWritten(t *testing.T) {
	r := newRig(t)
	if err := os.Chmod(filepath.Join(r.dir, "ring.yaml"), 0o444); err != nil {
		t.Fatal(err)
	}
	status, body := r.get("/procedures/ring/edit")
	r.shows(status, body, "The station cannot write this file.", "is set read-only", `value="download"`)
	if strings.Contains(body, `value="save"`) {
		t.Error("saving is offered")
	}
	answer := r.send(http.MethodPost, "/procedures/ring/edit", strings.NewReader("text=a%0D%0Ab&do=download"), "Content-Type", "application/x-www-form-urlencoded")
	defer answer.Body.Close()
	if got := answer.Header.Get("Content-Disposition"); got != `attachment; filename="ring.yaml"` {
		t.Error(got)
	}
}

// TestTryCopy: a past job, then and now; typed readings, in force and with the copy.
func TestTryCopy(t *testing.T) {
	r := newRig(t)
	r.post("/jobs", url.Values{"procedure": {"ring"}, "serial": {"U 1"}, "technician": {"demo"}})
	for _, shown := range []string{"25.000", "25.010", "23.300"} {
		r.typed(1, shown)
	}
	changed := strings.Replace(ringProcedure, "play: {min: 0.10, max: 0.20}", "play: {min: 0.16, max: 0.26}", 1)
	status, body := r.edit("/procedures/ring", changed, "try", url.Values{"job": {"1"}})
	r.shows(status, body, "<th scope=\"row\">Allowed</th><td>0.100 mm to 0.200 mm</td><td>0.160 mm to 0.260 mm</td>", `<th scope="row">Part</th><td>R160</td><td>R150</td>`, ">Then</th>", "1 - U 1 - ")
	status, body = r.edit("/parts/rings", strings.Replace(ringParts, "stock: 0", "stock: 5", 1), "try", url.Values{"job": {"1"}})
	r.shows(status, body, `<th scope="row">Part</th><td>R160</td><td>R155</td>`)

	status, body = r.edit("/parts/rings", ringParts+"# nothing else\n", "try", url.Values{"job": {"1"}})
	r.shows(status, body, "Findings with the copy", "R155")

	table := "measurement,value,unit\ndepth,25.000,mm\ndepth,25.010,mm\nheight,23.300,mm\n# end_play,,mm\n"
	status, body = r.edit("/procedures/ring", changed, "try", url.Values{"readings": {table}})
	r.shows(status, body, `<th scope="row">Part</th><td>R160</td><td>R150</td>`, ">Version in force</th>")
	status, body = r.edit("/parts/rings", strings.Replace(ringParts, "stock: 0", "stock: 5", 1), "try", url.Values{"readings": {table}, "procedure": {"ring"}})
	r.shows(status, body, `<td>R160</td><td>R155</td>`)
	status, body = r.edit("/procedures/ring", changed, "try", url.Values{"readings": {"measurement,value,unit\ndepth,25,000,mm\n"}})
	r.shows(status, body, "No result", "write a point as the decimal sign, and put quotes around a text with a comma in it")
	status, body = r.edit("/procedures/ring", changed, "try", url.Values{"readings": {"measurement,value,unit\ndepth,25,000,mm\nwidth,1,mm\n"}}, "Accept-Language", "de")
	r.shows(status, body, "Zeile 2, Spalte 14: die Zeile hat 4 Zellen, 1 mehr als Spaltennamen: als Dezimalzeichen einen Punkt schreiben", "Spalte measurement: Verfahren ring hat keine Messung „width“")
	status, body = r.edit("/procedures/ring", changed, "try", url.Values{"readings": {"measurement,value,unit\ndepth,25.000,mm\ndepth,,mm\ndepth,25.010,mm\nheight,23.300,mm\n"}})
	r.shows(status, body, "No result", "Line 3, column 7: ", "there are no digits")
	status, body = r.edit("/procedures/ring", changed, "try", url.Values{"readings": {"measurement,value,unit\ndepth,,mm\n# end_play,,mm\n"}})
	r.shows(status, body, "Choose a job or fill in readings.")
	status, body = r.edit("/procedures/ring", changed, "try", nil)
	r.shows(status, body, "Choose a job or fill in readings.")
	if status, _ := r.edit("/procedures/ring", changed, "try", url.Values{"job": {"7"}}); status != http.StatusNotFound {
		t.Errorf("a job that does not exist: %d", status)
	}
	renamed := strings.NewReplacer("height: {title", "boss: {title", "depth - height", "depth - boss").Replace(ringProcedure)
	status, body = r.edit("/procedures/ring", renamed, "try", url.Values{"job": {"1"}})
	r.shows(status, body, "height 23.300 mm: procedure ring has no measurement")
	if r.disk("ring.yaml") != ringProcedure {
		t.Error("trying has written the file")
	}
}

// typed enters a value into a job.
func (r *rig) typed(job uint64, shown string) {
	r.Helper()
	if _, _, err := r.station.Enter(r.Context(), station.EnterRequest{Job: job, Shown: shown, Unit: gauge.Millimetre}); err != nil {
		r.Fatal(err)
	}
}
