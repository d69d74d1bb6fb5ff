package page

import (
	"context"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"go.yaml.in/yaml/v4"
	"golang.org/x/net/html"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/job"
	"gauged/internal/library"
	"gauged/internal/station"
	"gauged/internal/words"
)

// TestNoEnglishOnAGermanPage runs a job by every procedure of the tests, once with its
// readings and once with wrong ones, and looks at its page after each step and at its
// sheet: nothing on them is English but what the shop wrote.
func TestNoEnglishOnAGermanPage(t *testing.T) {
	files, err := filepath.Glob("../../testdata/trade/*/readings.csv")
	if err != nil || len(files) < 40 {
		t.Fatalf("%d procedures with readings, %v", len(files), err)
	}
	english, whole := englishTexts(t), wholeTexts(t)
	try := func(t *testing.T, files, parts string, readings func(*procedure.Procedure) ([]procedure.Reading, error)) {
		lib, texts := libraryOf(t, files, parts)
		g := german{rig: newRig(t, func(o *station.Options) { o.Library = lib }), english: english, whole: whole, shop: texts, seen: map[string]bool{}}
		p := lib.Procedures()[0]
		right, err := readings(p)
		if err != nil {
			t.Fatal(err)
		}
		g.run(p, right)
		wrong := slices.Clone(right)
		for i := range wrong {
			wrong[i].Shown = "9" + wrong[i].Shown
		}
		g.run(p, wrong)
	}
	for _, file := range files {
		dir := filepath.Dir(file)
		t.Run(filepath.Base(dir), func(t *testing.T) {
			try(t, filepath.Join(dir, "procedure.yaml"), filepath.Join(dir, "parts.yaml"), func(p *procedure.Procedure) ([]procedure.Reading, error) {
				return procedure.ReadReadings(file, read(t, file), p)
			})
		})
	}
	const demo = "../../deploy/demo/"
	for name, parts := range map[string]string{"idler-thrust-washer": "idler-washers", "output-shaft-ring": "output-shaft-rings"} {
		t.Run(name, func(t *testing.T) {
			try(t, demo+"procedures/"+name+".yaml", demo+"parts/"+parts+".yaml", exampleOf)
		})
	}
}

// exampleOf are the readings of the first example of a procedure, as often as each is repeated.
func exampleOf(p *procedure.Procedure) (all []procedure.Reading, err error) {
	for _, reading := range p.Examples[0].Readings {
		s, _, _ := p.Step(reading.Measurement)
		all = append(all, slices.Repeat([]procedure.Reading{reading}, max(1, s.Repeats))...)
	}
	return all, nil
}

// german looks for English on the pages of a rig.
type german struct {
	*rig
	english []string        // texts of the catalogue, or what stands between their placeholders
	whole   map[string]bool // texts of the catalogue with nothing filled in, however short
	shop    []string        // what the shop wrote
	seen    map[string]bool
}

// run takes readings into a job, fits what is recommended before the proof, and ends it.
func (g german) run(p *procedure.Procedure, readings []procedure.Reading) {
	g.Helper()
	ctx := g.Context()
	j, err := g.station.StartJob(ctx, station.StartRequest{Procedure: p.ID, UnitSerial: "1", Technician: "t"})
	if err != nil {
		g.Fatal(err)
	}
	page := "/jobs/" + strconv.FormatUint(j.ID, 10)
	g.look(page)
	for i, reading := range readings {
		enter := station.EnterRequest{Job: j.ID, Measurement: reading.Measurement, Shown: reading.Shown, Unit: reading.Unit}
		if _, _, err := g.station.Enter(ctx, enter); err != nil {
			g.fit(j, page)
			_, _, _ = g.station.Enter(ctx, enter) // what is refused all the same was no reading
		}
		if i+1 == len(readings) || readings[i+1].Measurement != reading.Measurement {
			g.look(page)
		}
	}
	g.fit(j, page)
	for _, step := range p.Verify {
		for range max(1, step.Repeats) {
			enter := station.EnterRequest{Job: j.ID, Measurement: step.Name, Shown: "0.10", Unit: step.Unit}
			if len(step.Codes) > 0 {
				enter.Shown = step.Codes[0].Mark
			}
			_, _, _ = g.station.Enter(ctx, enter)
		}
		g.look(page)
	}
	_, _ = g.station.Verify(ctx, j.ID, "") // where there is a verdict, a unit that does not conform is signed for
	if _, err := g.station.CloseJob(ctx, j.ID, "x", ""); err != nil {
		g.Fatal(err)
	}
	g.look(page)
	g.look(page + "/sheet")
}

// fit settles and fits what is recommended, as far as something is.
func (g german) fit(j *job.Job, page string) {
	g.Helper()
	if _, err := g.station.Choose(g.Context(), station.ChooseRequest{Job: j.ID}); err == nil {
		g.look(page)
	}
	if _, err := g.station.Fit(g.Context(), station.FitRequest{Job: j.ID}); err == nil {
		g.look(page)
	}
}

var englishWord = regexp.MustCompile(`(^| )(the|and|is|are|of|with|which|not) `)

// look gets a page in German and names each text with English in it.
func (g german) look(path string) {
	g.Helper()
	status, body := g.get(path, "Accept-Language", "de")
	if status != http.StatusOK || !strings.Contains(body, `<html lang="de"`) {
		g.Errorf("%s: %d, or it is not German", path, status)
		return
	}
	g.read(path, body)
}

// read names each text of a page with English in it.
func (g german) read(path, body string) {
	g.Helper()
	if !strings.Contains(body, `<html lang="de"`) {
		g.Errorf("%s is not German: %.200s", path, body)
	}
	for _, text := range shownTexts(g.T, body) {
		if !g.seen[text] && g.isEnglish(text) {
			g.Errorf("%s in German: %q", path, text)
		}
		g.seen[text] = true
	}
}

// isEnglish reports whether a text has English in it beside what the shop wrote.
func (g german) isEnglish(text string) bool {
	if g.whole[text] && len(text) > 3 && !slices.Contains(g.shop, text) { // scalars leaves shorter words of the shop out
		return true
	}
	for _, own := range g.shop {
		text = strings.ReplaceAll(text, own, "")
	}
	return englishWord.MatchString(text) || slices.ContainsFunc(g.english, func(e string) bool { return strings.Contains(text, e) })
}

func TestEnglishIsFound(t *testing.T) {
	g := german{english: englishTexts(t), whole: wholeTexts(t), shop: []string{"Depth of the case"}}
	for text, want := range map[string]bool{
		"Depth of the case: 3 Messwerte":                          false,
		"Das Werkstatthandbuch des Herstellers was vorgeht":       false,
		"Lager: Clean, seat and rotate the parts.":                true,
		"Drehmoment: die Tabelle of shells":                       true,
		"Reading":                                                 true,
		"gauge dial was never checked against a master":           true,
		"Messmittel dial wurde noch nie an einem Normal geprüft.": false,
	} {
		if g.isEnglish(text) != want {
			t.Errorf("%q: %v", text, !want)
		}
	}
}

// TestWarningsInGerman: what a job says of a gauge that is due, and that is then out of
// service, is German on its page and its sheet, open and closed.
func TestWarningsInGerman(t *testing.T) {
	r := newRig(t, func(o *station.Options) {
		o.Plans = map[string]*check.Plan{"micrometer": {Every: time.Hour}}
	})
	g := german{rig: r, english: englishTexts(t), whole: wholeTexts(t), seen: map[string]bool{}, shop: []string{"Ring for <end> play", "Depth of the case", "Height of the boss", "Flat on the face."}}
	j, err := r.station.StartJob(t.Context(), station.StartRequest{Procedure: "ring", UnitSerial: "1", Technician: "t", Gauges: map[string]string{"height": "micrometer"}})
	if err != nil {
		t.Fatal(err)
	}
	if _, _, err := r.station.Enter(t.Context(), station.EnterRequest{Job: j.ID, Measurement: "height", Shown: "23.46", Unit: gauge.Millimetre}); err != nil {
		t.Fatal(err)
	}
	if _, err := r.station.SetStanding(t.Context(), "micrometer", health.Suspect, "gefallen", "q"); err != nil {
		t.Fatal(err)
	}
	page := "/jobs/" + strconv.FormatUint(j.ID, 10)
	look := func() {
		t.Helper()
		for _, path := range []string{page, page + "/sheet"} {
			g.look(path)
			_, body := r.get(path, "Accept-Language", "de")
			for _, want := range []string{"wurde noch nie an einem Normal geprüft", "ist verdächtig: gefallen; von ihm wird nichts mehr übernommen"} {
				if !strings.Contains(body, want) {
					t.Errorf("%s lacks %q", path, want)
				}
			}
		}
	}
	look()
	if _, err := r.station.CloseJob(t.Context(), j.ID, "gefallen", ""); err != nil {
		t.Fatal(err)
	}
	look()
}

// shownTexts are the texts of a page with spaces made one, and those of its attributes that
// are read out; what is typed is none.
func shownTexts(t *testing.T, body string) (all []string) {
	t.Helper()
	tree, err := html.Parse(strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	for n := range tree.Descendants() {
		texts := []string{n.Data}
		if n.Type != html.TextNode {
			texts = nil
			for _, a := range n.Attr {
				if slices.Contains([]string{"aria-label", "alt", "placeholder", "title"}, a.Key) {
					texts = append(texts, a.Val)
				}
			}
		} else if asTyped(n.Parent) {
			continue
		}
		for _, text := range texts {
			if text = strings.Join(strings.Fields(text), " "); text != "" {
				all = append(all, text)
			}
		}
	}
	return all
}

// wholeTexts are the English texts of the catalogue into which nothing is filled in, and
// that no text is in German.
func wholeTexts(t *testing.T) map[string]bool {
	t.Helper()
	c, err := words.Load()
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]bool{}
	for _, key := range c.Keys() {
		if text, ok := c.In(words.English).Outline(key); ok && !strings.ContainsAny(text, "%{") {
			all[text] = true
		}
	}
	for _, key := range c.Keys() {
		text, _ := c.In(words.German).Outline(key)
		delete(all, text)
	}
	if len(all) < 500 {
		t.Fatalf("only %d English texts", len(all))
	}
	return all
}

var placeholders = regexp.MustCompile(`%[a-z0-9.]*|\{[^}]*\}|[\[\]]`)

// englishTexts are what of each English text of the catalogue stands between its
// placeholders and has four words or more.
func englishTexts(t *testing.T) (all []string) {
	t.Helper()
	files, err := filepath.Glob("../words/messages/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatal(files, err)
	}
	for _, file := range append(files, "../words/catalogue.yaml") {
		var texts map[string]yaml.Node
		if err := yaml.Unmarshal(read(t, file), &texts); err != nil {
			t.Fatal(err)
		}
		for _, node := range texts {
			var of map[string]string
			if node.Decode(&of) != nil {
				continue // the same as another
			}
			for _, piece := range placeholders.Split(of["en"], -1) {
				if piece = strings.TrimSpace(piece); len(strings.Fields(piece)) >= 4 && !strings.Contains(of["de"], piece) {
					all = append(all, piece)
				}
			}
		}
	}
	if len(all) < 500 {
		t.Fatalf("only %d English texts", len(all))
	}
	return all
}

// libraryOf is the library of two files, of which that of the parts may be missing, with
// all texts of the files, the longest first.
func libraryOf(t *testing.T, written, parts string) (*library.Library, []string) {
	t.Helper()
	var texts []string
	file := func(path string) []library.Source {
		if _, err := os.Stat(path); os.IsNotExist(err) {
			return nil
		}
		content := read(t, path)
		var node yaml.Node
		if err := yaml.Unmarshal(content, &node); err != nil {
			t.Fatal(err)
		}
		texts = append(texts, scalars(&node)...)
		return []library.Source{{Path: path, Content: content}}
	}
	lib, err := library.New(context.Background().Err, file(written), file(parts))
	if err != nil {
		t.Fatal(err)
	}
	slices.SortFunc(texts, func(a, b string) int { return len(b) - len(a) })
	return lib, texts
}

// scalars are the values of a file of four letters or more.
func scalars(n *yaml.Node) (all []string) {
	if text := strings.Join(strings.Fields(n.Value), " "); n.Kind == yaml.ScalarNode && len(text) > 3 {
		all = append(all, text)
	}
	for _, inner := range n.Content {
		all = append(all, scalars(inner)...)
	}
	return all
}

func read(t *testing.T, path string) []byte {
	t.Helper()
	content, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return content
}
