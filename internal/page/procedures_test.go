package page

import (
	"html"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/library"
	"gauged/internal/words"
)

// shows checks that a page has texts.
func (r *rig) shows(status int, body string, texts ...string) {
	r.Helper()
	if status != http.StatusOK {
		r.Errorf("status %d: %.300s", status, body)
	}
	for _, text := range texts {
		if !strings.Contains(body, text) {
			r.Errorf("no %q in %s", text, body)
		}
	}
}

func TestProceduresPage(t *testing.T) {
	r := newRig(t)
	status, body := r.get("/procedures")
	r.shows(status, body, `href="/procedures/ring"`, "Ring for &lt;end&gt; play", `href="/parts/rings"`, "3 grades")
}

func TestProcedurePage(t *testing.T) {
	r := newRig(t)
	status, body := r.get("/procedures/ring", "Accept-Language", "de")
	r.shows(status, body, "Rings jump off. Wear goggles.", "Flat on the face.", "innerhalb 0,030 mm", "20,000 mm bis 30,000 mm",
		"<strong>Spalt</strong> = <code>depth − height</code>", "= [Depth of the case] − [Height of the boss]", "0,100 mm bis 0,200 mm",
		"am nächsten zur Mitte des Fensters", "das dünnere", "Gemessenes und vorausgesagtes Spiel dürfen um 0,040 mm", "Beim Laden geprüft",
		gauge.HashContent([]byte(ringProcedure)), "in der Datei vorgefunden", `href="/procedures/ring/edit"`)
	status, body = r.get("/parts/rings")
	r.shows(status, body, "<th scope=\"row\">R150</th>", "1.50 mm", `<strong class="care">out of stock</strong>`, `href="/procedures/ring"`)
	for _, path := range []string{"/procedures/none", "/parts/none", "/versions/00", "/procedures/none/edit", "/versions/" + gauge.HashContent([]byte(ringProcedure)) + "/drawing"} {
		if status, _ := r.get(path); status != http.StatusNotFound {
			t.Errorf("%s: %d", path, status)
		}
	}
}

// TestEveryProcedureIsShown renders every example of the trade in both languages.
func TestEveryProcedureIsShown(t *testing.T) {
	paths, err := filepath.Glob("../../testdata/trade/*/procedure.yaml")
	if err != nil || len(paths) < 40 {
		t.Fatalf("%d procedures, %v", len(paths), err)
	}
	r := newRig(t)
	p, err := New(Options{Station: r.station, Name: "x", Now: nil})
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range paths {
		files := map[string]string{library.KindProcedure: path, library.KindParts: filepath.Join(filepath.Dir(path), "parts.yaml")}
		for kind, file := range files {
			content, err := os.ReadFile(file)
			if kind == library.KindParts && os.IsNotExist(err) {
				continue
			}
			if err != nil {
				t.Fatal(err)
			}
			for tag, templates := range p.templates {
				q, _ := http.NewRequestWithContext(t.Context(), http.MethodGet, "/", nil)
				page, err := p.filePage(&request{Request: q, words: p.catalogue.In(tag)}, kind, "x", content)
				if err == nil {
					var out strings.Builder
					err = templates["procedure"].ExecuteTemplate(&out, "main", page)
				}
				if err != nil {
					t.Errorf("%s in %s: %v", file, tag, err)
				}
			}
		}
	}
}

// TestRoundsOfAProcedure: how the next round follows is shown, in signs and in words,
// and the usual way where the file says nothing.
func TestRoundsOfAProcedure(t *testing.T) {
	stated, err := os.ReadFile("../../testdata/trade/carrier-in-rounds/procedure.yaml")
	if err != nil {
		t.Fatal(err)
	}
	r := newRig(t)
	p, err := New(Options{Station: r.station, Name: "x", Now: nil})
	if err != nil {
		t.Fatal(err)
	}
	for tag, want := range map[words.Language][2]string{
		"en": {"at most 4 in all", "thickness of the fitted part + measured play"},
		"de": {"höchstens 4 im Ganzen", "Dicke des eingebauten Teils + gemessenes Spiel"},
	} {
		shown := func(content []byte) string {
			q, _ := http.NewRequestWithContext(t.Context(), http.MethodGet, "/", nil)
			page, err := p.filePage(&request{Request: q, words: p.catalogue.In(tag)}, library.KindProcedure, "x", content)
			var out strings.Builder
			if err == nil {
				err = p.templates[tag]["procedure"].ExecuteTemplate(&out, "main", page)
			}
			if err != nil {
				t.Fatal(err)
			}
			return html.UnescapeString(out.String())
		}
		if page := shown(stated); !strings.Contains(page, want[0]) || !strings.Contains(page, "<strong>end_play</strong> = <code>−preload</code>") {
			t.Errorf("%s: rounds are not shown in\n%s", tag, page)
		}
		if page := shown([]byte(ringProcedure)); !strings.Contains(page, want[1]) {
			t.Errorf("%s: the usual round is not shown in\n%s", tag, page)
		}
	}
}

// TestDrawings: a drawing is sent by the version that has it, under a policy of its own.
func TestDrawings(t *testing.T) {
	r := newRig(t)
	svg := `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"/>`
	drawing := "drawing: {alt: a ring, svg: '" + svg + "'}"
	with := strings.Replace(ringProcedure, "unit: mm\n", "unit: mm\n"+drawing+"\n", 1)
	with = strings.Replace(with, "height: {title", "height: {"+drawing+", title", 1)
	r.edit("/procedures/ring", with, "save", url.Values{"by": {"A"}, "reason": {"drawn"}})
	hash := gauge.HashContent([]byte(with))
	status, body := r.get("/procedures/ring")
	r.shows(status, body, `<img src="/versions/`+hash+`/drawing" alt="a ring">`, `<img src="/versions/`+hash+`/drawing?step=height" alt="a ring"`)
	for path, want := range map[string]int{"": http.StatusOK, "?step=height": http.StatusOK, "?step=depth": http.StatusNotFound, "?step=x": http.StatusNotFound} {
		answer := r.send(http.MethodGet, "/versions/"+hash+"/drawing"+path, nil)
		answer.Body.Close()
		if answer.StatusCode != want {
			t.Errorf("%q: %d", path, answer.StatusCode)
		}
		if want == http.StatusOK && (answer.Header.Get("Content-Type") != "image/svg+xml" || answer.Header.Get("Content-Security-Policy") != drawingPolicy) {
			t.Errorf("%v", answer.Header)
		}
	}
}
