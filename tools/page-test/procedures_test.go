//go:build page

package pagetest

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// TestProcedures: procedures and parts are read, and a copy is edited, checked
// and saved as a new version of the file.
func TestProcedures(t *testing.T) {
	b := newBench(t)
	s := b.newScreen("en")
	s.open("/procedures")
	s.shows("main", "Shaft end play, ring", "Rings for the shaft")
	s.look("procedures")
	s.open("/parts/rings")
	s.shows("main", "R155", "1.55")
	s.look("parts")
	s.open("/procedures/ring")
	s.shows("main", "Depth of the case", "within 0.030 mm", "Wear goggles")
	s.look("procedure")

	s.touch(`a[href="/procedures/ring/edit"]`)
	s.replaces("gap: depth - cover", "gap: depth - lid")
	s.touch("button[value=check]")
	s.shows("#outcome", "lid")
	s.there("#outcome [data-line]")
	s.look("edit-problem")
	s.replaces("gap: depth - lid", "gap: depth - cover")
	s.replaces("min: 0.100", "min: 0.110")
	s.touch("button[value=difference]")
	s.shows("#outcome", "0.110")
	s.fill("input[name=by]", "demo")
	s.fill("input[name=reason]", "a little more play")
	s.touch("button[value=save]")
	s.until(`location.pathname === "/procedures/ring"`)
	s.shows("main", "a little more play", "0.110")
	file, err := os.ReadFile(filepath.Join(b.dir, "procedures", "ring.yaml"))
	if err != nil || !strings.Contains(string(file), "min: 0.110") {
		t.Errorf("the file does not have the change: %v\n%s", err, file)
	}
}

// replaces edits the copy of a file.
func (s *screen) replaces(text, with string) {
	s.Helper()
	s.there("#copy")
	s.until(fmt.Sprintf("document.querySelector('#copy').value.includes(%q)", text))
	s.do(chromedp.Evaluate[chromedp.Void](fmt.Sprintf(`{ const copy = document.querySelector("#copy");
		copy.value = copy.value.replace(%q, %q);
		copy.dispatchEvent(new Event("input", { bubbles: true })); }`, text, with)))
}
