package sheet

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/job"
	"gauged/internal/words"
)

const packed = `procedure: pack
title: A pack of shims
unit: mm
instruments: {dial: {error: 0.004}}
measure: {depth: {title: depth, instrument: dial}}
gap: depth
allow: {play: {min: 0.10, max: 0.20}}
parts: kit
choose: {method: middle, pack: {most: 3}}
`

const kit = `family: kit
title: Kit
unit: mm
grades:
  - {part: thin, mark: A, thickness: 0.50, tolerance: 0.005}
  - {part: thick, thickness: 3.36, tolerance: 0.005}
`

const bothEnds = `procedure: ends
title: A ring at each end
unit: mm
measure: {left: {title: Left gap}, right: {title: Right gap}}
fit:
  front: {title: Front end, gap: left, allow: {play: {min: 0.10, max: 0.20}}, parts: shims, choose: {method: middle}}
  rear: {gap: right, allow: {preload: {min: 0.02, max: 0.08}}, parts: shims, choose: {method: middle}}
`

// everything is every text of a sheet.
func everything(s *Sheet) string {
	var all strings.Builder
	for _, p := range s.Head {
		fmt.Fprintln(&all, p.Name, p.Value)
	}
	for _, section := range s.Sections {
		fmt.Fprintln(&all, section.Title)
		if section.Table != nil {
			fmt.Fprintln(&all, strings.Join(section.Table.Head, "\n"))
			for _, r := range section.Table.Rows {
				fmt.Fprintln(&all, strings.Join(r.Cells, "\n"))
			}
		}
		fmt.Fprintln(&all, strings.Join(section.Notes, "\n"))
	}
	return all.String()
}

// TestPackStandsAmongTheParts: a pack has what a part has: its pieces with their marks, its
// thickness, the play that it leaves, at worst too, and how probably that is right.
func TestPackStandsAmongTheParts(t *testing.T) {
	j := worked(t, packed, kit, nil, "depth 4.01")
	for language, want := range map[words.Language]map[string]string{
		"en": {"Mark": "A + -", "Thickness": "3.860 mm", "Gives": "0.150 mm, worst case 0.140 mm to 0.160 mm", "Probability inside": "100 %", "Note": "recommended"},
		"de": {"Kennzeichen": "A + -", "Dicke": "3,860 mm", "Ergibt": "0,150 mm, im ungünstigsten Fall 0,140 mm bis 0,160 mm", "Wahrscheinlichkeit innerhalb": "100 %", "Bemerkung": "empfohlen"},
	} {
		w := in(t, language)
		s := made(t, Input{Job: j}, w)
		cells := row(t, s, said(t, w, "study.parts"), "thin + thick")
		for head, text := range want {
			if cells[head] != text {
				t.Errorf("%s: %q, not %q", head, cells[head], text)
			}
		}
		if text := everything(s); strings.Contains(text, ".,") {
			t.Errorf("a sentence goes on behind its end: %s", text)
		}
	}
}

// TestTwoPlaces: each line says by its title which place it is of, in the language of the
// sheet, and what holds for both is said once.
func TestTwoPlaces(t *testing.T) {
	j := worked(t, bothEnds, shims, nil, "left 1.65", "right 1.44")
	for language, gap := range map[words.Language]string{"en": "gap", "de": "Spalt"} {
		w := in(t, language)
		s := made(t, Input{Job: j}, w)
		gap = said(t, w, "word.gap")
		if cells := row(t, s, said(t, w, "sheet.sums"), "Front end: "+gap); cells[said(t, w, "sheet.head.value")] != w.Number("1.650")+" mm" {
			t.Errorf("%v", cells)
		}
		row(t, s, said(t, w, "sheet.sums"), "rear: "+gap)
		row(t, s, said(t, w, "study.parts"), "Front end: 1.50")
		row(t, s, said(t, w, "study.parts"), "rear: 1.50")
		for _, section := range s.Sections {
			if slices.Sort(section.Notes); len(slices.Compact(slices.Clone(section.Notes))) != len(section.Notes) {
				t.Errorf("%s says the same twice: %q", section.Title, section.Notes)
			}
		}
	}
}

// TestFailedPartIsNotRecommended: the part that is in and whose proof is not right is called
// so, and is recommended again by nothing.
func TestFailedPartIsNotRecommended(t *testing.T) {
	for proof, want := range map[string]string{"0.15": "recommended, fitted", "0.25": "fitted, proof failed"} {
		s := made(t, Input{Job: worked(t, oneShim, shims, fittedShim("1.50"), "depth 1.65", "play_after "+proof)}, in(t, "en"))
		if got := row(t, s, "Parts", "1.50")["Note"]; got != want {
			t.Errorf("after a proof of %s it is %q", proof, got)
		}
	}
	s := made(t, Input{Job: worked(t, oneShim, shims, nil, "depth 1.65")}, in(t, "en"))
	if got := row(t, s, "Parts", "1.50")["Note"]; got != "recommended" {
		t.Errorf("before it is fitted it is %q", got)
	}
}

// TestGapIsCalledTheGap: what there is to fill is not called a play, and there is no play
// before where none was measured.
func TestGapIsCalledTheGap(t *testing.T) {
	s := made(t, Input{Job: worked(t, oneShim, shims, fittedShim("1.50"), "depth 1.688", "play_after 0.15")}, in(t, "en"))
	cells := row(t, s, "Before and after", "Play")
	if _, before := cells["Before"]; before || cells["Gap"] != "1.688 mm" || cells["After"] != "0.150 mm" {
		t.Errorf("%v", cells)
	}
}

// TestReadingIsWrittenAsANumber: what a gauge sends with a sign and leading zeros is
// written as the number that it is, with a decimal comma in German; a plus is nowhere.
func TestReadingIsWrittenAsANumber(t *testing.T) {
	j := worked(t, oneShim, shims, nil, "depth 1.65")
	course := []job.CourseStep{{Kind: "taken", Reading: &job.CourseReading{Measurement: "depth", Gauge: "dial", Shown: "+046.423", From: "-000.100", Unit: gauge.Millimetre, Round: 1}}}
	for language, want := range map[words.Language]string{"en": "from -0.100 to 46.423 mm", "de": "von -0,100 bis 46,423 mm"} {
		w := in(t, language)
		s := made(t, Input{Job: j, Course: course}, w)
		if got := row(t, s, said(t, w, "sheet.readings"), "depth")[said(t, w, "sheet.head.reading")]; got != want {
			t.Errorf("%q, not %q", got, want)
		}
		for _, line := range strings.Fields(everything(s)) {
			if len(line) > 1 && line[0] == '+' && !strings.Contains(line, ":") { // of a time it is the zone
				t.Errorf("%s: %q", language, line)
			}
		}
	}
}

// TestPartOfARoundKeepsItsName: what stands on a part is written as it stands there in
// every language.
func TestPartOfARoundKeepsItsName(t *testing.T) {
	j := worked(t, oneShim, shims, nil, "depth 1.65")
	j.Rounds = []job.Round{{Number: 1, Fitted: fittedShim("1.45"), Outcome: evaluate.DoesNotConform}}
	w := in(t, "de")
	if got := row(t, made(t, Input{Job: j}, w), "Frühere Runden", "Runde 1")["Eingebaut"]; got != "1.45, gemessen 1,450 mm dick" {
		t.Error(got)
	}
}

// printed is the text of each page of a sheet's PDF.
func printed(t *testing.T, s *Sheet, language words.Language) []string {
	t.Helper()
	pdf, err := s.PDF(string(language), time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "sheet.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-raw", file, "-").CombinedOutput()
	if err != nil {
		t.Fatalf("pdftotext, of Debian's package poppler-utils: %v: %s", err, out)
	}
	return strings.Split(strings.TrimSuffix(string(out), "\f"), "\f")
}

// TestHeadsAreWhole: no word of a column's head is broken, and nothing is lost.
func TestHeadsAreWhole(t *testing.T) {
	for _, language := range []words.Language{"en", "de"} {
		s := made(t, Input{Job: worked(t, packed, kit, nil, "depth 4.01")}, in(t, language))
		text := strings.Join(printed(t, s, language), "\n")
		on := strings.Fields(text)
		for _, section := range s.Sections {
			if section.Table == nil {
				continue
			}
			for _, head := range section.Table.Head {
				for _, word := range strings.Fields(head) {
					if len(section.Table.Rows) > 0 && !slices.Contains(on, word) {
						t.Errorf("%s: %q is broken: %s", language, word, text)
					}
				}
			}
		}
	}
}

// TestPagesOfALongSheet: each page of a table has its head, and nobody signs a page on
// which there is nothing else, however long the sheet is.
func TestPagesOfALongSheet(t *testing.T) {
	for rows := 30; rows < 70; rows += 3 {
		table := &Table{Head: []string{"Measurement", "Reading"}, Shares: []float64{3, 1}}
		for i := range rows {
			table.Rows = append(table.Rows, Row{Cells: []string{fmt.Sprint("line ", i), "1.000 mm"}})
		}
		s := &Sheet{
			Title: "Job sheet 7", Outcome: "Conforms", Signs: []string{"Technician"}, Foot: "The foot",
			Sections: []Section{{Title: "Readings", Table: table}, {Title: "Files", Notes: []string{"the file of it"}}},
		}
		pages := printed(t, s, "en")
		for n, page := range pages {
			if strings.Contains(page, "line ") != strings.Contains(page, "Measurement") {
				t.Errorf("%d rows, page %d has a table without a head: %s", rows, n+1, page)
			}
		}
		if last := pages[len(pages)-1]; !strings.Contains(last, "Technician") || !strings.Contains(last, "the file of it") {
			t.Errorf("%d rows: alone on the last page: %s", rows, last)
		}
	}
}

// TestTimesOfASheet: within the day on which the job began a step has its time of the day alone,
// in one line; a step of another day has its day too. A place has its title there as well.
func TestTimesOfASheet(t *testing.T) {
	j := worked(t, bothEnds, shims, nil, "left 1.65", "right 1.44")
	j.Started = time.Date(2026, 3, 2, 12, 0, 0, 0, time.Local)
	next := j.Started.AddDate(0, 0, 1)
	w := in(t, "en")
	s := made(t, Input{Job: j, Course: []job.CourseStep{
		{Kind: "chosen", Time: j.Started.Add(90 * time.Second), Place: "front", Part: "1.50", By: "N"}, {Kind: "chosen", Time: next, Place: "rear", Part: "1.50", By: "N"},
	}}, w)
	if got := row(t, s, "How the job went", "12:01:30")["Step"]; got != "Part chosen, Front end, 1.50" {
		t.Errorf("%q", got)
	}
	row(t, s, "How the job went", w.Moment(next))
}

// TestReasonOfASignedVerdict: a unit that leaves with a verdict was not closed unfinished, and what is outside stands out. A column in which nothing is known is left out.
func TestReasonOfASignedVerdict(t *testing.T) {
	j := worked(t, oneShim, shims, fittedShim("1.50"), "depth 1.65", "play_after 0.25")
	j.CloseReason = "the case is worn"
	reason := func() string {
		s := made(t, Input{Job: j}, in(t, "en"))
		i := slices.IndexFunc(s.Head, func(p Pair) bool { return p.Value == j.CloseReason })
		return s.Head[i].Name
	}
	if got := reason(); got != "Reason" {
		t.Errorf("unsigned: %q", got)
	}
	j.Verified = true
	if got := reason(); got != "Reason" {
		t.Errorf("signed: %q", got)
	}
	for _, section := range made(t, Input{Job: j}, in(t, "en")).Sections {
		if section.Title != "Results and limits" {
			continue
		}
		if slices.Contains(section.Table.Head, "Probability inside") {
			t.Errorf("%v", section.Table)
		}
		if i := slices.IndexFunc(section.Table.Rows, func(r Row) bool { return strings.HasPrefix(r.Cells[len(r.Cells)-1], "Does not conform") }); i < 0 || !section.Table.Rows[i].Strong {
			t.Errorf("%+v", section.Table.Rows)
		}
	}
}

// TestHeadOfAClosedJob: a job that was closed before it had a verdict has none that could be
// signed; one that was closed with its verdict was not closed unfinished, signed or not.
func TestHeadOfAClosedJob(t *testing.T) {
	for language, want := range map[words.Language][3]string{
		"en": {"none: closed before there was one", "Reason for closing unfinished", "Reason"},
		"de": {"keines: vorher abgeschlossen", "Grund für den unfertigen Abschluss", "Grund"},
	} {
		w := in(t, language)
		head := func(readings ...string) map[string]string {
			j := worked(t, oneShim, shims, fittedShim("1.50"), readings...)
			j.Closed, j.CloseReason = j.Started, "order cancelled"
			pairs := map[string]string{}
			for _, p := range made(t, Input{Job: j}, w).Head {
				pairs[p.Name] = p.Value
			}
			return pairs
		}
		verdict := said(t, w, "sheet.head.verdict")
		if got := head("depth 1.65"); got[verdict] != want[0] || got[want[1]] != "order cancelled" {
			t.Errorf("without a verdict %v", got)
		}
		if got := head("depth 1.65", "play_after 0.25"); got[verdict] != said(t, w, "sheet.not-signed") || got[want[2]] != "order cancelled" {
			t.Errorf("with a verdict %v", got)
		}
	}
}
